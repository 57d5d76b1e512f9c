"""Photographs of a panel with printed marks: points and outlines in its axes, each with its uncertainty."""

from panelmend.photo.joined import AROUND, FoundSpot, Measured, Sat, measure
from panelmend.photo.library import NoPhotoPartError
from panelmend.photo.pictures import Picture, decoded, read_picture
from panelmend.photo.places import MarksFile, blank_places, parse_places, read_places
from panelmend.photo.shown import picture_of
from panelmend.photo.table import PlaceRow, read_back, rows_of, spots_as_table

__all__ = [
    "AROUND",
    "FoundSpot",
    "MarksFile",
    "Measured",
    "NoPhotoPartError",
    "Picture",
    "PlaceRow",
    "Sat",
    "blank_places",
    "decoded",
    "measure",
    "parse_places",
    "picture_of",
    "read_back",
    "read_picture",
    "read_places",
    "rows_of",
    "spots_as_table",
]
