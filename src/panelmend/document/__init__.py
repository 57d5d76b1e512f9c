"""The repair document: typed, checked with line numbers, versioned."""

from panelmend.document.geometry import shape_outline
from panelmend.document.model import VERSION, Document, catalogue_of
from panelmend.document.reader import Loaded, parse

__all__ = ["VERSION", "Document", "Loaded", "catalogue_of", "parse", "shape_outline"]
