"""Laws of the stages that shape the repair: mirrored documents, least overlaps, fits, cures, scarfs."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from examples_here import case_from, text
from panelmend.derive import Ledger
from panelmend.errors import Finding
from panelmend.job import core, cutout, limits, plies
from panelmend.job.case import Case
from panelmend.shapes import Outline, inside, least_overlap

QUIET = settings(derandomize=True, database=None, deadline=None, max_examples=25)


@dataclass(frozen=True)
class Run:
    """The four stages of one document."""

    case: Case
    ledger: Ledger
    limits: limits.LimitsPart
    cutout: cutout.CutoutPart
    plies: plies.PliesPart
    core: core.CorePart
    findings: tuple[Finding, ...]


def run(document: str) -> Run:
    """Run the four stages."""
    case, ledger = case_from(document), Ledger()
    sizes = limits.make(case, ledger)
    opening = cutout.make(case, ledger, sizes)
    laid = plies.make(case, ledger, opening)
    filled = core.make(case, ledger, opening, laid)
    found = (
        *limits.check(case, ledger, sizes),
        *cutout.check(case, ledger, opening, sizes),
        *plies.check(case, ledger, laid, opening),
        *core.check(case, ledger, filled, opening, laid),
    )
    return Run(case, ledger, sizes, opening, laid, filled, found)


def codes(made: Run) -> set[str]:
    """The codes of all findings."""
    return {f.code for f in made.findings}


def turned_over(document: str) -> str:
    """The same repair as it is drawn from the inside: y and every angle of panel and data change sign."""
    document = re.sub(
        r'(centre|at) = "([-\d.]+), ([-\d.]+) (mm|in)"',
        lambda m: f'{m[1]} = "{m[2]}, {-float(m[3])} {m[4]}"',
        document,
    )
    document = re.sub(r"\[([\d.]+), ([\d.]+)\]", lambda m: f"[{m[1]}, -{m[2]}]", document)
    document = re.sub(
        r'(warp|ribbon|angle) = "([-\d.]+) deg"', lambda m: f'{m[1]} = "{-float(m[2])} deg"', document
    )
    return document.replace('seen_from = "outside"', 'seen_from = "inside"')


def near(a: Outline, b: Outline, tolerance: float = 1e-7) -> bool:
    """The same shape, whichever vertex comes first."""
    there = [(v.x, v.y) for v in b.vertices]
    close = all(min(math.dist((v.x, v.y), p) for p in there) <= tolerance for v in a.vertices)
    return close and abs(a.area - b.area) <= tolerance * b.perimeter


@pytest.mark.parametrize("name", ["gear_door", "flap_rib_bay", "access_door_no_fit"])
def test_a_document_drawn_from_the_inside_gives_the_same_repair(name: str) -> None:
    """The same repair described from the other side is the same repair, in every outline and angle."""
    one, other = run(text(name)), run(turned_over(text(name)))
    assert near(one.cutout.opening.outline, other.cutout.opening.outline)
    for a, b in zip(one.plies.plies, other.plies.plies, strict=True):
        assert (a.id, a.cloth, a.number) == (b.id, b.cloth, b.number)
        assert float(a.warp) == pytest.approx(float(b.warp), abs=1e-12)
        assert near(a.outline, b.outline)
        assert near(a.template, b.template)
    assert codes(one) == codes(other)


@pytest.mark.parametrize("name", ["gear_door", "flap_rib_bay"])
def test_a_mirrored_repair_is_the_original_seen_from_the_other_side(name: str) -> None:
    """Reading the same numbers as drawn from the inside mirrors every piece and swaps +45 and -45."""
    one = run(text(name))
    other = run(text(name).replace('seen_from = "outside"', 'seen_from = "inside"'))
    for a, b in zip(one.plies.plies, other.plies.plies, strict=True):
        assert float(a.warp) == pytest.approx(-float(b.warp), abs=1e-12)
        assert near(a.outline.mirrored_y(), b.outline, 1e-6)
        assert float(a.overlap) == pytest.approx(float(b.overlap), abs=1e-7)


def _damage(document: str, length: float, width: float, angle: float, form: str, radius: float) -> str:
    start, end = document.index("shape = { outline = { unit"), document.index("depth = ")
    shape = (
        f'shape = {{ ellipse = {{ centre = "560, 400 mm", length = "{length} mm", '
        f'width = "{width} mm", angle = "{angle} deg" }} }}\n'
    )
    document = document[:start] + shape + document[end:]
    forms = f'forms = {{ value = ["{form}"], place = "x 1" }}\n'
    forms += f'corner_radius = {{ value = "{radius} mm", place = "x 1" }}'
    return re.sub(r"forms = \{ value = .*", forms, document, count=1)


@QUIET
@given(
    st.floats(20.0, 160.0),
    st.floats(0.3, 1.0),
    st.integers(-89, 90),
    st.sampled_from(["circle", "ellipse", "oval", "rectangle"]),
    st.floats(0.5, 20.0),
    st.floats(3.0, 40.0),
    st.booleans(),
    st.booleans(),
)
def test_overlap_is_never_less_than_asked(
    length: float,
    part: float,
    angle: int,
    form: str,
    radius: float,
    first: float,
    largest: bool,
    rounded: bool,
) -> None:
    """Generated damage and margins: covered with its margin, and every ply overlaps at least its margin."""
    document = _damage(
        text("gear_door"), round(length, 2), round(length * part, 2), angle, form, round(radius, 2)
    )
    document = document.replace(
        'first_margin = { value = "25.4 mm"', f'first_margin = {{ value = "{first:.2f} mm"'
    )
    order = "largest first" if largest else "smallest first"
    corners = "rounded" if rounded else "trimmed"
    document = document.replace('order = { value = "smallest first"', f'order = {{ value = "{order}"')
    document = document.replace(
        "[data.plies]\n", f'[data.plies]\ncorners = {{ value = "{corners}", place = "x 1" }}\n'
    )
    made = run(document)
    assert made.case.geometry.damage is not None
    assert inside(made.case.geometry.damage, made.cutout.opening.outline, float(made.cutout.margin))
    side = made.plies.sides[0]
    for ply in side.plies:
        assert float(ply.overlap) >= float(ply.margin) - 1e-8
        assert float(ply.overlap) == least_overlap(side.cutout, ply.outline)[0]
        assert float(ply.trim) <= 0.0254 + 1e-12
    by_size = sorted(side.plies, key=lambda p: float(p.margin))
    for small, large in itertools.pairwise(by_size):
        asked = float(large.margin) - float(small.margin)
        assert least_overlap(small.outline, large.outline)[0] >= asked - 1e-8
    assert "P104" not in codes(made)


def test_largest_first_turns_the_sizes_round_but_not_the_cloths() -> None:
    """The list of the data stays first to last from the panel outwards; only the sizes change places."""
    one = run(text("gear_door"))
    other = run(text("gear_door").replace('value = "smallest first"', 'value = "largest first"'))
    here = [p for p in one.plies.plies if p.role != "sanding"]
    there = [p for p in other.plies.plies if p.role != "sanding"]
    assert [p.cloth for p in here] == [p.cloth for p in there]
    assert [float(p.margin) for p in here] == [float(p.margin) for p in reversed(there)]


@pytest.mark.parametrize("order", ["smallest first", "largest first"])
def test_a_sanding_ply_goes_past_the_largest_ply_whichever_is_laid_last(order: str) -> None:
    """25.4 mm and three plies more of 19.05 mm reach 82.55 mm; 12 mm past that are 94.55 mm."""
    document = text("gear_door").replace('value = "smallest first"', f'value = "{order}"')
    made = run(
        document.replace('sanding_margin = { value = "19.05 mm"', 'sanding_margin = { value = "12 mm"')
    )
    margins = {p.id: float(p.margin) for p in made.plies.plies}
    assert margins.pop("OUT-S") == pytest.approx(0.09455)
    assert max(margins.values()) == pytest.approx(0.08255)


@pytest.mark.parametrize(("clear", "fits"), [(0.001, True), (-0.001, False)])
def test_a_form_is_tried_against_what_stands_on_either_skin(clear: float, fits: bool) -> None:
    """A rib inside, 30 mm wide, 1 mm before the largest ply of the far skin, and 1 mm under it."""
    made = run(text("cowling"))
    form = made.cutout.opening.form
    left = min(p.outline.bounds[0] for p in made.plies.sides[1].plies)
    middle = 1e3 * (left - clear - 0.015)
    moved = run(text("cowling").replace('centre = "-260, 0 mm"', f'centre = "{middle:.4f}, 0 mm"'))
    tried = next(c for c in moved.cutout.candidates if c.opening.form == form)
    assert made.cutout.side == "outside"
    assert tried.fits is fits
    assert ["rib frame 2" in r for r in tried.reasons] == [True] * (not fits)
    assert float(tried.reach_clear) == pytest.approx(clear, abs=1e-4)


@pytest.mark.parametrize(("floor", "thick"), [("paste", 0.2), ("film", 0.13)])
def test_the_floor_of_a_plug_is_as_thick_as_its_own_adhesive(floor: str, thick: float) -> None:
    """Paste cures 0.2 mm thick, the film 0.13 mm; the splice round the plug is of paste."""
    old = 'floor_adhesive = { value = "demo-paste"'
    made = run(text("gear_door").replace(old, old.replace("paste", floor)))
    assert made.core.floor_volume is not None
    assert float(made.core.floor_volume) == pytest.approx(1e-3 * thick * float(made.ledger["core.area"]))


RIB = """[[panel.structure]]
id = "rib 9"
kind = "rib"
side = "outside"
shape = {{ rectangle = {{ centre = "{x:.3f}, {y:.3f} mm", length = "{length} mm", width = "{width} mm" }} }}
thickness = "2 mm"
metal = "titanium"

