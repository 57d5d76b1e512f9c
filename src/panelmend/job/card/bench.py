"""What every step is written from: the case, its figures, the work, and the approved values of the card's own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from panelmend.derive import Figure
from panelmend.document.approved import Given
from panelmend.document.panel import Side
from panelmend.errors import MissingError
from panelmend.job.bag.part import BagOperation
from panelmend.job.basis import Basis
from panelmend.job.card.order import Operations
from panelmend.job.card.part import Blank, Clock, Words
from panelmend.job.card.writing import Units, note
from panelmend.job.case import Case
from panelmend.job.cure.part import CureOperation
from panelmend.job.openings import cap_alone, rim_of
from panelmend.job.work import Work


@dataclass(frozen=True)
class Bench:
    """The case, its figures and the work."""

    case: Case
    basis: Basis
    work: Work
    clocks: tuple[Clock, ...]

    @property
    def units(self) -> Units:
        """Units of the blanks."""
        return Units.of(self.case.view)

    @property
    def side(self) -> Side:
        """The side that is worked on first."""
        return self.work.cutout.side

    @property
    def far(self) -> Side:
        """The other side."""
        return "inside" if self.side == "outside" else "outside"

    @property
    def through(self) -> bool:
        """Whether both skins are cut."""
        return self.work.cutout.far is not None

    @property
    def cored(self) -> bool:
        """Whether core is cut out."""
        return self.work.core.action != "none"

    @property
    def carbon(self) -> bool:
        """Whether a skin or a ply holds carbon."""
        cloths = {p.cloth for p in (*self.case.geometry.outer, *self.case.geometry.inner)}
        cloths |= {p.cloth for p in self.work.plies.plies if p.role != "film adhesive"}
        return any(self.case.catalogue.cloth(i).fibre == "carbon" for i in cloths)

    @property
    def peeled_below(self) -> bool:
        """Whether a cap from a plate has a peel ply on the face it is bonded with."""
        return any(
            layer.use == "peel ply" and layer.below for b in self.work.bag.operations for layer in b.layers
        )

    @property
    def peeled_above(self) -> bool:
        """Whether a cap from a plate has a peel ply on its upper face."""
        return any(
            layer.use == "peel ply" and not layer.below
            for b in self.work.bag.operations
            if on_plate(b)
            for layer in b.layers
        )

    @property
    def up(self) -> str:
        """How a cap from a plate is told from its other face."""
        return "Upper peel ply up" if self.peeled_above else "The face with the 0° mark up"

    @property
    def heated(self) -> bool:
        """Whether any operation is heated."""
        return any(heated_by(b) != "room temperature" for b in self.work.bag.operations)

    @property
    def blankets(self) -> bool:
        """Whether a blanket heats any operation."""
        return any(heated_by(b) == "blanket" for b in self.work.bag.operations)

    @property
    def dried_apart(self) -> bool:
        """Whether the core is dried under a blanket that no cure has: none is planned for it."""
        return self.work.drying.wet and not self.blankets

    @property
    def operations(self) -> Operations:
        """The bonding operations for the working order."""
        bags = self.work.bag.operations
        return Operations(tuple(b.number for b in bags), frozenset(b.number for b in bags if on_plate(b)))

    def rim(self, bag: BagOperation) -> Figure | None:
        """How far a cap that is cured in its opening reaches past it before it is cut back; None without a rim."""
        return rim_of(bag, self.work.core)

    def cap_alone(self, bag: BagOperation) -> bool:
        """Whether a cap cured beforehand is bonded by itself, on a plug that is in already."""
        return cap_alone(bag, self.work.bag.operations, self.work.core)

    def cure(self, bag: BagOperation) -> CureOperation:
        """The cure of a bag."""
        return next(o for o in self.work.cure.operations if o.number == bag.number)

    def given(self, key: str, given: Given[Any] | None, kind: str = "") -> Figure | None:
        """An approved value of the card's own; None where the document has none."""
        if given is None:
            return None
        return self.basis.ledger[key] if key in self.basis.ledger else self.basis.given(key, given, kind)

    def order(self, key: str, given: Given[str] | None, ask: str) -> Words:
        """What the data orders in words with its place, or what to look up."""
        figure = self.given(key, given)
        if figure is None or given is None:
            return (f"{ask}: not in the document. Take it from the approved data and write it down.",)
        return (figure, f" ({given.place}).")

    def ordered(self, given: Given[str] | None, ask: str) -> list[Blank]:
        """Room to write down what the data orders where the document does not have it."""
        return [] if given is not None else [note(f"{ask}: what the data says, its place")]

    def name(self, ident: str) -> str:
        """A material's name."""
        try:
            return self.case.catalogue.get(ident).name
        except MissingError:
            return ident


def edge_stood_bare(bench: Bench, bag: BagOperation) -> bool:
    """Whether a bag draws on core whose edge stood bare until this operation, which at most fills it now."""
    if not bench.cored or on_plate(bag):
        return False
    filled = {"core", "potting"}
    return not any(filled & set(b.lays) for b in bench.work.bag.operations if b.number < bag.number)


def on_plate(bag: BagOperation) -> bool:
    """Whether an operation is cured beforehand on a plate."""
    return bag.cure.on_plate


def heated_by(bag: BagOperation) -> str:
    """What heats an operation."""
    return bag.cure.heated_by


def begun_by(bench: Bench, bag: BagOperation) -> str:
    """What cannot be taken back in an operation: "mix" where resin or adhesive is mixed, else "lay"."""
    return "mix" if any(m.operation == bag.name for m in bench.work.kit.mixes) else "lay"


def bagged(bag: BagOperation) -> bool:
    """Whether an operation is cured under a bag."""
    return bag.cure.bagged
