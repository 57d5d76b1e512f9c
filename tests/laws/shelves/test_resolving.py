"""A job on shelves is the document of the long form: same figures, provenance apart."""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path
from typing import Any

import pytest

from examples_here import FOLDER
from panelmend.app import service
from panelmend.app.telling import findings_words
from panelmend.derive import Thing
from panelmend.document import Loaded, parse
from panelmend.document.fields import inner_model
from panelmend.document.model import Document
from panelmend.errors import DocumentError
from panelmend.job.case import case_of
from panelmend.materials.meanings import meaning_of
from panelmend.materials.quantities import Typed
from panelmend.nesting.store import layouts_path, read_layouts
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.predict.kept_predictions import heat_path, read_predictions
from panelmend.shelves.sections import REFERS
from shelf_files import EXAMPLES, Shop, short

PROVENANCE = ("value", "conditions", "until", "sheet")


def alike(loaded: Loaded) -> dict[str, Any]:
    """A document as plain data; materials by id, confirmations without what only a practice sheet says."""
    data = loaded.document.model_dump()
    for kind, rows in data["materials"].items():
        data["materials"][kind] = sorted(rows, key=lambda r: str(r["id"]))
    data["confirm"] = {
        r["figure"]: {k: v for k, v in r.items() if k not in PROVENANCE} for r in data["confirm"]
    }
    return data


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_short_job_is_the_document_of_the_long_form(example: str) -> None:
    long = alike(service.load(FOLDER / example / "repair.toml"))
    made = alike(service.load(FOLDER / example / "short.toml"))
    more = set(made["confirm"]) - set(long["confirm"])  # a practice sheet speaks for other repairs, too
    assert all(f.split(".")[0] in ("core", "kit", "bag") for f in more)
    made["confirm"] = {k: v for k, v in made["confirm"].items() if k not in more}
    assert made == long


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_short_job_is_short(example: str) -> None:
    lines = [x for x in short(example).split("\n") if x.strip() and not x.strip().startswith("#")]
    assert len(lines) <= 25


def planned(example: str, file: str) -> Plan:
    kept = FOLDER / example / "repair.toml"
    layouts, heats = read_layouts(layouts_path(kept)), read_predictions(heat_path(kept))
    return make_plan(case_of(service.load(FOLDER / example / file)), layouts, predictions=heats)


@pytest.fixture(scope="module")
def both() -> tuple[Plan, Plan]:
    return planned("gear_door", "repair.toml"), planned("gear_door", "short.toml")


def test_every_figure_is_that_of_the_long_form(both: tuple[Plan, Plan]) -> None:
    def rows(plan: Plan) -> list[tuple[Any, ...]]:
        return [
            (
                f.key,
                f.value.digest() if isinstance(f.value, Thing) else f.value,
                f.kind,
                f.origin,
                f.formula,
                f.inputs,
                f.flags,
                f.limit,
            )
            for f in plan.ledger
        ]

    long, made = both
    assert rows(made) == rows(long)
    assert made.standing is long.standing
    aside = {"J002", "J350", "X105", "X114"}
    assert [(f.code, f.words) for f in made.findings if f.code not in aside] == [
        (f.code, f.words) for f in long.findings if f.code not in aside
    ]


def test_a_document_in_one_file_has_nothing_of_shelves(both: tuple[Plan, Plan]) -> None:
    long, _ = both
    assert long.case.shelved is None
    assert not any(f.stands for f in long.ledger)


def test_every_value_that_was_typed_says_where_it_stands(both: tuple[Plan, Plan]) -> None:
    """Approved values and values of the document's own materials by file and line; none is left out."""
    _, made = both
    for f in made.ledger:
        if f.origin == "approved data":
            assert f.stands.startswith("data/M3-SRM rev 11 - Repair 7.toml, line "), f.key
    stands = {f.key: f.stands for f in made.ledger}
    text = (FOLDER / "shelves" / "panels" / "M3-5201-17-1.toml").read_text("utf8").split("\n")
    line = next(i for i, x in enumerate(text, 1) if x.startswith("core = "))
    assert f"panels/M3-5201-17-1.toml, line {line}" in set(stands.values())
    assert stands["damage.outline"].startswith("short.toml, line ")
    assert "stands in: data/M3-SRM rev 11 - Repair 7.toml, line" in made.ledger.explain(
        "limits.edge_distance"
    )


def test_a_figure_of_practice_says_so_beside_it(both: tuple[Plan, Plan]) -> None:
    _, made = both
    said = made.ledger["bag.film_allowance"].source
    assert (
        str(said)
        == "shop practice, not approved, practice 2026, D. Aune, until 2027-11-23, for film of 50 um"
    )
    notes = [f.words for f in made.findings if f.code == "X114"]
    assert len(notes) == 4, "four rows of the sheet"
    assert "kit.wet_margin = 25.4 mm, kit.allowance = 0.100 (practice 2026, shop practice sheet 4" in "".join(
        notes
    )
    assert all("until 2027-11-23, for " in n for n in notes)
    told = findings_words(made)
    assert told.count("X114") == told.count("X105") == 1, "each said once"


