"""The repair document: typed, checked with line numbers, versioned."""

from panelmend.document.geometry import shape_outline as shape_outline
from panelmend.document.model import VERSION as VERSION
from panelmend.document.model import Document as Document
from panelmend.document.model import catalogue_of as catalogue_of
from panelmend.document.reader import Loaded as Loaded
from panelmend.document.reader import OpenedFile as OpenedFile
from panelmend.document.reader import open_file as open_file
from panelmend.document.reader import parse as parse
from panelmend.document.reader import parsed as parsed
