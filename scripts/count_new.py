"""Count what the jobs of the tests take at `panelmend new`: questions, refusals, lines, processor time.

    .venv/bin/python scripts/count_new.py

Each is typed at a terminal key by key. The time is that of the terminal's process alone, user and system,
without starting Python and loading the program, which `scripts/bench verbs` measures.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from new_jobs import KINDS, TWO_DAMAGES
from new_terminal import typed_at_a_terminal


def main() -> int:
    """Print the table."""
    jobs = {**{k.name: k.as_asked for k in KINDS}, "two damages": TWO_DAMAGES}
    print("| job | questions | answers refused | lines of the job | processor s |")
    print("| --- | --- | --- | --- | --- |")
    for name, typed in jobs.items():
        with tempfile.TemporaryDirectory() as folder:
            target = Path(folder) / "job.toml"
            made = typed_at_a_terminal(target, (*typed, ""))
            if made.code != 0:
                print(made.said)
                return 1
            lines = len(target.read_text("utf8").splitlines())
        print(f"| {name} | {made.questions} | {made.refused} | {lines} | {made.seconds:.2f} |")
    return 0


if __name__ == "__main__":
    sys.exit(main())
