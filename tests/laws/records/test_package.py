"""A job's package: checked by panelmend and by a program that needs nothing of it; both find changes."""

from __future__ import annotations

import ast
import io
import json
import random
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.records import seals
from panelmend.records.canonical import link, sha256
from panelmend.records.package import check_package, form
from panelmend.records.package.make import (
    CHECKER,
    SIGNED,
    compare_package,
    job_packaged,
    make_package,
    read_package,
)
from panelmend.records.store.log import printed_head
from records_made import A1, A3, JOB, KEYS, O11, Shop, begun, names, refused, shop, who

OTHER = "TAS-26-0419"


@pytest.fixture(scope="module")
def worked() -> Shop:
    """A shop with one job released and another in work, which is nobody else's business."""
    made = shop()
    made.receive("L1")
    made.receive("L9", material="secret cloth")
    made.begin_job()
    made.do(*KEYS[:2])
    made.book.issue(who("S1"), "L1", JOB, KEYS[2], "1")
    made.begin_job(OTHER, document=b"another document")
    made.book.keep_file(who("T1"), JOB, KEYS[2], "photo 1.jpg", b"\xff\xd8photograph\xff\xd9", "the pot")
    made.do(*KEYS[2:])
    made.fill(KEYS[0], by="T2", job=OTHER)
    made.release()
    return made


@pytest.fixture(scope="module")
def whole(worked: Shop) -> bytes:
    """The package of the released job."""
    return make_package(worked.book.log, JOB)


def _independent(folder: Path, whole: bytes, head: str = "") -> list[str]:
    path = folder / "package.zip"
    path.write_bytes(whole)
    return check_package.check(str(path), head)


def test_a_package_holds_for_both_checkers_and_is_the_same_twice(
    worked: Shop, whole: bytes, tmp_path: Path
) -> None:
    state = worked.state
    assert make_package(worked.book.log, JOB) == whole
    for number, _, hashed, _ in worked.book.log.entries()[:: len(worked.book.log.entries()) // 4]:
        head = printed_head(number, hashed)
        package = read_package(whole, head)
        compare_package(worked.book.log, package)
        assert _independent(tmp_path, whole, head) == []
    released = package.entries[state.jobs[JOB].released[2]].what
    assert released.performed_by == tuple(names(["T1"]))
    assert package.papers[sha256(b"the document")] == b"the document"


def test_which_job_a_file_is_a_package_of(whole: bytes, tmp_path: Path) -> None:
    """Asked before it is written over: a letter, half a package and another archive are none."""
    path = tmp_path / "file"
    other = io.BytesIO()
    with zipfile.ZipFile(other, "w") as archive:
        archive.writestr("manifest.json", '{"kind": "another", "job": "' + JOB + '"}')
    for data, job in (
        (whole, JOB),
        (whole[:-30], None),
        (b"a letter", None),
        (b"", None),
        (other.getvalue(), None),
    ):
        path.write_bytes(data)
        assert job_packaged(path) == job
    assert job_packaged(tmp_path) is None
    assert job_packaged(tmp_path / "none") is None


def test_a_package_shows_its_own_job_and_no_other(worked: Shop, whole: bytes) -> None:
    package = read_package(whole)
    texts = "".join(n.text() for n in package.entries.values())
    assert '"L1"' in texts
    for word in (OTHER, "secret cloth", "argon2"):
        assert word not in texts
    assert sha256(b"another document") not in package.papers
    assert b"argon2" not in whole
    assert len(package.entries) < package.manifest["number"]


def test_any_zip_program_opens_it_and_the_checker_runs_alone(whole: bytes, tmp_path: Path) -> None:
    path = tmp_path / "p.zip"
    path.write_bytes(whole)
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        read_me = archive.read("READ-ME.txt").decode("utf8")
        for part in (CHECKER, SIGNED):
            assert archive.read(part.name) == part.read_bytes()
            archive.extract(part.name, tmp_path)
    head = next(line.split()[1] for line in read_me.splitlines() if line.startswith("head"))
    command = [sys.executable, "-I", "-S", str(tmp_path / "check_package.py"), str(path)]
    done = subprocess.run([*command, head], capture_output=True, text=True, timeout=300)
    assert (done.returncode, done.stdout.splitlines()[0]) == (0, "Nothing was found.")
    assert done.stdout.splitlines()[1].startswith("Not looked at: whether what was typed is true;")
    (tmp_path / SIGNED.name).unlink()
    alone = subprocess.run(command, capture_output=True, text=True, timeout=300)
    assert (alone.returncode, "does not lie beside" in alone.stdout) == (1, True)
    path.write_bytes(whole[:-1])
    assert subprocess.run(command, capture_output=True, timeout=300).returncode == 1


def test_the_independent_checker_takes_nothing_but_the_standard_library() -> None:
    for part in (CHECKER, SIGNED):
        tree = ast.parse(part.read_text("utf8"), feature_version=(3, 9))
        named = [n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)]
        named += [a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names]
        assert named
        assert {str(n).split(".")[0] for n in named} <= sys.stdlib_module_names


