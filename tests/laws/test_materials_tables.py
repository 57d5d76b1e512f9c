"""The built-in tables load whole, name their sources, invent nothing and cover every bagging use."""

from __future__ import annotations

import re
import tomllib
from datetime import date
from importlib import resources
from typing import Literal, get_args, get_origin

import pytest

from panelmend.errors import InputError, MissingError
from panelmend.materials import Bagging, Catalogue, MaterialSet, builtin
from panelmend.units import show, to_unit

TABLES = sorted(
    (
        e
        for e in resources.files("panelmend.materials").joinpath("tables").iterdir()
        if e.name.endswith(".toml")
    ),
    key=lambda e: e.name,
)
FIBRE_DENSITY = {"glass": 2550.0, "aramid": 1440.0, "carbon": 1760.0}  # kg/m3, as the tables state


def every() -> list[object]:
    sets = builtin()
    return [m for kind in type(sets).model_fields for m in getattr(sets, kind)]


def test_tables_are_there() -> None:
    assert [t.name for t in TABLES] == ["bagging.toml", "cloths.toml", "consumables.toml", "cores.toml"]


@pytest.mark.parametrize("table", TABLES, ids=lambda t: t.name)
def test_each_entry_has_source_and_date(table: object) -> None:
    rows = [row for group in tomllib.loads(table.read_text("utf8")).values() for row in group]  # type: ignore[attr-defined]
    assert rows
    for row in rows:
        assert row["source"].strip(), row["id"]
        assert isinstance(row["dated"], date), row["id"]
        assert row["dated"] <= date(2026, 11, 25)
        assert re.fullmatch(r"[a-z0-9][a-z0-9.-]*", row["id"]), row["id"]


def test_nothing_built_in_is_invented_and_ids_are_single() -> None:
    ids = [m.id for m in every()]  # type: ignore[attr-defined]
    assert len(ids) == len(set(ids)) == len(Catalogue(builtin()).ids())
    assert not any(m.invented for m in every())  # type: ignore[attr-defined]


def test_every_bagging_use_has_an_entry_without_numbers() -> None:
    uses = get_args(Bagging.model_fields["use"].annotation)
    assert get_origin(Bagging.model_fields["use"].annotation) is Literal
    catalogue = Catalogue(builtin())
    for use in uses:
        assert catalogue.bagging_for(use), use
    for item in builtin().bagging:
        assert item.roll_width is None
        assert item.thickness is None
        assert item.limit_temperature is None


def test_cured_thickness_follows_from_areal_mass() -> None:
    for cloth in builtin().cloth:
        expected = cloth.areal_mass.value / (FIBRE_DENSITY[cloth.fibre] * 0.45)
        assert cloth.cured_thickness.value == pytest.approx(expected, abs=0.5e-5)  # tables carry 0.01 mm
        assert "45 %" in cloth.cured_thickness.source


def test_faces_follow_the_weave() -> None:
    catalogue = Catalogue(builtin())
    assert catalogue.cloth("glass-7781").faced
    assert not catalogue.cloth("glass-128").faced
    assert show(catalogue.cloth("glass-7781").areal_mass.value, "areal mass", "in") == "8.90 oz/yd2"


def test_core_names_say_their_numbers() -> None:
    for core in builtin().core:
        density = to_unit(core.density.value, "density", "lb/ft3")
        assert f"{density:.1f} lb/ft3" in core.name
        cell = to_unit(core.cell_size.value, "length", "in") * 16
        assert round(cell) in (2, 3, 4, 6)
        assert cell == pytest.approx(round(cell))
        assert core.crush_strength is None, "strengths are the lot's, not a table's"


def test_solvents_carry_their_caution() -> None:
    for item in builtin().consumable:
        if item.unit == "ml" and item.id != "distilled-water":
            assert "flammable" in item.hazard
            assert "ventilation" in item.hazard


def test_own_entries_stand_before_the_built_in_ones() -> None:
    own = {
        "id": "acetone",
        "name": "ours",
        "source": "invented for this test",
        "dated": date(2026, 1, 1),
        "unit": "ml",
    }
    mine = MaterialSet.model_validate({"consumable": [own]})
    assert Catalogue(mine, builtin()).get("acetone").name == "ours"
    with pytest.raises(InputError, match="same id"):
        Catalogue(MaterialSet.model_validate({"consumable": [own, own]}))


def test_a_wrong_kind_or_an_unknown_id_is_refused_in_words() -> None:
    catalogue = Catalogue(builtin())
    with pytest.raises(MissingError, match="'acetone' is a consumable, not a cloth; there are: "):
        catalogue.cloth("acetone")
    with pytest.raises(MissingError, match="no core is called 'granite'"):
        catalogue.core("granite")
