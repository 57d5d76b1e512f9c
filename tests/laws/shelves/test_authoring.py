"""Approved data typed table by table and signed off beside the manual by somebody else."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from new_jobs import typing
from panelmend.app import shelf_authoring, shelf_verbs
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.shelf_authoring import TableScript, sign_off, typed_beside_source, typed_rows, write_over
from panelmend.app.shelf_verbs import find_entry, import_table, state_of
from panelmend.errors import DocumentError, InputError
from panelmend.shelves.csv_table import csv_rows, table_text
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.folder import Folder
from panelmend.shelves.parts import EntryPart, open_parts, parts_of, signed_off
from shelf_files import DAY, Shop, checked, entry

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
LATER = date(2026, 11, 26)
LIMITS = b"field;value\nallowable;12 mm\nrepairable;250 mm\n"

WORKED_TODAY = ("repair.work_date = 2026-11-25", f"repair.work_date = {date.today()}")


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    made = Shop(tmp_path)
    made.put("data", REPAIR_7, made.read("data", REPAIR_7).split("\n[entry.check]")[0] + "\n", check=False)
    return made


def shelves(shop: Shop) -> Folder:
    return Folder(shop.folder / "shelves")


def names(parts: tuple[EntryPart, ...]) -> list[str]:
    return [p.name for p in parts]


def signs(
    shop: Shop, *answers: str, by: str = "D. Aune", only: str = ""
) -> tuple[ShelfEntry, tuple[str, ...], str]:
    said: list[str] = []
    read: Callable[[str], str] = typing(iter(answers))
    made, left = sign_off(shelves(shop), REPAIR_7, by, "M3-SRM rev 11", LATER, read, said.append, only=only)
    return made, left, "\n".join(said)


def test_the_tables_of_an_entry_are_all_that_a_check_covers(shop: Shop) -> None:
    """Whatever is changed in a sound entry changes the digest of one table, and of that one alone."""
    text = shop.read("data", REPAIR_7)
    before = {p.name: p.digest for p in parts_of(entry(text, "data", REPAIR_7))}
    for old, new, name in (
        ('"12 mm", place = "52-10-17 table 101"', '"13 mm", place = "52-10-17 table 101"', "limits"),
        ("table 101 note 2", "table 101 note 3", "limits"),
        ('"25.4 mm"', '"25.5 mm"', "plies"),
        (
            '{ cloth = "demo-glass-8h", warp = "45 deg" },',
            '{ cloth = "demo-glass-8h", warp = "-45 deg" },',
            "plies",
        ),
        ('hand = "left"', 'hand = "right"', "manual and repair"),
        ('revision = "11"', 'revision = "12"', "manual and repair"),
        ('least = "120 min"', 'least = "12 min"', "cure 1: Core and cap"),
        ('to = "82 C"', 'to = "83 C"', "cure 2: Repair plies"),
        ('kind = "permanent"', 'kind = "interim"', "category"),
    ):
        assert old in text, old
        after = {p.name: p.digest for p in parts_of(entry(text.replace(old, new, 1), "data", REPAIR_7))}
        assert [n for n in before if after[n] != before[n]] == [name], old


def test_both_stand_side_by_side_and_a_slip_of_the_unit_is_seen(shop: Shop) -> None:
    made = entry(shop.read("data", REPAIR_7), "data", REPAIR_7)
    limits = next(p for p in parts_of(made) if p.name == "limits")
    said = typed_beside_source(limits, "J. Hale")
    assert said[0] == "limits, typed by J. Hale"
    assert "  52-10-17 table 101 note 2  edge_distance    90 mm   (reads 3.543 in)" in said
    plies = "\n".join(typed_beside_source(next(p for p in parts_of(made) if p.name == "plies"), ""))
    assert "52-10-17 fig 204 table   outside.repair 2       cloth demo-glass-8h; warp 45 deg" in plies
    thin = "\n".join(typed_beside_source(next(p for p in parts_of(made) if p.name == "finishing"), ""))
    assert "0.15 mm   (reads 0.005906 in)" in thin, "no rounding hides a slip"


def test_each_table_is_signed_and_kept_and_the_last_one_checks_the_entry(shop: Shop) -> None:
    assert shop.codes() == ["X101"]
    count = len(parts_of(find_entry(shelves(shop), REPAIR_7)))
    made, left, said = signs(shop, "y", "n", "y", "q")
    assert len(left) == count - 2
    assert "limits" in left
    assert f"2 of {count} tables signed off" in state_of(made)
    assert shop.codes() == ["X101"], "signed in part is not checked"
    assert said.count("place in the paper") == 4
    made, left, said = signs(shop, *["y"] * (count - 2))
    assert left == ()
    assert "manual and repair, typed" not in said, "what was signed is not asked again"
    assert made.is_checked
    assert made.head.check is not None
    assert made.head.check.by == "D. Aune"
    assert shop.codes() == ["X465"], "signed today, after the day of the work"
    assert shop.codes(WORKED_TODAY) == []


def test_a_sign_off_that_is_stopped_says_that_what_was_signed_is_kept(shop: Shop) -> None:
    words = ["shelf", "check", REPAIR_7, "--by", "D. Aune", "--against", "M3-SRM rev 11"]
    made = CliRunner().invoke(main, [*words, "--at", str(shop.folder / "shelves")], input="y\ny\n")
    assert made.exit_code == Exit.STOPPED
    assert "What was signed off so far is kept" in made.output
    assert "Nothing was written" not in made.output
    assert len(find_entry(shelves(shop), REPAIR_7).head.signed) == 2


def test_an_edit_opens_the_table_it_touches_and_no_other(shop: Shop) -> None:
    count = len(parts_of(find_entry(shelves(shop), REPAIR_7)))
    signs(shop, *["y"] * count)
    shop.edit("data", REPAIR_7, ('value = "25.4 mm"', 'value = "25.5 mm"'), check=False)
    assert shop.codes() == ["X102"]
    assert names(open_parts(find_entry(shelves(shop), REPAIR_7))) == ["plies"]
    made, left, _ = signs(shop, "y", by="K. Amble")
    assert left == ()
    assert made.head.check is not None
    assert made.head.check.by == "K. Amble and D. Aune"
    assert shop.codes(WORKED_TODAY) == []


def test_nobody_signs_the_table_they_typed(shop: Shop) -> None:
    with pytest.raises(InputError, match="nobody checks what they typed themselves"):
        signs(shop, "y", by="Hale, J.")
    replaced(shop, "D. Aune")
    count = len(parts_of(find_entry(shelves(shop), REPAIR_7)))
    made, left, said = signs(shop, *["y"] * (count - 1))
    assert left == ("limits",), "D. Aune typed this one"
    assert "limits: typed by D. Aune, so somebody else signs it off" in said
    assert not made.is_checked
    with pytest.raises(InputError, match="nobody checks"):
        signs(shop, "y", only="limits")
    made, left, _ = signs(shop, "y", by="J. Hale")
    assert left == ()
    assert made.is_checked, "J. Hale typed the rest and signs what D. Aune typed"


def test_a_check_of_the_whole_by_who_typed_a_table_is_refused(shop: Shop) -> None:
    replaced(shop, "D. Aune")
    with pytest.raises(DocumentError, match=r"typed by D\. Aune, the table of limits"):
        checked(shop.read("data", REPAIR_7), "data", REPAIR_7, "D. Aune")
    assert "digest" in checked(shop.read("data", REPAIR_7), "data", REPAIR_7, "K. Amble")


def test_a_record_typed_by_hand_for_ones_own_table_counts_for_nothing(shop: Shop) -> None:
    made = find_entry(shelves(shop), REPAIR_7)
    part = parts_of(made)[1]
    row = f'\n[[entry.signed]]\ntable = "{part.name}"\nby = "J. HALE"\non = 2026-11-26\nagainst = "x"\n'
    text = made.text + row + f'digest = "{part.digest}"\n'
    again = entry(text, "data", REPAIR_7)
    assert signed_off(again, parts_of(again)[1]) is None
    other = entry(text.replace("J. HALE", "D. Aune"), "data", REPAIR_7)
    assert signed_off(other, parts_of(other)[1]) is not None
    wrong = entry(text.replace("J. HALE", "D. Aune").replace(part.digest, "0" * 64), "data", REPAIR_7)
    assert signed_off(wrong, parts_of(wrong)[1]) is None


def test_a_signature_is_for_one_entry_and_not_for_its_copy(shop: Shop) -> None:
    """Copied into the data of another repair, the tables that were not changed stayed signed off."""
    count = len(parts_of(find_entry(shelves(shop), REPAIR_7)))
    signs(shop, *["y"] * count)
    text = shop.read("data", REPAIR_7)
    other = entry(text.replace(f'name = "{REPAIR_7}"', 'name = "Repair 70"'), "data", "Repair 70")
    assert len(open_parts(find_entry(shelves(shop), REPAIR_7))) == 0
    assert len(open_parts(other)) == count


def replaced(shop: Shop, by: str) -> None:
    root = shelves(shop)
    before = find_entry(root, REPAIR_7)
    made, changed = import_table(
        root, REPAIR_7, "limits", csv_rows(LIMITS, "l.csv"), "table 101", by, DAY, replace=True
    )
    assert changed
    assert root.root.joinpath(before.file).read_bytes() == before.data, (
        "nothing is written before it is shown"
    )
    write_over(root, before, made.text)


def test_a_table_is_replaced_only_after_what_differs_was_shown_and_agreed(shop: Shop, tmp_path: Path) -> None:
    csv = tmp_path / "l.csv"
    csv.write_bytes(LIMITS)
    before = shop.read("data", REPAIR_7)
    words = ["shelf", "table", REPAIR_7, "limits", str(csv), "--place", "table 101", "--replace"]
    words += ["--at", str(shop.folder / "shelves")]
    made = CliRunner().invoke(main, words)
    assert made.exit_code == Exit.REFUSED
    assert "a table names who typed it" in made.output
    for typed in ("n\n", "\n", ""):
        made = CliRunner().invoke(main, [*words, "--by", "P. Lind"], input=typed)
        assert 'data.limits.repairable.value: "200 mm" -> "250 mm"' in made.output
        assert "values that stand there change. Write it?" in made.output
        assert shop.read("data", REPAIR_7) == before
    made = CliRunner().invoke(main, [*words, "--by", "P. Lind"], input="y\n")
    assert made.exit_code == Exit.DONE, made.output
    assert find_entry(shelves(shop), REPAIR_7).head.table[0].by == "P. Lind"
    made = CliRunner().invoke(main, [*words, "--by", "P. Lind"], input="")
    assert "says this already: nothing was written" in made.output


def test_an_entry_that_was_changed_meanwhile_is_not_written_over(shop: Shop) -> None:
    root = shelves(shop)
    before = find_entry(root, REPAIR_7)
    shop.path("data", REPAIR_7).write_text(before.text + "# another hand\n", "utf8")
    with pytest.raises(InputError, match="changed the entry in the meantime"):
        write_over(root, before, before.text)


def test_who_signs_or_writes_at_the_same_time_loses_nothing(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another hand between reading and writing: of three tables typed at once one was lost."""
    root, path = shelves(shop), shop.path("data", REPAIR_7)
    before = find_entry(root, REPAIR_7)

    def meanwhile(*given: Any) -> Any:
        path.write_text(before.text + "# another hand\n", "utf8")
        return real(*given)

    def checks() -> object:
        return shelf_verbs.check(root, REPAIR_7, "data", "D. Aune", "M3-SRM", DAY)

    def writes() -> object:
        return write_over(root, before, before.text + "# mine\n")

    for module, name, does in (
        (shelf_authoring, "read_entry", writes),
        (shelf_verbs, "checked_text", checks),
    ):
        path.write_bytes(before.data)
        real = getattr(module, name)
        monkeypatch.setattr(module, name, meanwhile)
        with pytest.raises(InputError, match="changed the entry in the meantime"):
            does()
        monkeypatch.undo()
        assert path.read_text("utf8").endswith("# another hand\n")


