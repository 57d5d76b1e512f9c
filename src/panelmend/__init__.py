"""panelmend: plans, prints and proves the bonded repair of a honeycomb sandwich panel."""

__version__ = "0.1.0"
