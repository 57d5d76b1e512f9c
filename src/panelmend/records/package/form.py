"""The archive's form: a zip of stored files with nothing left to chance: a flipped bit has nowhere to hide.

Same contents, same bytes: names in order, no times, no attributes, no comments, no compression. Any zip
program opens it; reading is strict, and anything else is refused.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Mapping

from panelmend.records.refusals import PACKAGE

_LOCAL, _CENTRAL, _END = b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06"
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}(/[A-Za-z0-9][A-Za-z0-9._-]{0,99}){0,2}")
LARGEST = 2**31  # [bytes] of a whole package
MOST = 20_000  # files
_VERSION, _DAY = 20, 0x21  # 1 January 1980


def archive_of(files: Mapping[str, bytes]) -> bytes:
    """The archive of some files. Raises Refused for a name or size it does not take."""
    if len(files) > MOST or sum(map(len, files.values())) > LARGEST - 2**24:
        raise PACKAGE(f"{len(files)} files, {sum(map(len, files.values()))} bytes")
    body, index = bytearray(), bytearray()
    for name in sorted(files):
        if not _NAME.fullmatch(name):
            raise PACKAGE(f"a file named {name[:60]!r}")
        data, raw = files[name], name.encode("ascii")
        common = struct.pack(
            "<HHHHHIIIHH", _VERSION, 0, 0, 0, _DAY, zlib.crc32(data), len(data), len(data), len(raw), 0
        )
        index += (
            _CENTRAL
            + struct.pack("<H", _VERSION)
            + common
            + struct.pack("<HHHII", 0, 0, 0, 0, len(body))
            + raw
        )
        body += _LOCAL + common + raw + data
    end = _END + struct.pack("<HHHHIIH", 0, 0, len(files), len(files), len(index), len(body), 0)
    return bytes(body + index + end)


def unpack(whole: bytes) -> dict[str, bytes]:
    """The files of an archive in this form.

    Raises:
        Refused: any other form: compression, paths that leave the folder, names twice or out of order,
            something before, between or after, a wrong sum.
    """
    if len(whole) > LARGEST:
        raise PACKAGE(f"{len(whole)} bytes, {LARGEST} at most")
    files: dict[str, bytes] = {}
    at, last = 0, ""
    while whole[at : at + 4] == _LOCAL:
        if len(files) >= MOST or at + 30 > len(whole):
            raise PACKAGE("too many files, or one cut off")
        size, length = (
            struct.unpack_from("<I", whole, at + 22)[0],
            struct.unpack_from("<H", whole, at + 26)[0],
        )
        start = at + 30 + length
        try:
            name = whole[at + 30 : start].decode("ascii")
        except UnicodeDecodeError:
            raise PACKAGE("a name with other letters than A to Z") from None
        if start + size > len(whole) or not _NAME.fullmatch(name) or name <= last:
            raise PACKAGE(f"a file named {name[:60]!r}, or one cut off or out of order")
        files[name] = whole[start : start + size]
        at, last = start + size, name
    if archive_of(files) != whole:
        raise PACKAGE(
            "its form is another than a package's: something was changed, compressed, hidden or added"
        )
    return files
