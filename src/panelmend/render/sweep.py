"""A sweep over a fleet as a table: one row for each cure and change, numbers in the reader's units."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.predict.fleet import VariantRow
from panelmend.render.tables import Cell, Column, ListTable, to_csv, to_xlsx
from panelmend.units.showing import to_unit, unit_for

ABOUT = (
    "Computed from constants people typed; it approves nothing. Likely values in the first numbers, cases "
    "over what nobody measured in the rest; the interval is of the share of cases, at 95 % (Wilson)."
)


def sweep_table(rows: Sequence[VariantRow], view: str) -> ListTable:
    """The rows of a sweep.

    Args:
        rows: what came out.
        view: units, "mm" or "in".

    Returns:
        a table; cells are empty where nothing could be computed, and the last column says why.
    """
    kelvin, apart = unit_for("temperature", view), unit_for("temperature difference", view)
    columns = (
        Column("document", 24),
        Column("operation", 18),
        Column("change", 30),
        Column(f"coldest in the dwell [{kelvin}]", 12),
        Column(f"hottest in the dwell [{kelvin}]", 12),
        Column(f"peak [{kelvin}]", 10),
        Column(f"least margin [{apart}]", 10, 2),
        Column("of which limit", 30),
        Column("whole cycle [min]", 10, 0),
        Column("holds", 8),
        Column("cases", 8, 0),
        Column("cases that hold", 8, 0),
        Column("share", 8, 3),
        Column("share, low", 8, 3),
        Column("share, high", 8, 3),
        Column("cases the thermocouples would pass", 12, 0),
        Column(f"coldest, 5 % of cases [{kelvin}]", 12),
        Column(f"hottest, 95 % of cases [{kelvin}]", 12),
        Column("moves most", 18),
        Column("how", 10),
        Column(f"error on cases kept aside, root mean square [{apart}]", 12, 2),
        Column(f"error, worst [{apart}]", 10, 2),
        Column("kept aside", 8, 0),
        Column("of those judged otherwise", 10, 0),
        Column("could not be computed", 40),
    )
    return ListTable("Sweep", (("About", ABOUT),), columns, tuple(_cells(row, kelvin, apart) for row in rows))


def _cells(row: VariantRow, kelvin: str, apart: str) -> tuple[Cell, ...]:
    v, run, found = row.variant, row.nominal, row.likelihood

    def degrees(value: float) -> float:
        return to_unit(value, "temperature", kelvin)

    def difference(value: float | None) -> float | None:
        return None if value is None else to_unit(value, "temperature difference", apart)

    first: tuple[Cell, ...] = (None,) * 7
    if run is not None:
        first = (
            degrees(run.coldest),
            degrees(run.hottest),
            degrees(run.peak),
            difference(run.worst),
            run.limit,
            run.duration / 60.0,
            "yes" if run.holds else "no",
        )
    rest: tuple[Cell, ...] = (None,) * 14
    if found is not None:
        rest = (
            found.cases,
            found.everything,
            *((found.share, found.low, found.high) if found.measured else (None, None, None)),
            found.seen,
            degrees(found.coldest[0]),
            degrees(found.hottest[2]),
            found.drivers[0].unknown if found.drivers else None,
            found.method,
            difference(found.held_out_rms),
            difference(found.held_out_worst),
            found.held_out_cases if found.held_out_rms is not None else None,
            found.wrong if found.held_out_rms is not None else None,
        )
    return (v.document, v.operation, v.change, *first, *rest, row.words or None)


def sweep_csv(rows: Sequence[VariantRow], view: str) -> bytes:
    """The sweep as CSV."""
    return to_csv(sweep_table(rows, view))


def sweep_xlsx(rows: Sequence[VariantRow], view: str) -> bytes:
    """The sweep as XLSX."""
    return to_xlsx([sweep_table(rows, view)], title="Sweep over cures")
