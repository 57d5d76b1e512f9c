"""Slips that once passed in silence, one by one: refused or asked, in a document and on shelves."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import cast

import pytest

from examples_here import case_from, text
from panelmend.app import service
from panelmend.derive import Ledger
from panelmend.document import parse
from panelmend.errors import DocumentError, Severity
from panelmend.job import limits
from panelmend.job.case import Case, case_of
from panelmend.plan.asked import check_asked
from shelf_files import Shop

HERE = Path(__file__).parent
EXAMPLES = {"D": "gear_door", "F": "root_fairing", "C": "cowling"}
ROWS = [tuple(row) for row in tomllib.loads((HERE / "wrong_today.toml").read_text("utf8"))["rows"]]
NAMES = [f"{what} {of} {i}" for i, (what, of, *_) in enumerate(ROWS)]
JOBS_OWN = ("far damage apart",)  # the damage is typed in the job


class _Used:
    """Says of every blanket that the plan uses it."""

    def __contains__(self, key: str) -> bool:
        return key.startswith("blanket.")


def answered(case: Case, how: str) -> list[str]:
    """What a case is asked about, or what stops it by the limits."""
    if how == "stop":
        ledger = Ledger()
        return [f.words for f in limits.check(case, ledger, limits.make(case, ledger)) if f.code == "L109"]
    asked = check_asked(case, cast(Ledger, _Used()))
    return [f.words for f in asked if f.severity is Severity.CONFIRM]


@pytest.fixture(scope="module")
def shops(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Shop]:
    """The shelves of each example, changed and put back by each row."""
    return {key: Shop(tmp_path_factory.mktemp(key), name) for key, name in EXAMPLES.items()}


@pytest.mark.parametrize("row", ROWS, ids=NAMES)
def test_in_one_file(row: tuple[str, ...]) -> None:
    _, of, old, new, how, words = row
    sound = text(EXAMPLES[of])
    assert old in sound
    document = sound.replace(old, new, 1)
    if how == "refused":
        with pytest.raises(DocumentError) as refused:
            parse(document.encode(), "repair.toml")
        assert any(words in f.sentence() and "line" in f.sentence() for f in refused.value.faults)
        return
    said = answered(case_from(document), how)
    assert any(words in s for s in said) if words else said == []
    assert not any(words in s for s in answered(case_from(sound), how)) or not words


@pytest.mark.parametrize(
    "row", [r for r in ROWS if r[0] not in JOBS_OWN], ids=[n for n in NAMES if n[:3] != "far"]
)
def test_on_shelves(row: tuple[str, ...], shops: dict[str, Shop]) -> None:
    _, of, old, new, how, words = row
    shop = shops[of]
    before = {
        p: t for p in sorted((shop.folder / "shelves").rglob("*.toml")) if old in (t := p.read_text("utf8"))
    }
    assert before, "a piece that stands on no shelf tests nothing"
    shop.job.write_text(shop.text, "utf8")
    try:
        for path, was in before.items():
            path.write_text(was.replace(old, new, 1), "utf8")
        if how == "refused":
            with pytest.raises(DocumentError) as refused:
                service.load(shop.job)
            assert any(words in f.sentence() and ".toml, line" in f.sentence() for f in refused.value.faults)
            return
        said = answered(case_of(service.load(shop.job)), how)
        assert any(words in s for s in said) if words else said == []
    finally:
        for path, was in before.items():
            path.write_text(was, "utf8")
