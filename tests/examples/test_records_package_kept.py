"""The package that is kept with the examples: later releases must still read it, and see any bit flipped."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from panelmend.records.package import check_package
from panelmend.records.package.make import read_package
from panelmend.records.refusals import Refused

HERE = Path(__file__).parents[2] / "examples" / "records"
HEAD = "59-467dde130373f4ff"


def test_the_kept_package_is_sound_by_both_checkers_and_bears_its_head() -> None:
    kept = HERE / "DEMO-0001.zip"
    package = read_package(kept.read_bytes(), HEAD)
    assert package.manifest["invented"] is True
    assert package.manifest["job"] == "DEMO-0001"
    assert package.entries[max(package.entries)].what.kind == "released"
    assert check_package.check(str(kept), HEAD) == []
    assert HEAD in (HERE / "README.md").read_text("utf8")
    assert any(
        "another than the one on the paper" in x for x in check_package.check(str(kept), HEAD[:-1] + "0")
    )


def test_flipped_bits_of_it_are_found_by_both(tmp_path: Path) -> None:
    whole = (HERE / "DEMO-0001.zip").read_bytes()
    chance, target = random.Random(4), tmp_path / "flipped.zip"
    for _ in range(12):
        place = chance.randrange(len(whole))
        flipped = whole[:place] + bytes([whole[place] ^ (1 << chance.randrange(8))]) + whole[place + 1 :]
        with pytest.raises(Refused):
            read_package(flipped)
        target.write_bytes(flipped)
        assert check_package.check(str(target)), place
