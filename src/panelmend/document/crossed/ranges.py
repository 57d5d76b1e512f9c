"""Days that lie years ahead, and values that single fields let pass: each against the work or its kind."""

from __future__ import annotations

from datetime import date

from panelmend.document.model import Document, catalogue_of
from panelmend.document.question import MEMORY, PRACTICE, Subject, Usual, Weighed
from panelmend.errors import PanelmendError

YEAR = 365.25  # days
EXPIRES, CALIBRATED, DUE = 10.0, 5.0, 15.0  # years after the day of the work
METAL_DENSITY = 2300.0  # kg/m3 and more
# Hottest that bagging of a kind is usually good to [K]; sheets of metal and insulation stand more.
HOTTEST_BAGGING = 593.15  # 320 C


def _years(document: Document, day: date | None) -> float | None:
    return None if day is None else round((day - document.repair.work_date).days / YEAR, 1)


def _days(document: Document) -> Weighed:
    for name in ("roll", "lot"):
        for i, row in enumerate(getattr(document.stores, name)):
            what, years = f"{row.id}: years until it expires", _years(document, row.expires)
            yield Usual(
                f"stores.{name}[{i + 1}].expires.usual", what, years, "", high=EXPIRES, source=PRACTICE
            )
    for i, instrument in enumerate(document.bay.instrument):
        what = f"{instrument.id}: years until its calibration ends"
        years = _years(document, instrument.calibrated_until)
        yield Usual(
            f"bay.instrument[{i + 1}].calibrated_until.usual",
            what,
            years,
            "",
            high=CALIBRATED,
            source=PRACTICE,
        )
    category = document.data.category
    if category is not None:
        years = _years(document, category.due_date)
        yield Usual(
            "data.category.due_date.usual",
            "years until the repair is due",
            years,
            "",
            high=DUE,
            source=PRACTICE,
        )


def _sensors(document: Document) -> Weighed:
    for i, cure in enumerate(document.data.cure):
        if cure.may_fail and cure.thermocouples_least is not None:
            of, most = (
                Subject(f"data.cure[{i + 1}]", cure, cure.name, source=PRACTICE),
                float(cure.thermocouples_least - 1),
            )
            what, why = "thermocouples that may fail", f"{cure.thermocouples_least} are asked for"
            yield of.row("may_fail.against_least", what, float(cure.may_fail), "", high=most, because=why)
    for i, instrument in enumerate(document.bay.instrument):
        of = Subject(f"bay.instrument[{i + 1}]", instrument, instrument.id, source=PRACTICE)
        yield of.share("uncertainty", "step", "uncertainty over the step it shows", 0.3, 30.0)


def _sheets(document: Document) -> Weighed:
    catalogue = catalogue_of(document)
    for i, cure in enumerate(document.data.cure):
        if cure.caul_sheet is None:
            continue
        try:
            thermal = getattr(catalogue.get(cure.caul_sheet.material), "thermal", None)
        except PanelmendError:
            continue  # said where its name is
        yield Usual(
            f"data.cure[{i + 1}].caul_sheet.density",
            f"{cure.name}: density of the sheet that evens out the heat",
            None if thermal is None else thermal.density,
            "density",
            METAL_DENSITY,
            because="it is a sheet of metal",
            source=MEMORY,
        )
    for cloth in document.materials.cloth:
        if cloth.thermal is not None:
            heat = Subject(f"materials.{cloth.id}.thermal", cloth.thermal, cloth.id, source=MEMORY)
            for name, way in (("expansion_1", "along"), ("expansion_2", "across")):
                yield heat.usual(name, f"thermal expansion {way} the warp", "expansion", -5e-6, 8e-5)
    for b in document.materials.bagging:
        if b.use not in ("caul", "insulation"):
            of = Subject(f"materials.{b.id}", b, b.id, source=MEMORY)
            what = f"hottest that a {b.use} is good to"
            yield of.usual("limit_temperature", what, "temperature", high=HOTTEST_BAGGING)


def _hinge(document: Document) -> Weighed:
    """A hinge line lies at the panel or near it."""
    hinge, box = document.panel.hinge, document.panel.outline.rectangle
    if hinge is None or box is None:
        return
    (x, y), half = box.centre, 0.5 * (box.length**2 + box.width**2) ** 0.5
    far = max(((p[0] - x) ** 2 + (p[1] - y) ** 2) ** 0.5 for p in (hinge.start, hinge.end))
    what = "end of the hinge line from the middle of the panel over half of its diagonal"
    yield Usual("panel.hinge.against_outline", what, far / half, "ratio", 0.05, 3.0, source=PRACTICE)


CHECKS = (_days, _sensors, _sheets, _hinge)
