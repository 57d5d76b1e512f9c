"""Files that people hand in: too large, without an end, of another shape than they say."""

from __future__ import annotations

import json
import os
import struct
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from panelmend.app import records as doing
from panelmend.app.cli import main
from panelmend.errors import InputError
from panelmend.records.canonical import link, sha256
from panelmend.records.package import check_package, form
from panelmend.records.package.make import make_package, read_package
from panelmend.records.rules.doing import LARGEST_FILE
from records_made import JOB, KEYS, refused, shop


def _sparse(path: Path, size: int) -> Path:
    with path.open("wb") as file:
        file.truncate(size)
    return path


def test_two_gigabytes_are_refused_before_they_are_read(tmp_path: Path) -> None:
    huge = _sparse(tmp_path / "photo.jpg", 2 * 2**30)
    with pytest.raises(InputError, match="too large"):
        doing.file_bytes(huge)
    with pytest.raises(InputError, match="too large"):
        doing.file_bytes(_sparse(tmp_path / "p", LARGEST_FILE + 1))
    assert len(doing.file_bytes(_sparse(tmp_path / "p", LARGEST_FILE))) == LARGEST_FILE
    with pytest.raises(InputError, match="too large"):
        doing.file_bytes(_sparse(tmp_path / "package.zip", form.LARGEST + 1), form.LARGEST)
    done = CliRunner().invoke(main, ["records", "check-package", str(_sparse(huge, form.LARGEST + 1))])
    assert (done.exit_code != 0, "too large" in done.output) == (True, True)


def test_what_has_no_end_is_no_file(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", Path("/dev/zero"), tmp_path):
        with pytest.raises(InputError, match="no file with an end"):
            doing.file_bytes(path)
    with pytest.raises(InputError, match="no such file"):
        doing.file_bytes(tmp_path / "none")


@pytest.mark.parametrize(("said", "good"), [(399, False), (400, True), (401, False)])
def test_a_file_that_grows_or_shrinks_while_it_is_read_is_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: int, good: bool
) -> None:
    """A camera or a logger still writes it: a part of it would be kept under the name of the whole."""
    (tmp_path / "log.csv").write_bytes(b"1,2,3,4,5\n" * 40)
    whole = Path.stat
    monkeypatch.setattr(
        Path, "stat", lambda p, **k: os.stat_result([*whole(p, **k)[:6], said, *whole(p, **k)[7:10]])
    )
    if good:
        assert len(doing.file_bytes(tmp_path / "log.csv")) == 400
        return
    with pytest.raises(InputError, match="grew or shrank"):
        doing.file_bytes(tmp_path / "log.csv")


@pytest.fixture(scope="module")
def whole() -> bytes:
    """The package of a job in work."""
    made = shop()
    made.begin_job()
    made.do(*KEYS[:2])
    return make_package(made.book.log, JOB)


def _resealed(whole: bytes, change: Callable[[dict[str, bytes], dict[str, Any]], object]) -> bytes:
    files = form.unpack(whole)
    manifest = json.loads(files["manifest.json"])
    change(files, manifest)
    listed = sorted(n for n in files if n not in ("manifest.json", "seal.txt"))
    if manifest.get("files") == json.loads(files["manifest.json"])["files"]:
        manifest["files"] = [{"file": n, "size": len(files[n]), "sha256": sha256(files[n])} for n in listed]
    if "deep" in manifest:
        files["manifest.json"] = b'{"a":' * 100_000
    else:
        files["manifest.json"] = json.dumps(manifest).encode()
    files["seal.txt"] = (sha256(files["manifest.json"]) + "\n").encode()
    return form.archive_of(files)


def _put(name: str, wrong: object, files: dict[str, bytes], manifest: dict[str, Any]) -> None:
    manifest[name] = wrong


def _both(whole: bytes, tmp_path: Path) -> None:
    path = tmp_path / "bad.zip"
    path.write_bytes(whole)
    refused("R149", lambda: read_package(whole))
    assert check_package.check(str(path))


WRONG: tuple[Any, ...] = (None, [], {}, "x", -1, 10**400, [[["x"]]], {"file": 1})


@pytest.mark.parametrize("name", ["kind", "job", "records", "number", "head", "files", "deep"])
def test_a_manifest_of_another_shape_is_refused_in_words_by_both(
    whole: bytes, tmp_path: Path, name: str
) -> None:
    for wrong in WRONG:
        _both(_resealed(whole, partial(_put, name, wrong)), tmp_path)
    if name != "deep":
        _both(_resealed(whole, lambda f, m: m.pop(name)), tmp_path)


@pytest.mark.parametrize("name", ["entries/x.json", "entries/-000001.json", "entries/1.json", "entries/0"])
def test_an_entry_under_another_name_is_refused_by_both(whole: bytes, tmp_path: Path, name: str) -> None:
    first = "entries/0000001.json"
    if name == "entries/-000001.json":
        refused("R149", lambda: _resealed(whole, lambda f, m: f.update({name: f.pop(first)})))
        return
    _both(_resealed(whole, lambda f, m: f.update({name: f.pop(first)})), tmp_path)


@pytest.mark.parametrize(
    "text", ["[" * 100_000, "{}", "null", '{"what":1}', '{"what":{"kind":[]}}', "\ud800"], ids=list("abcdef")
)
def test_an_entry_of_another_shape_in_a_chain_that_fits_is_refused_by_both(
    whole: bytes, tmp_path: Path, text: str
) -> None:
    data = text.encode("utf8", "surrogatepass")

    def change(files: dict[str, bytes], manifest: dict[str, Any]) -> None:
        chain = files["chain.txt"].decode().split("\n")
        files["entries/0000002.json"], chain[1] = data, sha256(data)
        files["chain.txt"] = "\n".join(chain).encode()
        before = "0" * 64
        for n, body in enumerate(chain[:-1], 1):
            before = link(n, before, body)
        manifest["head"] = before

    _both(_resealed(whole, change), tmp_path)


def test_an_index_of_a_million_names_is_not_read(tmp_path: Path) -> None:
    one = b"PK\x01\x02" + struct.pack("<6H3I5H2I", 20, 20, 0, 0, 0, 33, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0) + b"a"
    index = one * 1_000_000
    end = b"PK\x05\x06" + struct.pack("<4H2IH", 0, 0, 0xFFFF, 0xFFFF, len(index), 0, 0)
    path = tmp_path / "names.zip"
    path.write_bytes(index + end)
    assert check_package.check(str(path)) == [
        "no end as an archive has it, or an index of more files than it can hold"
    ]
    refused("R149", lambda: read_package(path.read_bytes()))
