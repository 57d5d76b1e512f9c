"""What docs/extending.md promises: a kind that is added is treated everywhere, or somebody says so."""

from __future__ import annotations

from typing import get_args

import pytest

from examples_here import case, case_from, text
from panelmend.curelog.rows import ROW_FORMATS
from panelmend.document.approved import CutoutForm, SidePlies
from panelmend.document.ply_kinds import PLY_KIND, PLY_KINDS, PlyKind, PlyRole
from panelmend.job.cutout.make import FORMS
from panelmend.job.forms import has_corners, smallest
from panelmend.job.nest.make import LAID_AS
from panelmend.job.plies.part import Role
from panelmend.plan.make import make_plan
from panelmend.render.views.layup import ROLE_FILL
from panelmend.shapes import least_overlap, rectangle

PLY = '{ cloth = "demo-glass-plain", warp = "0 deg" }'


def roles() -> set[str]:
    """Every role a ply can have."""
    return {role for part in get_args(Role) for role in get_args(part) or (part,)}


def test_every_kind_of_ply_is_a_field_with_a_row_a_tint_and_a_cure() -> None:
    assert set(PLY_KIND) == set(get_args(PlyRole)) == set(SidePlies.model_fields)
    assert set(ROLE_FILL) == set(LAID_AS) == roles()
    assert len({k.letter for k in PLY_KINDS}) == len(PLY_KINDS)
    for kind in PLY_KINDS:
        value = str(SidePlies.model_fields[kind.name].annotation)
        assert ("tuple" in value) is kind.many, kind.name


@pytest.mark.parametrize("kind", PLY_KINDS, ids=lambda k: k.name)
def test_a_ply_of_each_kind_that_is_typed_is_laid(kind: PlyKind) -> None:
    """A field that the lay-up passed over would be a ply nobody lays."""
    document, head = text("gear_door"), "[data.plies.outside]\n"
    assert head in document
    field = f'{kind.name} = {{ place = "fig 1", value = {f"[{PLY}]" if kind.many else PLY} }}\n'
    own = case("gear_door").document.data.plies.outside
    assert own is not None
    if getattr(own, kind.name) is None:
        document = document.replace(head, head + field)
    plan = make_plan(case_from(document))
    assert plan.work is not None
    assert kind.name in {p.role for s in plan.work.plies.sides for p in s.plies}


@pytest.mark.parametrize("form", get_args(CutoutForm))
def test_every_form_of_cut_out_covers_what_it_is_laid_over(form: CutoutForm) -> None:
    assert form in FORMS
    damage = rectangle((0.1, 0.05), 0.08, 0.03, 0.4, 0.0)
    made = smallest(form, (damage,), 0.005, 0.001, 0.01, None)
    assert made.form == form
    assert least_overlap(damage, made.outline)[0] >= 0.005 - 1e-9
    own = has_corners(form)
    assert made.corner_radius == pytest.approx(0.01 if own else 0.5 * made.width), "the data's least radius"
    assert (made.sharp.area > made.outline.area + 1e-6) is own, "what is trimmed is drawn with sharp corners"


def test_no_file_is_of_two_formats_of_rows() -> None:
    heads = (
        b"PK\x03\x04" + bytes(60),
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(60),
        b"time,T1\n0,20\n",
        b"",
    )
    counts = [sum(f.known(h) for f in ROW_FORMATS) for h in heads]
    assert counts == [1, 1, 0, 0]
