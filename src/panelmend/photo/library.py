"""The one door to the picture library, an optional extra of the install."""

from __future__ import annotations

from typing import Any

from panelmend.errors import MissingError


class NoPhotoPartError(MissingError):
    """The optional part of the install that reads photographs is not there."""


def vision() -> Any:
    """The picture library.

    Raises:
        NoPhotoPartError: it is not installed, or does not load, or is too old to know square marks.
    """
    todo = "install it with: pip install 'panelmend[photo]'"
    try:
        import cv2
    except ImportError as error:
        raise NoPhotoPartError(f"photographs need the optional part 'photo' ({error}); {todo}") from None
    if not hasattr(cv2, "aruco") or not hasattr(cv2.aruco, "ArucoDetector"):
        raise NoPhotoPartError(f"the installed picture library (opencv {cv2.__version__}) is too old; {todo}")
    return cv2
