"""The marks that are printed: coded squares of the AprilTag family 36h11, and the card for the pens.

The family (E. Olson, AprilTag: A robust and flexible visual fiducial system, ICRA 2011) has 587 numbers of 36
bits, any two at least 11 bits apart also when turned: a smudge does not make one number out of another, and a
mirrored mark is none.
"""

from __future__ import annotations

from typing import Any

from panelmend.errors import InputError
from panelmend.photo.library import vision

MARK_CELLS = 8  # along a side, the black border counted
HIGHEST_MARK = 586
CARD = 0  # the mark of the card on which each pen is tried
BOXES = ("dull", "sound", "line")  # on the card, in this order away from the mark
PAPER_RATIO = 1.5  # side of the cut paper over the side of the mark
_BOX_FIRST, _BOX_STEP, BOX_SIDE = 0.95, 0.5, 0.4  # over the side of the mark
POINTER = 0.75  # tip of the pointer of an item's mark, above its centre, over the side of the mark


def dictionary() -> Any:
    """The picture library's dictionary of the marks. Raises NoPhotoPartError."""
    cv2 = vision()
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)


def cells_of(number: int) -> tuple[tuple[bool, ...], ...]:
    """Rows of a mark from the top, true where it is black, the border included.

    Raises:
        InputError: no such number.
        NoPhotoPartError: the picture library is not installed.
    """
    if not 0 <= number <= HIGHEST_MARK:
        raise InputError("no mark has this number", read=str(number), expected=f"0 to {HIGHEST_MARK}")
    made = vision().aruco.generateImageMarker(dictionary(), number, MARK_CELLS, borderBits=1)
    return tuple(tuple(bool(v < 128) for v in row) for row in made)


def box_centre(i: int) -> tuple[float, float]:
    """Centre of a box on the card from the centre of its mark, x right, over the side of the mark."""
    return _BOX_FIRST + i * _BOX_STEP, 0.0


def paper_of(number: int) -> tuple[float, float, float, float]:
    """Cut paper of a mark: least x, least y, greatest x, greatest y from its centre, over its side."""
    half = 0.5 * PAPER_RATIO
    if number != CARD:
        return -half, -half, half, half
    return -half, -half, _BOX_FIRST + 2 * _BOX_STEP + 0.3, half
