"""What a plan says in full, as one digest; run as a program, of plans of which each is a process's first.

As a program it reads paths of documents line by line and answers each with a line. Every plan is made in a
copy of the process that has planned nothing before, so that nothing it kept can be in the answer.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from pathlib import Path

from ends import ended
from panelmend.app import service
from panelmend.errors import PanelmendError
from panelmend.render.card import card_data
from panelmend.render.files import plan_file


def said(path: Path) -> str:
    """The digest of all figures, parts, findings and the card of a plan, or the words of its refusal."""
    try:
        made = service.plan(path)
    except PanelmendError as error:
        return f"refused: {error}"
    card = json.dumps(card_data(made), sort_keys=True, default=repr) if made.work is not None else ""
    return f"{made.standing.value} {hashlib.sha256(plan_file(made) + card.encode()).hexdigest()}"


def main() -> None:
    """Answer each path from a process that planned nothing."""
    for line in sys.stdin:
        read, write = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                os.write(write, json.dumps(said(Path(json.loads(line)))).encode())
            except BaseException as error:
                os.write(write, json.dumps(f"broken: {error!r}").encode())
            os._exit(0)
        os.close(write)
        with os.fdopen(read, "rb") as answer:
            text = answer.read().decode()
        ended(child, "the copy that planned")
        print(text, flush=True)


if __name__ == "__main__":
    main()
