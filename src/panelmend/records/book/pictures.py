"""Whether a photograph came whole."""

from __future__ import annotations

import re


def half_written(data: bytes) -> bool:
    """Whether a JPEG or PNG file lacks its end; what a camera writes after its picture may stand."""
    if data.startswith(b"\xff\xd8"):
        return not _jpeg_ends(data)
    return data.startswith(b"\x89PNG\r\n\x1a\n") and not data.endswith(b"IEND\xaeB`\x82")


_SCAN, _END = 0xDA, 0xD9  # markers of JPEG (ITU-T T.81, table B.1): a scan begins, the image ends
_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})  # those without a length
_MARKER = re.compile(rb"\xff+[^\x00\xff\xd0-\xd7]", re.DOTALL)  # the next one in a scan's own bytes


def _jpeg_ends(data: bytes) -> bool:
    """Whether the picture itself comes to its end; that of a preview inside it is none."""
    at = 2
    while at + 1 < len(data):
        if data[at] != 0xFF:
            return data.rstrip(b"\0").endswith(b"\xff\xd9")  # no segments as a JPEG has them
        kind = data[at + 1]
        if kind == _END:
            return True
        if kind == 0xFF or kind in _ALONE:
            at += 1 if kind == 0xFF else 2
            continue
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        if kind == _SCAN:
            found = _MARKER.search(data, at)
            if found is None:
                return False
            at = found.end() - 2
    return False
