"""Pictures from files: looked at before they are decoded, turned as the camera says, never half of one."""

from __future__ import annotations

import hashlib
import struct
import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from panelmend.errors import ReadingError
from panelmend.files import opening
from panelmend.photo.library import vision

LARGEST_PICTURE = 80 * 2**20  # bytes
MOST_PICTURE_ELEMENTS = 120_000_000  # picture elements; a larger one is no telephone's picture
LEAST_PICTURE_SIDE = 400  # picture elements along the shorter side
Pixels = npt.NDArray[np.uint8]


@dataclass(frozen=True)
class Picture:
    """A picture as read.

    ``pixels`` rows x columns x (blue, green, red), turned upright; ``digest`` SHA-256 of the file;
    ``from_camera`` whether the file says which camera made it (a screenshot does not).
    """

    name: str
    digest: str
    pixels: Pixels
    data: bytes
    from_camera: bool

    @property
    def size(self) -> tuple[int, int]:
        """Width and height [picture elements]."""
        return self.pixels.shape[1], self.pixels.shape[0]


def read_picture(path: Path) -> Picture:
    """Read a JPEG or PNG file.

    Raises:
        MissingError: no such file.
        ReadingError: too large, of another kind, cut short, or not decodable.
        NoPhotoPartError: the picture library is not installed.
    """
    with opening(path):
        if path.stat().st_size > LARGEST_PICTURE:
            raise ReadingError(
                "the file is too large",
                where=path.name,
                read=f"{path.stat().st_size / 2**20:.0f} MB",
                expected=f"at most {LARGEST_PICTURE // 2**20} MB",
                todo="save it as JPEG",
            )
        data = path.read_bytes()
    return decoded(data, path.name)


def decoded(data: bytes, name: str) -> Picture:
    """A picture from the bytes of its file. Raises ReadingError, NoPhotoPartError."""
    cv2 = vision()
    width, height, from_camera = picture_head(data, name)
    if width * height > MOST_PICTURE_ELEMENTS:
        raise ReadingError(
            "the picture is too large",
            where=name,
            read=f"{width} x {height}",
            expected=f"at most {MOST_PICTURE_ELEMENTS // 1_000_000} megapixels",
        )
    if min(width, height) < LEAST_PICTURE_SIDE:
        raise ReadingError(
            "the picture is too small to measure in",
            where=name,
            read=f"{width} x {height}",
            expected=f"at least {LEAST_PICTURE_SIDE} picture elements along the shorter side",
            todo="use the camera's own file, not a preview",
        )
    try:
        pixels = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
    except cv2.error:
        pixels = None
    if pixels is None:
        raise ReadingError("the picture cannot be decoded", where=name, todo="copy it from the camera again")
    return Picture(name, hashlib.sha256(data).hexdigest(), pixels, data, from_camera)


def picture_head(data: bytes, name: str) -> tuple[int, int, bool]:
    """Width and height [picture elements] as stored, and whether a camera is named; decodes nothing.

    Raises:
        ReadingError: cut short, damaged, or no JPEG and no PNG.
    """
    if data[:2] == b"\xff\xd8":
        return _jpeg(data, name)
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return _png(data, name)
    kind = ""
    if data[4:8] == b"ftyp":
        kind = "HEIC, AVIF or a film"
    elif data[:4] == b"%PDF":
        kind = "PDF"
    raise ReadingError(
        "this is no JPEG and no PNG picture",
        where=name,
        read=kind or ("an empty file" if not data else "another kind of file"),
        expected="a JPEG or PNG file",
        todo="set the telephone's camera to save JPEG, or save the picture as JPEG at full size",
    )


def _short(name: str) -> ReadingError:
    return ReadingError(
        "the file is cut short: the end of the picture is missing",
        where=name,
        todo="copy it from the camera again",
    )


def _jpeg(data: bytes, name: str) -> tuple[int, int, bool]:
    at, size, camera = 2, (0, 0), False
    while True:
        at = data.find(b"\xff", at)
        if at < 0 or at + 4 > len(data):
            raise _short(name)
        kind = data[at + 1]
        if kind in (0xFF, 0x00, 0x01) or 0xD0 <= kind <= 0xD8:
            at += 1 if kind == 0xFF else 2
            continue
        if kind == 0xD9:
            raise _short(name)
        length = int.from_bytes(data[at + 2 : at + 4], "big")
        part = data[at + 4 : at + 2 + length]
        if kind == 0xE1 and part[:6] == b"Exif\0\0":
            camera = camera or _names_camera(part[6:])
        if 0xC0 <= kind <= 0xCF and kind not in (0xC4, 0xC8, 0xCC):
            if len(part) < 5:
                raise _short(name)
            size = int.from_bytes(part[3:5], "big"), int.from_bytes(part[1:3], "big")
        if kind == 0xDA:
            break
        at += 2 + length
    # What follows the first scan is entropy coded: there 0xFF 0xD9 is the end and nothing else.
    if data.find(b"\xff\xd9", at) < 0:
        raise _short(name)
    if not all(size):
        raise ReadingError("the picture says no size", where=name)
    return *size, camera


def _names_camera(tiff: bytes) -> bool:
    """Whether the camera's maker or model (tags 0x010F, 0x0110) stands in the first directory."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    if order is None or len(tiff) < 8:
        return False
    (at,) = struct.unpack_from(order + "I", tiff, 4)
    if at + 2 > len(tiff):
        return False
    (count,) = struct.unpack_from(order + "H", tiff, at)
    for i in range(min(count, 200)):
        if at + 2 + 12 * i + 2 > len(tiff):
            break
        (tag,) = struct.unpack_from(order + "H", tiff, at + 2 + 12 * i)
        if tag in (0x010F, 0x0110):
            return True
    return False


def _png(data: bytes, name: str) -> tuple[int, int, bool]:
    at, size, camera = 8, (0, 0), False
    while at + 12 <= len(data):
        length, kind = int.from_bytes(data[at : at + 4], "big"), data[at + 4 : at + 8]
        if at + 12 + length > len(data):
            raise _short(name)
        if zlib.crc32(data[at + 4 : at + 8 + length]) != int.from_bytes(
            data[at + 8 + length : at + 12 + length], "big"
        ):
            raise ReadingError("the file is damaged", where=name, todo="copy it from the camera again")
        if kind == b"IHDR":
            size = (
                int.from_bytes(data[at + 8 : at + 12], "big"),
                int.from_bytes(data[at + 12 : at + 16], "big"),
            )
        if kind == b"eXIf":
            camera = _names_camera(data[at + 8 : at + 8 + length])
        if kind == b"IEND":
            return *size, camera
        at += 12 + length
    raise _short(name)
