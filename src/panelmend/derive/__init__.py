"""How every printed number came about: sources, formulas, figures and the ledger that holds them."""

from panelmend.derive.figure import Figure, Origin, Source, Thing, is_thing
from panelmend.derive.formula import Formula, all_formulas, formula
from panelmend.derive.ledger import Ledger

__all__ = ["Figure", "Formula", "Ledger", "Origin", "Source", "Thing", "all_formulas", "formula", "is_thing"]