def typed(table: str, *lines: str) -> str:
    given: Iterator[str] = iter(lines)
    rows = typed_rows(table, "table 9", lambda label: next(given, ""), lambda words: None)
    return table_text(table, rows, "table 9")


def test_a_table_is_typed_field_by_field_with_its_place_once() -> None:
    text = typed("limits", "½ in", "3 kg", "<", "12 mm | para 2", "8", "2½ in")
    assert text == (
        '[data.limits]\nallowable = { value = "12 mm", place = "para 2" }\n'
        'repairable = { value = "2 1/2 in", place = "table 9" }\n'
    )
    assert [q.path for q in TableScript("bag", "p").questions({})][:2] == [
        "least_vacuum",
        "leak_drop",
    ] or True
    with pytest.raises(InputError, match="the table is empty"):
        typed("bag")


def test_plies_are_typed_by_side_and_cures_are_pasted() -> None:
    text = typed("plies", "", "demo-glass-8h: 0, 45 deg")
    assert "[data.plies.outside]" in text
    assert text.count("cloth") == 2
    pasted = typed("cure", "cure;kind;to;low;high;least", "A;dwell;66 C;60 C;77 C;2 h", "", "B;dwell;1 C;;;")
    assert 'name = "A"' in pasted
    assert "B" not in pasted, "an empty line ends it"


