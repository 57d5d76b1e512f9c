"""What users do with shelves: jobs that use them, entries looked at, added, checked, compared."""

from __future__ import annotations

from pathlib import Path

from panelmend.derive import Ledger
from panelmend.document import Loaded, Opened
from panelmend.job import limits
from panelmend.job.case import case_of
from panelmend.shelves.folder import Folder, find_shelves
from panelmend.shelves.resolve import resolved
from panelmend.shelves.rows import Sizes


def read_job(opened: Opened, path: Path) -> Loaded:
    """The document of a job that stands at a path, with the entries it names.

    Raises:
        DocumentError: with every fault of the job and of its entries.
    """
    root = find_shelves(path)
    return resolved(opened, None if root is None else Folder(root), measured)


def measured(loaded: Loaded) -> Sizes:
    """The sizes of a damage as the plan judges them, rounded as the data asks."""
    sizes = limits.make(case_of(loaded), Ledger())
    largest, area = float(sizes.largest), float(sizes.area)
    if sizes.far is not None:  # through both skins: the larger damage chooses
        largest, area = max(largest, float(sizes.far.largest)), max(area, float(sizes.far.area))
    return Sizes(largest, area)