@pytest.mark.parametrize(
    ("shelf", "name", "old", "new"),
    [
        ("panels", "M3-5201-17-1", 'thickness = "20 mm"', 'thickness = "21 mm"'),
        ("data", "M3-SRM rev 11 / Repair 7", 'value = "12 mm"', 'value = "13 mm"'),
        ("materials", "demo-glass-8h", '"300 g/m2"', '"301 g/m2"'),
        ("bays", "door cell", '"18 C"', '"19 C"'),
        ("practice", "practice 2026", '"20 %"', '"21 %"'),
        ("stores", "door cell, 2026-11-25", '"14 m"', '"15 m"'),
    ],
)
def test_a_change_on_any_shelf_changes_the_digest(
    tmp_path: Path, shelf: Any, name: str, old: str, new: str
) -> None:
    shop = Shop(tmp_path)
    before = shop.load()
    shop.edit(shelf, name, (old, new))
    after = shop.load()
    assert before.digest != after.digest
    assert before.document != after.document


def test_blanks_comments_and_line_ends_change_no_digest(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    before = shop.load()
    path = shop.path("bays", "door cell")
    text = path.read_text("utf8").replace("[bay]", "# a remark\n[bay]").replace("\n", "\r\n")
    path.write_bytes(b"\xef\xbb\xbf" + text.encode("utf8"))
    after = shop.load()
    assert before.digest == after.digest
    assert shop.codes() == []


def test_a_fault_in_an_entry_is_told_with_its_own_file_and_line(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit("data", "M3-SRM rev 11 / Repair 7", ('value = "12 mm"', 'value = "12"'))
    with pytest.raises(DocumentError) as refused:
        shop.load()
    (fault,) = refused.value.faults
    line = shop.read("data", "M3-SRM rev 11 / Repair 7").split('value = "12"')[0].count("\n") + 1
    assert fault.where == f"data/M3-SRM rev 11 - Repair 7.toml, line {line}, data.limits.allowable.value"


def test_a_fault_between_entries_is_told_where_it_was_typed(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit("panels", "M3-5201-17-1", ('cloth = "demo-glass-8h"', 'cloth = "demo-glass-9h"'))
    with pytest.raises(DocumentError, match=r"panels/M3-5201-17-1\.toml, line \d+, panel.outer_skin.*8h"):
        shop.load()


def test_what_a_stage_refuses_is_told_where_it_was_typed(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit("practice", "practice 2026", ('"20 %"', '"20 mm"'))
    shop.load()
    with pytest.raises(Exception, match=r"practice/practice 2026\.toml, line \d+: .*20 mm"):
        service.plan(shop.job)


def test_every_field_that_holds_a_material_is_looked_through() -> None:
    """A field that the model gains later and that names a material must be brought along, too."""
    seen: set[type] = set()
    named: set[str] = set()

    def walk(model: type[Typed]) -> None:
        if model in seen:
            return
        seen.add(model)
        for name, field in model.model_fields.items():
            meaning = meaning_of(model, name).lower()
            if "material id" in meaning or "consumable id" in meaning or name == "material":
                named.add(name)
            inner, _ = inner_model(field.annotation)
            if inner is not None:
                walk(inner)

    walk(Document)
    assert named - set(REFERS) == set()


def test_version_one_still_loads_and_two_in_one_file_does() -> None:
    text = (FOLDER / "gear_door" / "repair.toml").read_text("utf8")
    assert tomllib.loads(text)["panelmend"] == 1
    whole = service.read_text(text.replace("panelmend = 1", "panelmend = 2").encode(), Path("/x/repair.toml"))
    assert whole.document == parse(text.encode(), "repair.toml").document
    assert whole.shelved is not None
    assert whole.shelved.entries == ()


def test_nothing_of_shelves_is_read_in_for_a_document_without_them() -> None:
    """Modules that every plan reads in name the shelves, if at all, inside the function that needs them."""
    root = Path(service.__file__).parents[1]
    rooms = ("job", "plan", "document", "derive", "render", "nesting", "predict")
    paths = [root / "app" / f"{n}.py" for n in ("service", "cli", "cli_shelf", "telling", "heat")]
    for path in [*paths, *(p for room in rooms for p in (root / room).rglob("*.py"))]:
        for node in ast.parse(path.read_text("utf8")).body:
            named = [getattr(node, "module", "") or "", *(a.name for a in getattr(node, "names", []))]
            if isinstance(node, ast.Import | ast.ImportFrom):
                assert not any(n.startswith(("panelmend.shelves", "panelmend.app.shel")) for n in named), path
