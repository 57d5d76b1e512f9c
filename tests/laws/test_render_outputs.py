"""Labels, lists, plan.json and the pack folder: read back, the same bytes, whole or not at all."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from threading import Thread

import openpyxl
import pytest
import zxingcpp
from PIL import Image

from ends import all_ended
from examples_here import case
from panelmend.errors import OutputError, RangeError
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.files import kit_tables, plan_file
from panelmend.render.labels import labels_sheets, read_label_code
from panelmend.render.pack import check_pack, read_manifest, write_pack
from panelmend.render.pieces import heading_of, template_outline, templates_of
from panelmend.render.planjson import plan_json
from panelmend.render.tables import Column, ListTable, safe, to_csv, to_xlsx
from panelmend.shapes import outline


@pytest.fixture(scope="module", params=["gear_door", "cowling"])
def plan(request: pytest.FixtureRequest) -> Plan:
    return make_plan(case(request.param))


def test_every_label_reads_back_as_its_piece(plan: Plan) -> None:
    cut = [t for t in templates_of(plan) if t.operation in ("cut cloth", "cut core")]
    pages = labels_sheets(heading_of(plan), cut).png(200.0)
    seen = []
    for page in pages:
        for code in zxingcpp.read_barcodes(Image.open(io.BytesIO(page))):
            seen.append(read_label_code(code.text))
    assert sorted(c.piece for c in seen) == sorted(t.id for t in cut)
    assert {c.repair for c in seen} == {plan.case.document.repair.number}
    assert {c.digest for c in seen} == {plan.short_digest}


def test_the_kit_list_reads_back_from_both_files(plan: Plan) -> None:
    assert plan.work is not None
    kit, mixes = kit_tables(plan)
    rows = list(csv.reader(io.StringIO(to_csv(kit).decode("utf-8-sig"))))
    assert rows[0] == [*(c.heading for c in kit.columns), "Repair", "Panel", "Plan"]
    where = [plan.case.document.repair.number, plan.case.document.panel.name]
    assert all(row[-3:-1] == where and row[-1].startswith(plan.short_digest) for row in rows[1:])
    assert len(rows) == 1 + len(plan.work.kit.lines)
    book = openpyxl.load_workbook(io.BytesIO(to_xlsx((kit, mixes), title="kit")))
    assert book.sheetnames == ["Kit", "Mixes"]
    cells = [[c.value for c in row] for row in book["Mixes"].iter_rows()]
    header = next(i for i, row in enumerate(cells) if row[0] == "Mix")
    for row, mix in zip(cells[header + 1 :], plan.work.kit.mixes, strict=True):
        assert row[0] == mix.id
        assert row[1] == pytest.approx(1e3 * float(mix.resin))
        assert row[2] == pytest.approx(1e3 * float(mix.hardener))


@pytest.mark.parametrize("text", ["=1+1", "+cmd", "-2+3", "@SUM(A1)", " =1", "\t=1"])
def test_typed_text_never_becomes_a_formula(text: str) -> None:
    assert safe(text).startswith("'")
    table = ListTable("t", (), (Column("x"),), ((text,),))
    book = openpyxl.load_workbook(io.BytesIO(to_xlsx([table], title="t")))
    kinds = [c.data_type for row in book["t"].iter_rows() for c in row if c.value is not None]
    assert "f" not in kinds


def test_plan_json_holds_every_figure_and_every_outline(plan: Plan) -> None:
    assert plan.work is not None
    kept = json.loads(plan_file(plan))
    assert list(kept["figures"]) == [f.key for f in plan.ledger]
    for key, row in kept["figures"].items():
        assert row["origin"] in ("typed", "approved data", "table", "default practice", "computed")
        for used in row["inputs"].values():
            assert used in kept["figures"], f"{key} rests on {used}"
        if row["formula"]:
            assert row["formula"] in kept["formulas"]
    plies = [p for s in kept["parts"]["plies"]["sides"] for p in s["plies"]]
    assert [p["id"] for p in plies] == [p.id for p in plan.work.plies.plies]
    drawn = outline(plies[0]["template"]["vertices"])
    assert drawn.area == pytest.approx(plan.work.plies.plies[0].template.area, rel=1e-9)


def test_templates_are_the_plies_as_seen_from_their_side(plan: Plan) -> None:
    assert plan.work is not None
    by_id = {t.id: t for t in templates_of(plan)}
    for layup in plan.work.plies.sides:
        for ply in layup.plies:
            shown = by_id[ply.id].outlines[0]
            assert shown.digest() == ply.template.digest()
            again = template_outline(layup, ply.outline)
            assert again.area == pytest.approx(shown.area, rel=1e-12)
            assert again.bounds == pytest.approx(shown.bounds, abs=1e-9)


def files() -> dict[str, bytes]:
    return {"a.txt": b"one", "deep/er/b.bin": b"\x00\x01"}


def test_a_pack_is_written_whole_and_checks_itself(tmp_path: Path) -> None:
    folder = write_pack(tmp_path / "pack", files(), {"repair": "R"})
    assert (folder / "deep/er/b.bin").read_bytes() == b"\x00\x01"
    assert read_manifest(folder)[0]["repair"] == "R"
    assert check_pack(folder) == []
    (folder / "a.txt").write_bytes(b"two")
    (folder / "stranger").write_bytes(b"x")
    assert len(check_pack(folder)) == 2


def test_a_pack_replaces_a_pack_and_nothing_else(tmp_path: Path) -> None:
    target = tmp_path / "pack"
    write_pack(target, files(), {})
    write_pack(target, {"c.txt": b"new"}, {})
    assert sorted(p.name for p in target.iterdir()) == ["c.txt", "manifest.json"]
    other = tmp_path / "other"
    other.mkdir()
    (other / "mine").write_bytes(b"x")
    with pytest.raises(OutputError):
        write_pack(other, files(), {})
    assert [p.name for p in other.iterdir()] == ["mine"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["other", "pack"], "no leftovers beside it"


@pytest.mark.parametrize("name", ["../out", "/abs", "a/../../b", "", "manifest.json"])
def test_names_that_leave_the_pack_are_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(OutputError):
        write_pack(tmp_path / "pack", {name: b"x"}, {})
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_refuses_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "pack"
    write_pack(target, files(), {})
    import panelmend.render.pack as room

    def refuse(folder: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(room, "sync_folder", refuse)
    with pytest.raises(OutputError, match="space"):
        write_pack(target, {"c.txt": b"new"}, {})
    assert check_pack(target) == []
    assert (target / "a.txt").read_bytes() == b"one"
    assert [p.name for p in tmp_path.iterdir()] == ["pack"]


def test_the_pack_of_another_repair_is_replaced_only_when_that_is_said(tmp_path: Path) -> None:
    target = tmp_path / "pack"
    write_pack(target, files(), {"repair": "R-1"})
    with pytest.raises(OutputError, match=r"another repair, R-1.*--over-another"):
        write_pack(target, {"c.txt": b"new"}, {"repair": "R-2"})
    assert check_pack(target) == []
    assert read_manifest(target)[0]["repair"] == "R-1"
    write_pack(target, {"c.txt": b"new"}, {"repair": "R-2"}, over_another=True)
    write_pack(target, {"d.txt": b"newer"}, {"repair": "R-2"})
    assert read_manifest(target)[0]["repair"] == "R-2"


@pytest.mark.parametrize("numbers", [("R-1", "R-1", "R-1", "R-1"), ("R-1", "R-2", "R-3", "R-4")])
def test_packs_that_are_written_at_once_leave_one_that_is_whole(
    numbers: tuple[str, ...], tmp_path: Path
) -> None:
    target, done, refused = tmp_path / "pack", list[str](), list[str]()

    def write(number: str) -> None:
        try:
            write_pack(target, {f"{i}.txt": number.encode() for i in range(20)}, {"repair": number})
            done.append(number)
        except OutputError as error:
            refused.append(str(error))

    threads = [Thread(target=write, args=(n,), daemon=True) for n in numbers]
    for t in threads:
        t.start()
    all_ended(threads, "packs written at once")
    assert check_pack(target) == []
    assert {p.read_bytes().decode() for p in target.glob("*.txt")} == {read_manifest(target)[0]["repair"]}
    assert len(done) + len(refused) == len(numbers)
    assert all("another repair" in words for words in refused)
    assert len(set(done)) == 1, "no pack of another repair was written over"
    assert [p.name for p in tmp_path.iterdir()] == ["pack"]


def test_a_plan_is_written_a_value_a_line_and_holds_no_number_that_is_none() -> None:
    value = {
        "numbers": [0.1, -0.0, 1e-300, 5, -3, True, False, None, 10**20],
        "empty": [[], {}, ""],
        "words": {"ß": 'a "b"\n', "deep": [[[0.25]], {"x": [1.5, "y", {"z": 2.0}]}]},
    }
    made = plan_json(about=value, figures=(), parts={}, findings=())
    whole = json.loads(made)
    assert whole["about"] == value
    assert made.decode("utf8") == json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
    for harm in (float("nan"), [1.0, float("inf")], {"a": [[float("-inf")]]}):
        with pytest.raises(RangeError):
            plan_json(about={"x": harm}, figures=(), parts={}, findings=())
