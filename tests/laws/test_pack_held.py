"""What is handed out of a pack is of one pack and as it was packed, or nothing is."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest

from panelmend.errors import MissingError
from panelmend.render.pack import MANIFEST, parsed_manifest, write_pack
from panelmend.render.pack_held import NotAsPackedError, held_files

NAMES = [f"{i}.txt" for i in range(6)]


def _pack(folder: Path, said: bytes) -> Path:
    return write_pack(folder, {name: said + name.encode() for name in NAMES}, {"repair": "R"})


def _agree(files: dict[str, bytes], folder: Path) -> bool:
    rows = parsed_manifest(files[MANIFEST], folder)[1]
    return (
        all(hashlib.sha256(files[r.file]).hexdigest() == r.sha256 for r in rows)
        and len(rows) == len(files) - 1
    )


@pytest.fixture
def between(monkeypatch: pytest.MonkeyPatch) -> Callable[[str, Callable[[], object], int], None]:
    """Let something happen before a file of a pack is read, the first so many times."""

    def set_up(name: str, act: Callable[[], object], times: int) -> None:
        real, left = Path.read_bytes, [times]

        def read(path: Path) -> bytes:
            if path.name == name and left[0]:
                left[0] -= 1
                act()
            return real(path)

        monkeypatch.setattr(Path, "read_bytes", read)

    return set_up


def test_a_pack_replaced_while_it_is_read_comes_whole_and_of_one_manifest(
    tmp_path: Path, between: Callable[[str, Callable[[], object], int], None]
) -> None:
    folder = _pack(tmp_path / "pack", b"old ")
    between(NAMES[3], lambda: _pack(folder, b"new "), 1)
    files = held_files(folder, pause=0.0)
    assert _agree(files, folder)
    assert {files[n][:4] for n in NAMES} == {b"new "}


def test_a_pack_replaced_at_every_try_is_refused(
    tmp_path: Path, between: Callable[[str, Callable[[], object], int], None]
) -> None:
    folder, count = _pack(tmp_path / "pack", b"0"), iter(range(100))
    between(NAMES[3], lambda: _pack(folder, str(next(count)).encode() + b" "), 100)
    with pytest.raises(NotAsPackedError, match="is being replaced"):
        held_files(folder, tries=3, pause=0.0)
    assert next(count) == 3


def test_one_file_is_held_against_the_manifest_too(tmp_path: Path) -> None:
    folder = _pack(tmp_path / "pack", b"a ")
    (folder / NAMES[0]).write_bytes(b"b")
    assert held_files(folder, (NAMES[1],))[NAMES[1]] == b"a " + NAMES[1].encode()
    with pytest.raises(NotAsPackedError, match="not the file that was packed"):
        held_files(folder, (NAMES[0],), pause=0.0)
    (folder / NAMES[0]).unlink()
    with pytest.raises(NotAsPackedError, match="cannot be read"):
        held_files(folder, (NAMES[0],), pause=0.0)


def test_what_no_manifest_names_is_not_there(tmp_path: Path) -> None:
    folder = _pack(tmp_path / "pack", b"a ")
    (tmp_path / "out").write_bytes(b"secret")
    text = (folder / MANIFEST).read_text("utf8")
    for name in ("../out", "none.txt"):
        with pytest.raises(MissingError, match="no such file"):
            held_files(folder, (name,), pause=0.0)
    sha = hashlib.sha256(b"secret").hexdigest()
    row = f'"files": [{{"file": "../out", "size": 6, "sha256": "{sha}"}}, '
    (folder / MANIFEST).write_text(text.replace('"files": [', row), "utf8")
    with pytest.raises(NotAsPackedError, match="no file of a pack"):
        held_files(folder, pause=0.0)
    with pytest.raises(MissingError):
        held_files(tmp_path / "nowhere")
