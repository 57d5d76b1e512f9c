"""Photographs of a panel with printed marks: points and outlines in its axes, each with its uncertainty."""

from panelmend.photo.joined import LOOKED_AT_BEYOND as LOOKED_AT_BEYOND
from panelmend.photo.joined import FoundSpot as FoundSpot
from panelmend.photo.joined import Measured as Measured
from panelmend.photo.joined import Sat as Sat
from panelmend.photo.joined import measure as measure
from panelmend.photo.library import NoPhotoPartError as NoPhotoPartError
from panelmend.photo.pictures import Picture as Picture
from panelmend.photo.pictures import decoded as decoded
from panelmend.photo.pictures import read_picture as read_picture
from panelmend.photo.places import MarksFile as MarksFile
from panelmend.photo.places import blank_places as blank_places
from panelmend.photo.places import parse_places as parse_places
from panelmend.photo.places import read_places as read_places
from panelmend.photo.shown import picture_of as picture_of
from panelmend.photo.table import PlaceRow as PlaceRow
from panelmend.photo.table import read_back as read_back
from panelmend.photo.table import rows_of_spots as rows_of_spots
from panelmend.photo.table import spots_as_table as spots_as_table
