"""Flip single bits of a package: scripts/flip_package.py COUNT SEED.

COUNT 0 flips every bit of a smaller one. Each flip must be found by panelmend and by the independent
checker. Run by .venv/bin/python.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from panelmend.records.package import check_package  # noqa: E402
from panelmend.records.package.form import pack, unpack  # noqa: E402
from panelmend.records.package.make import make_package, read_package  # noqa: E402
from panelmend.records.refusals import Refused  # noqa: E402
from records_made import JOB, KEYS, shop  # noqa: E402


def main() -> None:
    """Flip, and count what was not found."""
    count, seed = (int(x) for x in sys.argv[1:3])
    made = shop()
    made.begin_job()
    if count:
        made.do(*KEYS)
        made.release()
    whole = make_package(made.book.log, JOB)
    assert pack(unpack(whole)) == whole
    bits = range(8 * len(whole))
    flips = [random.Random(seed).choice(bits) for _ in range(count)] if count else list(bits)
    start, missed = time.process_time(), 0
    with TemporaryDirectory(dir="/dev/shm") as folder:
        path = Path(folder) / "p.zip"
        for bit in flips:
            bad = bytearray(whole)
            bad[bit // 8] ^= 1 << bit % 8
            path.write_bytes(bad)
            found = bool(check_package.check(str(path)))
            try:
                read_package(bytes(bad))
                found = False
            except Refused:
                pass
            missed += not found
    print(f"{len(whole)} bytes, {len(flips)} flips, {missed} missed, {time.process_time() - start:.0f} s")


if __name__ == "__main__":
    main()
