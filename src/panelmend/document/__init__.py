"""The repair document: typed, checked with line numbers, versioned."""

from panelmend.document.geometry import shape_outline
from panelmend.document.model import VERSION, Document, catalogue_of
from panelmend.document.reader import Loaded, OpenedFile, open_file, parse, parsed

__all__ = [
    "VERSION",
    "Document",
    "Loaded",
    "OpenedFile",
    "catalogue_of",
    "open_file",
    "parse",
    "parsed",
    "shape_outline",
]
