"""Type examples/records/whole_repair.txt and keep the package it comes to.

With --check nothing is written: it says whether the card within the kept package is the one printed today.
Run by the project's Python: .venv/bin/python scripts/typed_package.py
"""

from __future__ import annotations

import lzma
import re
import shutil
import sys
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from zipfile import ZipFile

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from panelmend.records.canonical import read_canonical  # noqa: E402
from panelmend.records.package import check_package  # noqa: E402
from records_made import CHEAP  # noqa: E402
from records_typed import Typed  # noqa: E402

EXAMPLES = ROOT / "examples"
HERE = EXAMPLES / "records"
KEPT, README = HERE / "TAS-26-0417.zip.xz", HERE / "README.md"
HEAD = r"(?<=its head `)\d+-[0-9a-f]{16}(?=`)"
STEPS = r"(?<=all )\d+(?= steps)"


def lay_out(folder: Path) -> None:
    """Put beside each other what the typed lines read."""
    for name in ("repair.toml", "repair.heat.json", "repair.nest.json"):
        shutil.copyfile(EXAMPLES / "gear_door" / name, folder / name)
    for log in (EXAMPLES / "gear_door" / "cure-repair-plies.csv", HERE / "cure-core-and-cap.csv"):
        for file in (log, Path(f"{log}.read.json")):
            shutil.copyfile(file, folder / file.name)


def type_all(folder: Path) -> Typed:
    """Type all of it in a folder."""
    lay_out(folder)
    made = Typed(folder, CHEAP)
    made.run((HERE / "whole_repair.txt").read_text("utf8"))
    return made


def card_of(package: bytes) -> Any:
    """The steps of the job in a package, as they were signed when it was begun. Raises ValueError."""
    with ZipFile(BytesIO(package)) as archive:
        for name in archive.namelist():
            if name.startswith("entries/"):
                what = read_canonical(archive.read(name).decode())["what"]
                if what["kind"] == "job opened":
                    return what["steps"]
    raise ValueError("no job is begun in the package")


def main() -> int:
    """Type, check, keep."""
    with TemporaryDirectory() as folder:
        typed = type_all(Path(folder))
        made, head = Path(folder) / "package.zip", typed.told["head"]
        if found := check_package.check(str(made), head):
            print("\n".join(found))
            return 1
        package = made.read_bytes()
    steps = card_of(package)
    same = card_of(lzma.decompress(KEPT.read_bytes())) == steps
    if "--check" in sys.argv:
        print(f"The card in {KEPT.name} is {'the one' if same else 'another than is'} printed today.")
        return 0 if same else 1
    KEPT.write_bytes(lzma.compress(package, preset=9))
    text = README.read_text("utf8")
    for pattern, now in ((HEAD, head), (STEPS, str(len(steps)))):
        text, count = re.subn(pattern, now, text)
        assert count == 1, pattern
    README.write_text(text, "utf8")
    print(f"{len(steps)} steps, head {head}, {len(package)} bytes; the checker found nothing")
    return 0


if __name__ == "__main__":
    sys.exit(main())
