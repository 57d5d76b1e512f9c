"""Flip single bits of a package: scripts/flip_package.py COUNT SEED [FILE].

FILE is a package, also compressed (.xz); without it one of a short card is made. COUNT 0 flips every bit; of
what is made here, of a smaller one. Each flip must be found by panelmend and by the independent checker; what
either missed is told. Run by .venv/bin/python.
"""

from __future__ import annotations

import lzma
import random
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from panelmend.records.package import check_package  # noqa: E402
from panelmend.records.package.form import archive_of, unpack  # noqa: E402
from panelmend.records.package.make import make_package, read_package  # noqa: E402
from panelmend.records.refusals import Refused  # noqa: E402
from records_made import JOB, KEYS, shop  # noqa: E402


def main() -> None:
    """Flip, and count what was not found."""
    count, seed = (int(x) for x in sys.argv[1:3])
    whole = _read(Path(sys.argv[3])) if len(sys.argv) > 3 else _made(released=bool(count))
    assert archive_of(unpack(whole)) == whole
    bits = range(8 * len(whole))
    flips = [random.Random(seed).choice(bits) for _ in range(count)] if count else list(bits)
    start, missed, missed_alone = time.process_time(), 0, 0
    with TemporaryDirectory(dir="/dev/shm") as folder:
        path = Path(folder) / "p.zip"
        for bit in flips:
            bad = bytearray(whole)
            bad[bit // 8] ^= 1 << bit % 8
            path.write_bytes(bad)
            missed_alone += not check_package.check(str(path))
            try:
                read_package(bytes(bad))
                missed += 1
            except Refused:
                pass
    print(
        f"{len(whole)} bytes, {len(flips)} flips, missed: {missed} by panelmend, {missed_alone} alone", end=""
    )
    print(f", {time.process_time() - start:.0f} s")


def _read(file: Path) -> bytes:
    data = file.read_bytes()
    return lzma.decompress(data) if file.suffix == ".xz" else data


def _made(*, released: bool) -> bytes:
    made = shop()
    made.begin_job()
    if released:
        made.do(*KEYS)
        made.release()
    return make_package(made.book.log, JOB)


if __name__ == "__main__":
    main()
