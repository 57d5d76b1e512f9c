"""Ways round the second person and the newer entry: each stops, prints DRAFT, or is told."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from examples_here import edited
from panelmend.app.cli import main
from panelmend.app.shelf_authoring import typed_beside_source
from panelmend.app.shelf_verbs import find_entry, manual_named, supersedes_nobody
from panelmend.document.people import maybe_same, same_person
from panelmend.errors import DocumentError
from panelmend.job.case import case_of
from panelmend.render.planner import entry_named
from panelmend.shelves.dated import early_findings
from panelmend.shelves.folder import Folder
from panelmend.shelves.model import Shelf
from panelmend.shelves.parts import parts_of
from shelf_files import Shop, entry

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
NEWER = "M3-SRM rev 12 / Repair 7"


def rewrite(shop: Shop, shelf: str, name: str, *pairs: tuple[str, str]) -> None:
    """Change an entry by hand, its record of a check too."""
    path = shop.path(shelf, name)
    text = path.read_text("utf8")
    text = edited(text, *pairs)
    path.write_text(text, "utf8")


def newer(shop: Shop, claim: str = REPAIR_7, *pairs: tuple[str, str]) -> None:
    """A newer entry that says whose place it takes, as somebody typed it."""
    text = shop.read("data", REPAIR_7)
    text = text.replace(f'name = "{REPAIR_7}"', f'name = "{NEWER}"\nsupersedes = "{claim}"')
    shop.put(
        "data", NEWER, text.replace('first_margin = { value = "25.4 mm"', 'first_margin = { value = "30 mm"')
    )
    if pairs:
        rewrite(shop, "data", NEWER, *pairs)


@pytest.mark.parametrize(
    ("day", "found"), [("2026-11-25", []), ("2026-11-26", ["X465"]), ("2031-01-01", ["X465"])]
)
def test_a_check_after_the_day_of_the_work_is_a_draft(tmp_path: Path, day: str, found: list[str]) -> None:
    shop = Shop(tmp_path)
    rewrite(shop, "bays", "door cell", ("on = 2026-11-21", f"on = {day}"))
    assert shop.codes() == found


def test_an_entry_typed_after_the_work_is_a_draft(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit("bays", "door cell", ("typed_on = 2026-11-20", "typed_on = 2026-11-21"))
    assert shop.codes() == []
    later = ("\ntyped_on = 2026-11-21", "\ntyped_on = 2026-11-26"), ("\non = 2026-11-21", "\non = 2026-11-26")
    rewrite(shop, "bays", "door cell", *later)
    assert shop.codes() == ["X102"], "what was typed again is not checked"


@pytest.mark.parametrize(
    ("other", "maybe"),
    [
        ("John Hale", True), ("Mr J. Hale", True), ("J. Hale (QA)", True), ("Hale", True),
        ("J. R. Hale", True),
        ("K. Hale", False), ("Kim Hale", False), ("J. Hall", False), ("D. Aune", False), ("J. H.", False),
    ],
)  # fmt: skip
def test_names_that_may_be_one_person_are_a_draft(tmp_path: Path, other: str, maybe: bool) -> None:
    assert maybe_same("J. Hale", other) is maybe is maybe_same(other, "J. Hale")
    shop = Shop(tmp_path)
    rewrite(shop, "bays", "door cell", ('by = "D. Aune"\non', f'by = "{other}"\non'))
    assert shop.codes() == (["X466"] if maybe else [])


def test_two_full_names_are_two_people(tmp_path: Path) -> None:
    assert not maybe_same("Jane Hale", "John Hale")


@pytest.mark.parametrize("other", ["J. H\u0430le", "\u0408. Hale", "J. Hal\u0435"])
def test_a_letter_of_another_script_makes_no_second_person(tmp_path: Path, other: str) -> None:
    assert same_person("J. Hale", other)
    shop = Shop(tmp_path)
    rewrite(shop, "bays", "door cell", ('by = "D. Aune"\non', f'by = "{other}"\non'))
    with pytest.raises(DocumentError, match="nobody checks what they typed themselves"):
        shop.load()


@pytest.mark.parametrize(
    ("claim", "found"),
    [
        (REPAIR_7, ["X103"]),
        ("m3-srm REV 11 / repair 7", ["X103"]),
        ("M3-SRM rev 11 - Repair 7", ["X103"]),
        ("M3-SRM rev11 Repair 7", ["X103"]),
        ("M3-SRM rev 11 / Repair 8", []),  # that one stands there
        ("M3-SRM rev 10 / Repair 7", []),
    ],
)
def test_a_slip_in_the_name_supersedes_all_the_same(tmp_path: Path, claim: str, found: list[str]) -> None:
    shop = Shop(tmp_path)
    newer(shop, claim)
    assert shop.codes() == found


def test_an_escaped_key_supersedes(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    newer(shop, REPAIR_7, ("supersedes = ", '"superse\\u0064es" = '))
    assert shop.codes() == ["X103"]


@pytest.mark.parametrize(
    ("dated", "found"), [("2026-03-03", ["X467"]), ("2026-03-02", []), ("2026-03-01", [])]
)
def test_a_later_issue_of_the_manual_is_told(tmp_path: Path, dated: str, found: list[str]) -> None:
    """The newer entry does not say that it supersedes anything."""
    shop = Shop(tmp_path)
    newer(shop, REPAIR_7, (f'supersedes = "{REPAIR_7}"\n', ""), ("dated = 2026-03-02", f"dated = {dated}"))
    assert shop.codes() == found


@pytest.mark.parametrize(
    ("shelf", "name", "typed", "found"),
    [
        ("stores", "door cell, 2026-11-25", "2026-10-26", []),
        ("stores", "door cell, 2026-11-25", "2026-10-25", ["X507"]),
        ("bays", "door cell", "2026-10-26", []),
        ("bays", "door cell", "2026-10-25", ["X507"]),
        ("panels", "M3-5201-17-1", "2020-01-01", []),
    ],
)
def test_what_changes_from_day_to_day_goes_stale(
    tmp_path: Path, shelf: Shelf, name: str, typed: str, found: list[str]
) -> None:
    """A count of the stores of two years ago, and a barometer read in another season, passed unmentioned."""
    shop = Shop(tmp_path)
    shop.edit(shelf, name, ("typed_on = 2026-11-20", f"typed_on = {typed}"))
    assert shop.codes() == found


@pytest.mark.parametrize(("dated", "found"), [("2026-11-20", []), ("2026-11-21", ["X509"])])
def test_data_typed_before_its_revision_was_out_is_a_draft(
    tmp_path: Path, dated: str, found: list[str]
) -> None:
    shop = Shop(tmp_path)
    shop.edit("data", REPAIR_7, ("dated = 2026-03-02", f"dated = {dated}"))
    assert [c for c in shop.codes() if c != "X467"] == found


@pytest.mark.parametrize(
    ("typed", "checked", "told"),
    [
        ("2026-03-02", "2026-03-02", []),  # on its very day
        ("2026-03-01", "2026-03-02", ["typed on 2026-03-01"]),
        ("2026-03-02", "2026-03-01", ["checked on 2026-03-01"]),
        ("2026-03-01", "2026-03-01", ["typed on 2026-03-01, checked on 2026-03-01"]),
        ("2026-03-01", None, ["typed on 2026-03-01"]),
    ],
)
def test_each_day_before_the_revision_is_told(typed: str, checked: str | None, told: list[str]) -> None:
    check = None if checked is None else SimpleNamespace(on=date.fromisoformat(checked))
    entry = SimpleNamespace(
        raw={"data": {"manual": {"dated": "2026-03-02"}}},
        head=SimpleNamespace(typed_on=date.fromisoformat(typed), check=check),
        words="data made",
    )
    found = [f.words for f in early_findings([entry])]  # type: ignore[list-item]
    assert found == [f"data made: {words}; its revision is of 2026-03-02" for words in told]


def test_the_other_hand_has_a_part_number_of_its_own(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    with pytest.raises(DocumentError, match="the other hand has the part number of this one"):
        shop.edit("panels", "M3-5201-17-1", ('part_number = "M3-5201-17-2"', 'part_number = "m3-5201-17-1"'))


def test_a_panel_is_not_typed_as_its_own_other_hand(tmp_path: Path) -> None:
    """The entry of the left hand, with the right one's part number, planned as if it were the left."""
    shop = Shop(tmp_path)
    with pytest.raises(
        DocumentError, match=r"line \d+, panel\.part_number: this is the part number of the other"
    ):
        shop.edit("panels", "M3-5201-17-1", ('part_number = "M3-5201-17-1"', 'part_number = "M3-5201-17-2"'))


