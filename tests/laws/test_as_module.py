"""The tool starts as a module too: on Windows the folder of installed commands is often not on the path."""

from __future__ import annotations

import runpy

import pytest


def test_python_dash_m_is_the_command(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.argv", ["panelmend", "check", "no such file.toml"])
    with pytest.raises(SystemExit) as ended:
        runpy.run_module("panelmend", run_name="__main__")
    assert ended.value.code not in (0, None)
    assert "no such file.toml" in capsys.readouterr().err


def test_a_document_is_read_once_for_its_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twice would cost time, and the second look could find another text than the first."""
    from pathlib import Path

    from panelmend.app import loading, service

    seen: list[Path] = []
    read = loading._bytes

    def counted(path: Path) -> bytes:
        seen.append(path)
        return read(path)

    monkeypatch.setattr(loading, "_bytes", counted)
    (made,) = service.plans(Path("examples/gear_door/repair.toml"))
    assert made.case.name
    assert len(seen) == 1
