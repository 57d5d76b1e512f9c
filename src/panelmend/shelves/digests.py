"""Digests of what an entry says: values and words count; blanks, comments and line endings do not."""

from __future__ import annotations

import hashlib
import json
from datetime import date, datetime, time
from typing import Any


def whole_digest(raw: dict[str, Any]) -> str:
    """Digest of all an entry says, the record of its check included."""
    text = json.dumps(_plain(raw), sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf8", "surrogatepass")).hexdigest()


def checked_digest(raw: dict[str, Any]) -> str:
    """Digest of what a check is bound to: all but the records of the check itself."""
    head = raw.get("entry")
    if isinstance(head, dict):
        raw = {**raw, "entry": {k: v for k, v in head.items() if k not in ("check", "signed")}}
    return whole_digest(raw)


def _plain(value: Any) -> Any:
    """Values as JSON has them; what TOML tells apart stays apart."""
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_plain(v) for v in value]
    if isinstance(value, date | datetime | time):
        return {"": [type(value).__name__, value.isoformat()]}
    return value
