"""A sweep over cures in the terminal's words."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.predict.fleet import VariantRow
from panelmend.render.cure_rows import degrees, interval_words
from panelmend.units import show


def sweep_words(rows: Sequence[VariantRow], view: str) -> str:
    """A sweep on the screen: each cure with its variants under it."""
    lines: list[str] = []
    head = ("", "")
    wide = max(len(r.variant.change) for r in rows)
    for row in rows:
        v = row.variant
        if (v.document, v.operation) != head:
            head = (v.document, v.operation)
            lines += ["", f"{v.document}: {v.operation}"]
        said = [_numbers(row, view)] if row.nominal is not None else []
        said += [f"NOT COMPUTED: {row.words}"] if row.words else []
        lines.append(f"  {v.change:<{wide}}  {'; '.join(said)}")
    errors = [
        r.likelihood for r in rows if r.likelihood is not None and r.likelihood.held_out_rms is not None
    ]
    if errors:
        rms = max(e.held_out_rms or 0.0 for e in errors)
        worst = max(e.held_out_worst or 0.0 for e in errors)
        kept, wrong = sum(e.held_out_cases for e in errors), sum(e.wrong for e in errors)
        lines += [
            "",
            f"Cases are coarse runs put right. On {kept} cases kept aside and run in full: "
            f"{_apart(rms, view)} root mean square and {_apart(worst, view)} at worst in the worst row; "
            f"{wrong} judged otherwise.",
        ]
    off = [e for r in rows if r.likelihood is not None and (e := r.likelihood.quick_error) is not None]
    if off:
        lines += [
            "",
            f"In {len(off)} rows coarse runs erred by up to {_apart(max(off), view)} on cases kept aside: "
            "too much, so cases were run in full in their stead.",
        ]
    return "\n".join(
        [*lines, "", "It is computed from constants people typed, and approves nothing."]
    ).lstrip()


def _numbers(row: VariantRow, view: str) -> str:
    run, found = row.nominal, row.likelihood
    assert run is not None, "told only where there are numbers"
    holds = "holds" if run.holds else "DOES NOT HOLD" if run.finished else "DOES NOT COME TO ITS END"
    parts = [
        f"bond line {degrees(run.coldest, view)} to {degrees(run.hottest, view)} in the dwell",
        f"least margin {_apart(run.worst, view)} ({run.limit})",
        f"{run.duration / 60.0:.0f} min",
        holds,
    ]
    if found is not None:
        interval = interval_words(found)
        said = f" ({interval})" if interval else ", if the ranges are right"
        parts.append(f"{found.everything} of {found.cases} cases tried keep every limit{said}")
    return ", ".join(parts)


def _apart(kelvin: float, view: str) -> str:
    return show(kelvin, "temperature difference", view, decimals=2)