def _seals_taken_away(files: dict[str, bytes]) -> None:
    """As by the first rules, which had none: their keeper's word that newer ones were taken on goes too."""
    chain = files["chain.txt"].decode().split("\n")
    for name in [n for n in files if n.startswith("entries/")]:
        entry = json.loads(files[name])
        if entry["what"]["kind"] == "rules taken on":
            del files[name]
            continue
        entry["what"].get("signature", {}).pop("seal", None)
        files[name] = json.dumps(entry, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()
        chain[int(name[8:-5]) - 1] = sha256(files[name])
    files["chain.txt"] = "\n".join(chain).encode()


def test_a_package_whose_seals_were_taken_away_is_found_by_both(whole: bytes, tmp_path: Path) -> None:
    """Whoever has the disk and nobody's secret could otherwise write any package."""
    forged = _again(whole, _seals_taken_away)
    assert any("no seal" in line for line in _independent(tmp_path, forged))
    assert "no seal" in refused("R149", lambda: read_package(forged))


def test_an_entry_of_the_job_that_was_left_out_is_found_by_both(whole: bytes, tmp_path: Path) -> None:
    """A rejection or a reading that is not shown: its digest stands in the chain, as that of another job's
    entry does. Only the last entry of a job has no signature after it."""
    files = form.unpack(whole)
    mine = [
        n for n in sorted(files)
        if n.startswith("entries/") and json.loads(files[n])["what"].get("job") == JOB
    ]  # fmt: skip
    signed = [n for n in mine[:-1] if json.loads(files[n])["what"]["kind"] == "step signed"]
    for name in {mine[0], mine[1], signed[1], signed[-1], mine[-2]}:
        forged = _again(whole, lambda held, n=name: held.pop(n))
        assert any("entry" in x for x in _independent(tmp_path, forged)), name
        refused("R149", lambda b=forged: read_package(b))
    forged = _again(whole, lambda held: held.pop(mine[-1]))
    assert _independent(tmp_path, forged) == []  # a job that was not released yet looks the same


def test_a_rejection_a_deviation_and_a_revision_are_not_left_out(tmp_path: Path) -> None:
    """Work that was rejected and done again, by the plan and by its revision."""
    made = begun()
    made.do(A1, A3)
    made.fill(O11)
    made.sign(O11, "did", "T1")
    made.book.raise_deviation(who("I2"), JOB, O11, "D1", [], "it slipped")
    shown = made.book.show_deviation(JOB, "D1")
    again = {"ground": "note 4", "words": "again", "again_from": O11}
    made.book.decide(who("E1"), JOB, "D1", e.Decision.AGAIN, shown, **again)
    made.fill(O11)
    made.sign(O11, "did", "T1")
    whole = make_package(made.book.log, JOB)
    assert _independent(tmp_path, whole) == []
    files = form.unpack(whole)
    for kind in ("deviation raised", "deviation decided", "readings"):
        name = [n for n in sorted(files) if f'"kind":"{kind}"'.encode() in files[n]][-1]
        forged = _again(whole, lambda held, n=name: held.pop(n))
        assert _independent(tmp_path, forged), kind
        refused("R149", lambda b=forged: read_package(b))


def test_single_flipped_bits_are_found_by_both(whole: bytes, tmp_path: Path) -> None:
    """Random ones, and some of every header, the index and the end; scripts/flip_package.py tries all."""
    chance = random.Random(3)
    places = [chance.randrange(len(whole)) for _ in range(60)]
    index = whole.rindex(b"PK\x01\x02")
    places += [chance.randrange(30) for _ in range(20)] + [index + chance.randrange(60) for _ in range(30)]
    places += [len(whole) - 1 - n for n in range(22)]
    for at in places:
        bad = bytearray(whole)
        bad[at] ^= 1 << chance.randrange(8)
        refused("R149", lambda b=bytes(bad): read_package(b))
        assert _independent(tmp_path, bytes(bad)), f"byte {at}"


def _again(whole: bytes, change: Callable[[dict[str, bytes]], None]) -> bytes:
    """A package changed inside and sealed anew, as somebody would who means it."""
    files = form.unpack(whole)
    change(files)
    manifest = json.loads(files["manifest.json"])
    listed = sorted(n for n in files if n not in ("manifest.json", "seal.txt"))
    manifest["files"] = [{"file": n, "size": len(files[n]), "sha256": sha256(files[n])} for n in listed]
    chain = files["chain.txt"].decode().split("\n")[:-1]
    before = "0" * 64
    for n, body in enumerate(chain, 1):
        before = link(n, before, body)
    manifest["number"], manifest["head"] = len(chain), before
    files["manifest.json"] = json.dumps(manifest).encode()
    files["seal.txt"] = (sha256(files["manifest.json"]) + "\n").encode()
    return form.archive_of(files)


def _rewritten(files: dict[str, bytes], old: bytes, new: bytes) -> None:
    chain = files["chain.txt"].decode().split("\n")
    for name in [n for n in files if n.startswith("entries/")]:
        if old in files[name]:
            files[name] = files[name].replace(old, new)
            chain[int(name[8:-5]) - 1] = sha256(files[name])
    files["chain.txt"] = "\n".join(chain).encode()


def test_a_package_written_anew_by_somebody_who_means_it_differs_from_the_head_on_paper(
    worked: Shop, whole: bytes, tmp_path: Path
) -> None:
    head = worked.book.log.check().printed
    forged = _again(whole, lambda files: _rewritten(files, b'"value":"12"', b'"value":"13"'))
    assert any("sealed" in line for line in _independent(tmp_path, forged))
    assert "sealed" in refused("R149", lambda: read_package(forged))
    assert any("paper" in line for line in _independent(tmp_path, forged, head))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (b'"by":"I1"', b'"by":"T1"', "own work"),
        (b'"name":"R. Osk","plan"', b'"name":"R. Ost","plan"', "signed as"),
        (b'"certificate_kind":"repairman"', b'"certificate_kind":""', "lacks certificate_kind"),
        (b'"standing":"READY"', b'"standing":"STOP"', "not ready"),
    ],
)
def test_the_independent_checker_sees_what_must_not_be(
    whole: bytes, tmp_path: Path, old: bytes, new: bytes, said: str
) -> None:
    forged = _again(whole, lambda files: _rewritten(files, old, new))
    assert any(said in line for line in _independent(tmp_path, forged)), _independent(tmp_path, forged)


