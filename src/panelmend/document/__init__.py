"""The repair document: typed, checked with line numbers, versioned."""

from panelmend.document.faults import catalogue_of
from panelmend.document.model import VERSION, Document
from panelmend.document.reader import Loaded, parse

__all__ = ["VERSION", "Document", "Loaded", "catalogue_of", "parse"]