"""


@pytest.mark.parametrize(("along", "across"), [(0, 1), (0, -1), (1, 0), (-1, 0)])
@pytest.mark.parametrize(("clear", "stops"), [(1.0, False), (-2.0, True), (-60.0, True)])
def test_a_round_ply_over_a_rib_stops_on_whichever_side_of_it_the_rib_runs(
    along: int, across: int, clear: float, stops: bool
) -> None:
    """A ply 365.2 mm across about (486.5, 380) on a flat panel, its rim without a corner above and below."""
    document = text("gear_door").replace('value = ["circle", "oval"]', 'value = ["circle"]')
    away = 182.6 + clear + 15.0
    rib = RIB.format(
        x=486.5 + along * away,
        y=380.0 + across * away,
        length=400 if across else 30,
        width=30 if across else 400,
    )
    made = run(document.replace("[damage]\n", f"{rib}[damage]\n", 1))
    told = [f.words for f in made.findings if f.code == "P101" and "rib 9" in f.words]
    assert len(told) == stops
    assert made.cutout.candidates[0].fits is not stops
    if clear == -2.0:
        assert told == ["largest ply to rib rib 9: -2.0 mm, required 0.0 mm, 2.0 mm short"]


def test_through_a_bend_both_holes_are_the_same_radial_cut() -> None:
    """Round the bend the inner hole is smaller by (R - depth) / R; along the axis it is the same."""
    made = run(text("cowling"))
    outer, inner = made.plies.sides
    depth = made.case.skin_depth("inside")
    ratio = (0.6 - depth) / 0.6
    assert inner.cutout.extent(0.0) == pytest.approx(outer.cutout.extent(0.0), abs=2.5e-5)
    quarter = math.pi / 2
    assert inner.cutout.extent(quarter) == pytest.approx(ratio * outer.cutout.extent(quarter), abs=2.5e-5)
    assert made.cutout.far is not None
    assert near(made.cutout.far, inner.cutout)
    assert [p.lay_order for p in inner.plies] == [1, 2, 3]  # its cure comes first in the data


def test_the_cure_named_cures_it() -> None:
    """The access door does not fit; moved by the shift that is named, it does."""
    made = run(text("access_door_no_fit"))
    stop = [f for f in made.findings if f.severity == "stop"]
    assert [f.code for f in stop] == ["P101"]
    words = re.search(r"[Ss]hift the cut-out ([\d.]+) mm towards (\d+)°", stop[0].todo)
    assert words is not None
    size, way = float(words[1]) + 0.05, math.radians(float(words[2]))
    moved = text("access_door_no_fit").replace(
        "266, 222 mm", f"{266 + size * math.cos(way):.3f}, {222 + size * math.sin(way):.3f} mm"
    )
    assert "P101" not in codes(run(moved))
    assert "C101" not in codes(run(moved))


def test_nothing_is_judged_without_its_limit() -> None:
    """Without limits there is no verdict, and each missing one says NOT CHECKED."""
    document = text("gear_door")
    start, end = document.index("[data.limits]"), document.index("[data.cutout]")
    made = run(document[:start] + document[end:])
    assert made.limits.disposition == "not judged"
    assert "L103" in codes(made)
    missing = [f for f in made.findings if "NOT CHECKED" in f.words]
    assert len(missing) >= 5
    assert all(r.holds is None for r in made.limits.reasons)


def test_beyond_a_limit_is_for_engineering() -> None:
    made = run(
        text("gear_door").replace('repairable = { value = "200 mm"', 'repairable = { value = "140 mm"')
    )
    assert made.limits.disposition == "engineering"
    assert "L101" in codes(made)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('centre = "266, 222 mm"', 'centre = "280, 222 mm"', "C101"),
        ('form = "circle"\n', "", "P101"),
        ('moisture = "none found"', 'moisture = "not checked"', "L108"),
        ("replace = { value = true", "replace = { value = false", "K103"),
        ('lot = "GP-1107"\nwidth = "965 mm"', 'lot = "GP-1107"\nwidth = "150 mm"', "P110"),
        ('thickness = "12 mm"\n', 'thickness = "6 mm"\n', "K106"),
    ],
)
def test_each_finding_is_raised_by_its_cause(old: str, new: str, code: str) -> None:
    document = text("access_door_no_fit")
    assert old in document
    assert code in codes(run(document.replace(old, new)))


@pytest.mark.parametrize("name", ["gear_door", "cowling"])
@pytest.mark.parametrize("scheme", ["stepped", "scarf", "external"])
def test_every_scheme_lays_growing_plies(name: str, scheme: str) -> None:
    """Each scheme gives plies that lie in one another, with taper only for the scarf; figures replay."""
    document = text(name).replace('scheme = { value = "stepped"', f'scheme = {{ value = "{scheme}"')
    made = run(document)
    assert made.ledger.replay() == []
    assert made.plies.scheme == scheme
    for side in made.plies.sides:
        assert (side.taper is not None) == (scheme == "scarf")
        by_size = sorted(side.plies, key=lambda p: float(p.margin))
        for small, large in itertools.pairwise(by_size):
            assert inside(small.outline, large.outline)
        assert side.tape_inner is not None
        assert side.tape_outer is not None
        assert least_overlap(side.tape_inner, side.tape_outer)[0] == pytest.approx(0.0508, abs=1e-8)
    used = {f.key for f in made.ledger.defaults()}
    assert ("plies.taper" in used) == (scheme == "scarf")


def test_work_from_the_inside_of_a_bend_measures_on_the_inner_face() -> None:
    """Damage typed on the outer face is carried to the inner one; margins are kept on that face."""
    document = text("cowling").replace('side = "outside"\nmoisture', 'side = "inside"\nmoisture')
    made = run(document)
    inner = next(s for s in made.plies.sides if s.side == "inside")
    assert made.plies.sides[0].side == "inside"
    assert near(inner.cutout, made.cutout.opening.outline)
    ratio = (0.6 - made.case.skin_depth("inside")) / 0.6
    assert made.case.geometry.damage is not None
    assert float(made.limits.across) == pytest.approx(
        math.ceil(made.case.geometry.damage.extent(math.pi / 2) * ratio * 1e3) * 1e-3
    )
    for ply in inner.plies:
        assert float(ply.overlap) == pytest.approx(float(ply.margin), abs=1e-8)