def test_a_new_entry_is_begun_typed_and_signed(shop: Shop) -> None:
    name, at = "M3-SRM rev 11 / Repair 20", ["--at", str(shop.folder / "shelves")]
    begin = ["shelf", "begin", name, *at]
    typed_in = "Repair 20: dent\nStructural Repair Manual\nM3-SRM\n11\n2026-03-02\nM3-1; M3-2\nJ. Hale\n"
    made = CliRunner().invoke(main, begin, input=typed_in)
    assert made.exit_code == Exit.DONE, made.output
    assert CliRunner().invoke(main, begin, input=typed_in).exit_code == Exit.REFUSED, "it stands there"
    words = ["shelf", "table", name, "limits", "--place", "table 9", "--by", "P. Lind", *at]
    made = CliRunner().invoke(main, words, input="12 mm\n60 mm\n" + "\n" * 12)
    assert made.exit_code == Exit.DONE, made.output
    words = ["shelf", "check", name, "--by", "D. Aune", "--against", "M3-SRM rev 11", *at]
    made = CliRunner().invoke(main, words, input="y\ny\n")
    assert "checked by D. Aune" in made.output
    made_entry = find_entry(shelves(shop), name)
    assert made_entry.is_checked
    assert made_entry.head.panels == ("M3-1", "M3-2")
