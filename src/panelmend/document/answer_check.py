"""What the check of an engineering answer is bound to: an edit afterwards voids it."""

from __future__ import annotations

import hashlib
import json

from panelmend.document.model import Answer, Document

CHECKED = frozenset({"checked_by", "checked_on", "checked_against", "checked_digest"})


def job_number(number: str, damage: str) -> str:
    """The number of a repair without the letter of one of its damages."""
    return number.removesuffix(f"-{damage}") if damage else number


def answer_digest(document: Document, answer: Answer) -> str:
    """Digest of what an answer says, of what the data has in its place, and of whose it is."""
    said = {k: v for k, v in answer.model_dump(mode="json").items() if k not in CHECKED}
    number = job_number(document.repair.base, document.damage.id)
    whole = {"said": said, "number": number, "serial": document.panel.serial}
    return hashlib.sha256(json.dumps(whole, sort_keys=True, default=str).encode("utf8")).hexdigest()
