"""Check of a pack says what it stands at, and that manifest, plan, damages and job agree, or which do not."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.loading import load_all, read_all
from panelmend.app.shelves import FOLDER, with_entries
from panelmend.errors import OutputError
from panelmend.job.case import case_of
from panelmend.render.pack import ensure_own, write_pack
from shelf_files import Shop
from two_damages import SOUND as DOOR
from two_damages import job

Files = dict[str, bytes]
OPEN: dict[str, tuple[tuple[str, str], ...]] = {
    "READY": (),
    "DRAFT": (("J001", "confirm"),),
    "STOP": (("J001", "confirm"), ("L010", "stop")),
}


def _said(folder: Path) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, ["check", str(folder)])
    return done.exit_code, done.stdout, done.stderr


def _plan(loaded: Any, standing: str, digest: str) -> dict[str, Any]:
    about: dict[str, Any] = {
        "repair": loaded.document.repair.number,
        "plan_digest": digest,
        "document_digest": loaded.digest,
        "standing": standing,
    } | _reasons(standing)
    if loaded.shelved is not None:
        about["entries"] = [
            {"shelf": e.shelf, "name": e.name, "revision": e.revision, "file": e.file, "digest": e.digest}
            for e in loaded.shelved.entries
            if e.taken
        ]
    return about


def _reasons(standing: str) -> dict[str, Any]:
    """What a plan.json says beside its standing."""
    codes = OPEN.get(standing, ())
    stops = [code for code, weight in codes if weight == "stop"]
    return {"draft": bool(codes), "stop_reasons": stops, "draft_reasons": [code for code, _ in codes]}


def _pages(about: dict[str, Any], at: str = "", found: str = "") -> Files:
    """The pages of a plan; what it found is of what it stands at where ``found`` does not say another."""
    pages = {f"{at}job-card.pdf": b"card", f"{at}workings.pdf": b"workings"}
    codes = [("D005", "caution"), *OPEN.get(found or about["standing"], ())]
    findings = [
        {"code": code, "severity": weight, "place": "", "words": "", "todo": ""} for code, weight in codes
    ]
    return pages | {f"{at}plan.json": json.dumps({"about": about, "findings": findings}).encode()}


@pytest.fixture(scope="module")
def shelved(tmp_path_factory: pytest.TempPathFactory) -> tuple[Files, dict[str, Any]]:
    """What a pack of a job on shelves holds, and what its plan.json says of itself."""
    shop = Shop(tmp_path_factory.mktemp("shop"))
    loaded = shop.load()
    assert loaded.shelved is not None
    files = {f"{FOLDER}/{e.file}": e.data for e in loaded.shelved.entries}
    return files | {"document.toml": with_entries(case_of(loaded))}, _plan(loaded, "READY", "a" * 64)


def _packed(
    folder: Path, shelved: tuple[Files, dict[str, Any]], manifest: dict[str, str], **plan: Any
) -> Path:
    files, about = shelved
    told = about | _reasons(plan.get("standing", about["standing"])) | plan
    says = {"repair": told["repair"], "plan": told["plan_digest"], "document": told["document_digest"]}
    return write_pack(folder, files | _pages(told), says | {"name": "job.toml"} | manifest)


def test_a_pack_that_agrees_says_its_repair_plan_and_standing(
    tmp_path: Path, shelved: tuple[Files, dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = _packed(tmp_path / "pack", shelved, {})
    code, out, err = _said(folder)
    assert (code, err) == (Exit.DONE, "")
    assert f"Repair {shelved[1]['repair']}, plan aaaaaaaaaaaa, READY." in out
    monkeypatch.chdir(folder)
    assert _said(Path())[1] == out, "a folder has its name, however it is named"
    (folder / "mine" / "deeper").mkdir(parents=True)
    code, _, err = _said(folder)
    assert (code, "mine/ is not in the manifest" in err) == (Exit.REFUSED, True)


@pytest.mark.parametrize(
    ("standing", "code"), [("READY", Exit.DONE), ("DRAFT", Exit.DONE), ("STOP", Exit.STOP_PLAN)]
)
def test_what_a_pack_stands_at_is_its_first_line(
    tmp_path: Path, shelved: tuple[Files, dict[str, Any]], standing: str, code: Exit
) -> None:
    ended, out, _ = _said(_packed(tmp_path / "pack", shelved, {}, standing=standing))
    assert ended == code
    assert out.startswith(
        "pack: its" if standing == "READY" else f"pack: {standing}. Its pages say {standing}:"
    )


@pytest.mark.parametrize(
    ("manifest", "plan", "told"),
    [
        ({"repair": "R-2"}, {}, "manifest.json says repair R-2, and by plan.json it is"),
        ({"plan": "b" * 64}, {}, "manifest.json says plan bbbbbbbbbbbb, and by plan.json it is aaaaaaaaaaaa"),
        ({"document": "b" * 64}, {}, "manifest.json says document bbbbbbbbbbbb"),
        ({}, {"repair": "R-2"}, "plan.json says repair R-2, and document.toml"),
        ({}, {"document_digest": "b" * 64}, "is not what plan.json was planned from"),
        ({}, {"entries": []}, "the shelf entries in the pack are not those that plan.json names"),
        ({}, {"standing": "FINE"}, "holds a plan.json that cannot be read"),
    ],
)
def test_what_two_places_say_otherwise_is_named(
    tmp_path: Path,
    shelved: tuple[Files, dict[str, Any]],
    manifest: dict[str, str],
    plan: dict[str, Any],
    told: str,
) -> None:
    code, out, err = _said(_packed(tmp_path / "pack", shelved, manifest, **plan))
    assert (code, out) == (Exit.REFUSED, "")
    assert told in err
    assert "NOT AS PACKED" in err


@pytest.mark.parametrize(
    ("edited", "found", "told"),
    [
        ({"standing": "READY"}, "DRAFT", "plan.json says standing READY, and by its findings it is DRAFT"),
        ({"standing": "READY"}, "STOP", "plan.json says standing READY, and by its findings it is STOP"),
        ({"standing": "DRAFT"}, "STOP", "plan.json says standing DRAFT, and by its findings it is STOP"),
        ({"standing": "STOP"}, "READY", "plan.json says standing STOP, and by its findings it is READY"),
        ({"draft": False}, "DRAFT", "plan.json says draft false, and by its findings it is true"),
        ({"draft_reasons": []}, "DRAFT", "plan.json says draft_reasons [], and by its findings it is ["),
        ({"stop_reasons": []}, "STOP", "plan.json says stop_reasons [], and by its findings it is ["),
        ({"standing": "READY"} | _reasons("READY"), "DRAFT", "plan.json says standing READY"),
    ],
)
def test_a_standing_that_the_plan_itself_contradicts_is_named(
    tmp_path: Path, shelved: tuple[Files, dict[str, Any]], edited: dict[str, Any], found: str, told: str
) -> None:
    """A draft whose standing was edited, its manifest made anew, passed as READY."""
    files, about = shelved
    said = about | _reasons(found) | {"standing": found} | edited
    says = {"repair": said["repair"], "plan": said["plan_digest"], "document": said["document_digest"]}
    code, out, err = _said(write_pack(tmp_path / "pack", files | _pages(said, found=found), says))
    assert (code, out) == (Exit.REFUSED, "")
    assert told in err
    for lost in ("draft", "stop_reasons", "draft_reasons"):
        less = {key: value for key, value in about.items() if key != lost}
        pack = write_pack(tmp_path / lost, files | _pages(less), says)
        assert _said(pack)[0] == Exit.REFUSED, lost


def test_a_job_or_an_entry_other_than_the_planned_one_is_named(
    tmp_path: Path, shelved: tuple[Files, dict[str, Any]]
) -> None:
    files, about = shelved
    entry = next(name for name in files if name.startswith(f"{FOLDER}/panels/"))
    for name, old, new, told in (
        ("document.toml", b'title = "', b'title = "Other ', "is not what plan.json was planned from"),
        (entry, b"issue C", b"issue D", "is not what plan.json was planned from"),
        (
            "document.toml",
            b'title = "',
            b"title = 5 #",
            "NOT COMPARED with its plan, because its job is refused",
        ),
    ):
        other = files | {name: files[name].replace(old, new, 1)}
        assert other[name] != files[name], name
        code, out, err = _said(_packed(tmp_path / "pack", (other, about), {}))
        assert (code, out) == (Exit.REFUSED, ""), told
        assert told in err, err


LINE_ENDS = {
    "the mark": lambda text: b"\xef\xbb\xbf" + text.encode(),
    "line ends of two characters": lambda text: text.replace("\n", "\r\n").encode(),
    "both": lambda text: b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode(),
    "lines of both kinds": lambda text: text.replace("\n", "\r\n", 7).encode(),
}


@pytest.mark.parametrize("typed", LINE_ENDS.values(), ids=LINE_ENDS.keys())
def test_a_pack_agrees_whatever_line_ends_or_mark_its_document_had(
    tmp_path: Path, typed: Callable[[str], bytes]
) -> None:
    """Its job is packed as text: the digest its plan names was that of the bytes, and no such pack passed."""
    shop = Shop(tmp_path / "shop")
    shop.job.write_bytes(typed(shop.text))
    on_shelves = load_all(shop.job)[0]
    assert on_shelves.shelved is not None
    entries = {f"{FOLDER}/{e.file}": e.data for e in on_shelves.shelved.entries}
    alone, two = (
        read_all(typed(DOOR), tmp_path / "job.toml")[0],
        read_all(typed(job()), tmp_path / "job.toml"),
    )
    rows = [{"plan": "a" * 64, "standing": "READY"}] * 2
    whole = json.dumps({"number": "R-9", "standing": "READY", "damages": rows}).encode()
    listed = {"repair": "R-9", "plan": hashlib.sha256(" ".join(["a" * 64] * 2).encode()).hexdigest()}
    packs: list[tuple[Files, dict[str, str]]] = []
    for loaded, document in ((on_shelves, with_entries(case_of(on_shelves))), (alone, alone.text.encode())):
        about = _plan(loaded, "READY", "a" * 64)
        files = {"document.toml": document} | _pages(about) | (entries if loaded is on_shelves else {})
        packs.append((files, {"repair": about["repair"], "plan": "a" * 64, "document": loaded.digest}))
    files = {"document.toml": two[0].text.encode(), "damages.json": whole}
    for loaded in two:
        files |= _pages(_plan(loaded, "READY", "a" * 64), f"damage-{loaded.document.damage.id}/")
    packs.append((files, listed | {"document": hashlib.sha256(two[0].text.encode()).hexdigest()}))
    for number, (files, says) in enumerate(packs):
        assert _said(write_pack(tmp_path / f"pack{number}", files, says))[::2] == (Exit.DONE, ""), number
        document = files["document.toml"]
        for other in (b"# edited\n" + document, document.replace(b'title = "', b'title = "Other ', 1)):
            edited = files | {"document.toml": other}
            folder = write_pack(tmp_path / f"other{number}", edited, says, over_another=True)
            code, _, err = _said(folder)
            assert (code, "NOT AS PACKED" in err) == (Exit.REFUSED, True), number


def test_several_damages_agree_with_their_list(tmp_path: Path) -> None:
    text = job()
    (tmp_path / "job.toml").write_text(text, "utf8")
    read = load_all(tmp_path / "job.toml")
    assert len(read) == 2
    files: Files = {"document.toml": text.encode()}
    rows = []
    for loaded, standing, letter in zip(read, ("READY", "STOP"), "ab", strict=True):
        about = _plan(loaded, standing, letter * 64)
        files |= _pages(about, f"damage-{loaded.document.damage.id}/")
        rows.append({"name": loaded.document.damage.id, "plan": letter * 64, "standing": standing})
    says = {
        "repair": "R-9",
        "plan": hashlib.sha256(f"{'a' * 64} {'b' * 64}".encode()).hexdigest(),
        "document": hashlib.sha256(text.encode()).hexdigest(),
    }

    def said(number: str, listed: list[dict[str, str]], stands: str = "STOP") -> tuple[int, str, str]:
        whole = json.dumps({"number": number, "standing": stands, "damages": listed}).encode()
        return _said(write_pack(tmp_path / "pack", files | {"damages.json": whole}, says, over_another=True))

    code, out, err = said("R-9", rows)
    assert (code, err) == (Exit.STOP_PLAN, "")
    assert out.startswith("pack: STOP.")
    assert "plan aaaaaaaaaaaa, READY." in out
    assert "damages.json it is R-8" in said("R-8", rows)[2]
    assert "damages.json says standing READY, and by its plans it is STOP" in said("R-9", rows, "READY")[2]
    assert "names other plans" in said("R-9", [rows[0], {**rows[1], "standing": "READY"}])[2]


def test_a_pack_whose_plan_is_of_another_repair_is_not_written_over(
    tmp_path: Path, shelved: tuple[Files, dict[str, Any]]
) -> None:
    folder = _packed(tmp_path / "pack", shelved, {"repair": "R-2"})
    number = shelved[1]["repair"]
    for ours, other in (("R-2", number), (number, "R-2")):
        with pytest.raises(OutputError, match=f"another repair, {other}"):
            ensure_own(folder, ours)
    ensure_own(folder, "")
    ensure_own(_packed(tmp_path / "own", shelved, {}), number)
