"""Days that lie years ahead, and values that single fields let pass: each against the work or its kind."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from panelmend.document.crossed.data import part_of_whole
from panelmend.document.model import Document, catalogue_of
from panelmend.document.question import MEMORY, Asked, Reader
from panelmend.errors import PanelmendError

YEAR = 365.25  # days
EXPIRES, CALIBRATED, DUE = 10.0, 5.0, 15.0  # years after the day of the work
METAL = 2300.0  # kg/m3 and more
# Hottest that bagging of a kind is usually good to [K]; sheets of metal and insulation stand more.
HOTTEST = 593.15  # 320 C


def _years(document: Document, day: date | None) -> float | None:
    return None if day is None else round((day - document.repair.work_date).days / YEAR, 1)


def _days(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    for name in ("roll", "lot"):
        for i, row in enumerate(getattr(document.stores, name)):
            yield from ask.about(
                f"stores.{name}[{i + 1}].expires.usual",
                f"{row.id}: years until it expires",
                _years(document, row.expires),
                "",
                high=EXPIRES,
            )
    for i, instrument in enumerate(document.bay.instrument):
        yield from ask.about(
            f"bay.instrument[{i + 1}].calibrated_until.usual",
            f"{instrument.id}: years until its calibration ends",
            _years(document, instrument.calibrated_until),
            "",
            high=CALIBRATED,
        )
    category = document.data.category
    if category is not None:
        yield from ask.about(
            "data.category.due_date.usual",
            "years until the repair is due",
            _years(document, category.due_date),
            "",
            high=DUE,
        )


def _sensors(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    for i, cure in enumerate(document.data.cure):
        if cure.may_fail and cure.thermocouples_least is not None:
            yield from ask.about(
                f"data.cure[{i + 1}].may_fail.against_least",
                f"{cure.name}: thermocouples that may fail",
                float(cure.may_fail),
                "",
                high=float(cure.thermocouples_least - 1),
                because=f"{cure.thermocouples_least} are asked for",
            )
    for i, instrument in enumerate(document.bay.instrument):
        yield from ask.about(
            f"bay.instrument[{i + 1}].uncertainty.against_step",
            f"{instrument.id}: uncertainty over the step it shows",
            part_of_whole(instrument.uncertainty, instrument.step),
            "ratio",
            0.3,
            30.0,
        )


def _sheets(document: Document, view: str) -> Iterator[Asked]:
    ask, catalogue = Reader(view), catalogue_of(document)
    for i, cure in enumerate(document.data.cure):
        if cure.caul_sheet is None:
            continue
        try:
            thermal = getattr(catalogue.get(cure.caul_sheet.material), "thermal", None)
        except PanelmendError:
            continue  # said where its name is
        yield from ask.about(
            f"data.cure[{i + 1}].caul_sheet.density",
            f"{cure.name}: density of the sheet that evens out the heat",
            None if thermal is None else thermal.density,
            "density",
            METAL,
            because="it is a sheet of metal",
            source=MEMORY,
        )
    for cloth in document.materials.cloth:
        for name in ("expansion_1", "expansion_2"):
            yield from ask.about(
                f"materials.{cloth.id}.thermal.{name}.usual",
                f"{cloth.id}: thermal expansion {'along' if name[-1] == '1' else 'across'} the warp",
                None if cloth.thermal is None else getattr(cloth.thermal, name),
                "expansion",
                -5e-6,
                8e-5,
                source=MEMORY,
            )
    for b in document.materials.bagging:
        if b.use in ("caul", "insulation") or b.limit_temperature is None:
            continue
        yield from ask.about(
            f"materials.{b.id}.limit_temperature.usual",
            f"{b.id}: hottest that a {b.use} is good to",
            b.limit_temperature.value,
            "temperature",
            high=HOTTEST,
            source=MEMORY,
        )


def _hinge(document: Document, view: str) -> Iterator[Asked]:
    """A hinge line lies at the panel or near it."""
    hinge, box = document.panel.hinge, document.panel.outline.rectangle
    if hinge is None or box is None:
        return
    (x, y), half = box.centre, 0.5 * (box.length**2 + box.width**2) ** 0.5
    far = max(((p[0] - x) ** 2 + (p[1] - y) ** 2) ** 0.5 for p in (hinge.start, hinge.end))
    yield from Reader(view).about(
        "panel.hinge.against_outline",
        "end of the hinge line from the middle of the panel over half of its diagonal",
        far / half,
        "ratio",
        0.05,
        3.0,
    )


CHECKS = (_days, _sensors, _sheets, _hinge)
