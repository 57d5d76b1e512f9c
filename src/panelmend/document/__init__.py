"""The repair document: typed, checked with line numbers, versioned."""

from panelmend.document.geometry import shape_outline
from panelmend.document.model import VERSION, Document, catalogue_of
from panelmend.document.reader import Loaded, Opened, open_file, parse, parsed

__all__ = [
    "VERSION",
    "Document",
    "Loaded",
    "Opened",
    "catalogue_of",
    "open_file",
    "parse",
    "parsed",
    "shape_outline",
]
