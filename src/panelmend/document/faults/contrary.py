"""Fields that contradict each other: nothing could be done by both."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from panelmend.document.category import is_empty
from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import Document, catalogue_of
from panelmend.document.places import Path
from panelmend.document.wording import shown
from panelmend.errors import PanelmendError
from panelmend.units import show

ONLY_FOR = {"type": "thermocouple", "tolerance": "thermocouple", "step": "balance", "uncertainty": "balance"}


def _bleed(document: Document) -> Iterator[Fault]:
    bag = document.data.bag
    if bag.no_bleed is not None and bag.no_bleed.value and bag.bleeder_plies and bag.bleeder_plies.value:
        yield fault_at(
            ("data", "bag", "no_bleed"),
            "no resin may leave the plies, but a bleeder is laid",
            f"no_bleed, and bleeder_plies = {bag.bleeder_plies.value}",
            "one of both",
            "look up in the data which holds for this repair",
        )


def _segments(document: Document) -> Iterator[Fault]:
    for i, cure in enumerate(document.data.cure):
        for j, segment in enumerate(cure.segment):
            if segment.summed and segment.kind != "dwell":
                yield fault_at(
                    ("data", "cure", i, "segment", j, "summed"),
                    "only a dwell is added up",
                    f'kind "{segment.kind}"',
                    "it at the dwell, or nowhere",
                )


def _lists(document: Document) -> Iterator[Fault]:
    """Lists of words that say nothing, or say one thing twice."""
    data = document.data
    lists: tuple[tuple[Path, tuple[str, ...] | None], ...] = (
        (("data", "inspection", "methods"), None if (m := data.inspection.methods) is None else m.value),
        (("data", "cutout", "forms"), None if (f := data.cutout.forms) is None else f.value),
        (("data", "limits", "depths"), None if (d := data.limits.depths) is None else d.value),
    )
    for path, words in lists:
        if words is not None and not words:
            yield fault_at(path, "an empty list", "[]", "what the data has, or leave it out")
        elif words is not None and len(set(words)) < len(words):
            yield fault_at(path, "one of these is there twice", shown(list(words)), "each once")


def _instruments(document: Document) -> Iterator[Fault]:
    for i, instrument in enumerate(document.bay.instrument):
        for name, kind in ONLY_FOR.items():
            given = getattr(instrument, name)
            if given not in (None, "") and instrument.kind != kind:
                words = show(given, "mass") if isinstance(given, float) else shown(given)
                yield fault_at(
                    ("bay", "instrument", i, name),
                    f"only a {kind} has this",
                    f"{words}, of a {instrument.kind}",
                    f'it at the {kind}, or kind = "{kind}"',
                )


def _method(document: Document) -> Iterator[Fault]:
    """What the planner says of the resin against what the cloths say themselves."""
    chosen = document.choice.resin_method
    if chosen is None:
        return
    sides = [s for s in (document.data.plies.outside, document.data.plies.inside) if s is not None]
    laid = chain.from_iterable(s.repair.value for s in sides if s.repair is not None)
    try:
        catalogue = catalogue_of(document)
        said = {"prepreg" if catalogue.cloth(ply.cloth).prepreg else "wet lay-up" for ply in laid}
    except PanelmendError:
        return  # said where the name or the material is
    if said and chosen not in said:
        yield fault_at(
            ("choice", "resin_method"),
            "the cloths of the repair plies say otherwise",
            shown(chosen),
            f"{shown(next(iter(said)))}, or leave it out",
            "whether a cloth is a prepreg stands with the material",
        )


def _finish(document: Document) -> Iterator[Fault]:
    """Orders of the data that need something else that was typed, or nobody can follow them."""
    data, finish = document.data, document.data.finishing
    if finish.moment_most is not None and document.panel.hinge is None:
        yield fault_at(
            ("data", "finishing", "moment_most"),
            "there is a limit on the moment about the hinge line, but the panel has no hinge line",
            show(finish.moment_most.value, "moment"),
            "panel.hinge",
            "type the hinge line of the panel: without it nobody can balance the part",
        )
    for name in ("conductive_overlap", "conductive_rate", "conductive_resistance"):
        if getattr(finish, name) is not None and data.preparation.conductive_layer is None:
            yield fault_at(
                ("data", "finishing", name),
                "a conductive layer is to be joined again, but nothing says to cut it back",
                name,
                "data.preparation.conductive_layer with its place",
            )


def _nothing_of(document: Document) -> Iterator[Fault]:
    """A part that the data is said to have nothing of, and of which something is typed, or that twice."""
    data = document.data
    for i, row in enumerate(data.nothing_of):
        path: Path = ("data", "nothing_of", i, "part")
        if not is_empty(getattr(data, row.part)):
            yield fault_at(
                path,
                "the document says that the data has nothing of this part, but something of it is typed",
                row.part,
                f"[data.{row.part}] alone, or data.nothing_of alone",
            )
        if any(other.part == row.part for other in data.nothing_of[:i]):
            yield fault_at(path, "one part is there twice", row.part, "each once")


CHECKS = (
    (_bleed, ("data.bag",)),
    (_segments, ("data.cure",)),
    (_lists, ("data.inspection", "data.cutout", "data.limits")),
    (_instruments, ("bay",)),
    (_method, ("choice", "data.plies", "materials")),
    (_finish, ("data.finishing", "data.preparation", "panel")),
    (
        _nothing_of,
        ("data.nothing_of", "data.preparation", "data.inspection", "data.finishing", "data.interruption"),
    ),
)
