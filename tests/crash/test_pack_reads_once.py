"""A document or a shelf entry that is edited while its pack is made: never half old and half new."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from panelmend.app import service
from panelmend.errors import InputError
from panelmend.plan.plan import Plan
from panelmend.render import files
from shelf_files import Shop

LOT, OTHER = "LR-5520", "LR-9999"


def _pages(made: Plan, *_: object) -> dict[str, bytes]:
    return {"job-card.pdf": str(made.case.document.stores.lot).encode(), "document.toml": b"x"}


@pytest.fixture
def shelves(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    made = Shop(tmp_path)
    made.job.write_text(made.text, "utf8")
    monkeypatch.setattr(files, "pack_files", _pages)
    return made


@pytest.mark.parametrize("edited", ["entry", "document"])
def test_an_edit_during_a_search_writes_nothing(
    shelves: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, edited: str
) -> None:
    """The card had the new lot and the entry in the pack the old one; its check said sound."""
    document = shelves.job

    def edit() -> None:
        if edited == "document":
            document.write_text(document.read_text("utf8") + "\n# another word\n", "utf8")
        else:
            for path in (shelves.folder / "shelves" / "stores").glob("*.toml"):
                path.write_text(path.read_text("utf8").replace(LOT, OTHER), "utf8")

    def searched(path: Path, made: Plan, *_: object, **__: object) -> tuple[Plan, tuple[str, ...]]:
        edit()
        return service.plan(path), ()

    monkeypatch.setattr(service, "with_layouts_and_heat", searched)
    with pytest.raises(InputError, match="changed while its pack was made; nothing was written"):
        service.pack(document, tmp_path / "pack", 0.0, heat=False)
    assert not (tmp_path / "pack").exists()


def test_what_was_searched_is_packed_where_nothing_was_edited(
    shelves: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = shelves.job
    monkeypatch.setattr(
        service, "with_layouts_and_heat", lambda path, made, *_, **__: (replace(made), ("searched",))
    )
    written = service.pack(document, tmp_path / "pack", 0.0, heat=False)
    assert written.notes == ("searched",)
    assert LOT in (tmp_path / "pack" / "job-card.pdf").read_text("utf8")
    carried = [p.read_text("utf8") for p in (tmp_path / "pack" / "shelves").rglob("*.toml")]
    assert any(LOT in text for text in carried)