def _drop(kind: str) -> Callable[[dict[str, bytes]], None]:
    def act(files: dict[str, bytes]) -> None:
        del files[sorted(n for n in files if n.startswith(kind))[-1]]

    return act


@pytest.mark.parametrize(
    "change",
    [
        _drop("papers/"),
        lambda files: files.update({"entries/0000001.json": files["entries/0000001.json"] + b" "}),
        lambda files: files.update({"chain.txt": files["chain.txt"][:-65]}),
    ],
)
def test_what_is_missing_or_does_not_fit_is_found_by_both(
    whole: bytes, tmp_path: Path, change: Callable[[dict[str, bytes]], None]
) -> None:
    forged = _again(whole, change)
    refused("R149", lambda: compare_and_read(forged))
    assert _independent(tmp_path, forged)


def compare_and_read(whole: bytes) -> None:
    """Read it."""
    read_package(whole)


def _zip(*names: str, data: bytes = b"x", how: int = zipfile.ZIP_STORED) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", how) as archive:
        for name in names:
            archive.writestr(name, data)
    return held.getvalue()


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_bombs_and_paths_that_leave_the_folder_are_refused_by_both(whole: bytes, tmp_path: Path) -> None:
    bad = {
        "bomb": _zip("a.txt", data=b"\0" * 10_000_000, how=zipfile.ZIP_DEFLATED),
        "up": _zip("../a.txt"),
        "root": _zip("/etc/passwd"),
        "drive": _zip("C:/a.txt"),
        "back": _zip("a\\..\\b"),
        "twice": _zip("a.txt", "a.txt"),
        "deep": _zip("a/b/c/d/e"),
        "plain": _zip("manifest.json"),
        "before": b"MZ" + whole,
        "after": whole + b"\0",
        "nothing": b"",
        "half": whole[: len(whole) // 2],
        "text": b"not a zip",
    }
    for name, data in bad.items():
        refused("R149", lambda d=data: read_package(d))
        assert _independent(tmp_path, data), name
    for name in ("../a", "/a", "a//b", "a/../b", ".hidden", "a\0b", "é", "a" * 101):
        refused("R149", lambda n=name: form.archive_of({n: b""}))
    with pytest.raises(InputError, match="not a head"):
        read_package(whole, "12-abc")


def test_names_of_files_that_people_chose_do_no_harm() -> None:
    made = shop()
    made.begin_job()
    refused("R108", lambda: made.book.keep_file(who("T1"), JOB, KEYS[0], "../../etc/passwd", b"x", "photo"))
    made.book.keep_file(who("T1"), JOB, KEYS[0], "a/../../b", b"x", "photo")
    made.book.keep_file(who("T1"), JOB, KEYS[0], "CON", b"y", "photo")
    package = form.unpack(make_package(made.book.log, JOB))
    kept = [n for n in package if n.startswith("papers/")]
    assert all(n.count("/") == 1 and ".." not in n.split("/")[1].split("-")[0] for n in kept)
    assert any(n.endswith("-a-..-..-b") for n in kept)


def test_no_package_of_a_log_that_does_not_hold_or_of_no_job(worked: Shop) -> None:
    refused("R122", lambda: make_package(worked.book.log, "TAS-0"))


def test_the_checkers_own_arithmetic_of_seals_is_that_of_the_standard() -> None:
    """RFC 8032, section 7.1, test 1; then keys and texts of our own, each with a bit flipped."""
    public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    printed = (
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
        "d25bf5f0595bbe24655141438e7a100b"
    )
    assert check_package.sealed(public, "", printed)
    for n in range(6):
        seed, text = bytes([n + 1]) * 32, f"text {n}"
        key, seal = seals.public_of(seed), seals.seal(seed, text)
        assert check_package.sealed(key, text, seal)
        assert not check_package.sealed(key, text + " ", seal)
        place = n * 20 + 1
        flipped = seal[:place] + f"{int(seal[place], 16) ^ 1:x}" + seal[place + 1 :]
        assert not check_package.sealed(key, text, flipped)
    assert not check_package.sealed("", "", printed)
    assert not check_package.sealed(public, "", "")