def test_a_confirmation_ends_within_five_years(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit("practice", "practice 2026", ("until = 2027-11-23", "until = 2031-11-24"))
    assert shop.codes() == []
    with pytest.raises(DocumentError, match="longer than five years"):
        shop.edit("practice", "practice 2026", ("until = 2031-11-24", "until = 2031-12-31"))


def test_a_material_of_the_job_never_hides_the_checked_one(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    text = shop.read("materials", "demo-glass-8h").split("[[materials.cloth]]")[1].split("[entry.check]")[0]
    shop.text += "\n[[materials.cloth]]\n" + text.replace('areal_mass = "300', 'areal_mass = "390')
    with pytest.raises(DocumentError, match="this material stands on the shelf and in the job, too"):
        shop.load()
    shop.text = shop.text.replace('id = "demo-glass-8h"', 'id = "demo-glass-9h"')
    assert shop.codes() == []


@pytest.mark.parametrize(
    ("shelf", "name", "old", "new", "found"),
    [
        ("panels", "M3-5201-17-1", "", "x", ["X580"]),
        ("panels", "M3-5201-17-1", "", "--", ["X580"]),
        ("panels", "M3-5201-17-1", "", "d4", []),
        ("practice", "practice 2026", "conditions", "x", ["X580"]),
        ("practice", "practice 2026", "conditions", "x 1", []),
    ],
)
def test_a_paper_of_a_single_stroke_is_asked_for(
    tmp_path: Path, shelf: Shelf, name: str, old: str, new: str, found: list[str]
) -> None:
    """How many letters and digits differ is counted; no word is judged."""
    shop = Shop(tmp_path)
    field = old or "against"
    line = next(x for x in shop.read(shelf, name).split("\n") if x.startswith(f"{field} = "))
    shop.edit(shelf, name, (line, f'{field} = "{new}"'))
    assert [c for c in shop.codes() if c == "X580"] == found


def test_the_name_of_an_entry_and_the_manual_stand_side_by_side(tmp_path: Path) -> None:
    """Names are people's own and never read: who checks, and who plans, sees another revision in one."""
    shop = Shop(tmp_path)
    data = entry(shop.read("data", REPAIR_7), "data", REPAIR_7)
    said = "\n".join(typed_beside_source(parts_of(data)[0], "J. Hale"))
    named, revision = said.index(REPAIR_7), said.index("manual.revision")
    assert "name of this entry" in said[:named]
    assert said[named:revision].count("\n") < 12
    assert manual_named(data) == [
        f"  name of this entry  {REPAIR_7}",
        "  its manual          number M3-SRM, revision 11, dated 2026-03-02",
    ]
    plan = SimpleNamespace(case=case_of(shop.load()))
    assert entry_named(plan) == [["Its name on the shelf", REPAIR_7]]  # type: ignore[arg-type]


def test_an_entry_that_supersedes_nobody_is_told_where_it_is_checked(tmp_path: Path) -> None:
    """A slip in the name left the old entry in use without a word."""
    shop = Shop(tmp_path)
    shelves = Folder(shop.folder / "shelves")
    newer(shop)
    assert supersedes_nobody(shelves, find_entry(shelves, NEWER)) == []
    rewrite(shop, "data", NEWER, (f'supersedes = "{REPAIR_7}"', 'supersedes = "M3-SRM rev 11 / Repair 71"'))
    shelves = Folder(shop.folder / "shelves")
    assert "no entry of that name is there" in supersedes_nobody(shelves, find_entry(shelves, NEWER))[0]
    told = CliRunner().invoke(main, ["shelf", "check", NEWER, "--at", str(shelves.root)])
    assert "leaves the old in use" in told.output
