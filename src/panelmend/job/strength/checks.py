"""Findings of the strength stage. It informs the engineer; no finding of it approves anything."""

from __future__ import annotations

from typing import assert_never

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job.case import Case
from panelmend.job.strength.alike import SkinDifference, Unlike
from panelmend.job.strength.part import Reserve, StrengthPart
from panelmend.job.strength.reserves import three_digits
from panelmend.units import show

T101 = caution_code(
    "T101",
    "A strength check was not made, because data is missing",
    "type the missing values with their source, or leave the question to the engineer",
)
T102 = caution_code(
    "T102",
    "A reserve is below 1",
    "show it to the engineer: more plies, longer steps or another scheme; the report says what helps",
)
T103 = caution_code(
    "T103",
    "The repair is less stiff than the sound skin",
    "show it to the engineer: the approved data may intend this",
)
T104 = stop_code(
    "T104",
    "The moment about the hinge line is beyond its limit",
    "balance the surface as the approved data says, or ask engineering",
)
T105 = note_code(
    "T105",
    "No load case is typed: the strength report compares with unit loads and the skin's own strength",
    "type load cases or the allowable strain under data.strength",
)
T106 = caution_code(
    "T106",
    "The repair has fewer plies than were cut",
    "compare with the ply table of the approved data, or ask the engineer",
)
T107 = caution_code(
    "T107",
    "A repair ply is thinner than the ply it replaces",
    "compare with the ply table of the approved data, or ask the engineer",
)
T108 = caution_code(
    "T108",
    "The warp of a repair ply runs in another direction than that of the ply it replaces",
    "compare with the ply table of the approved data, or ask the engineer",
)
T109 = note_code(
    "T109",
    "A result of the plate model has not settled",
    "read it together with its two finest values; if it governs, ask the engineer for a model of the detail",
)
T130 = caution_code(
    "T130",
    "The lowest reserve depends on a value that the data does not give",
    "get the value from the maker of the adhesive or from the engineer, type it, and read the lowest "
    "reserve again",
)
SOFT = 0.98
RESERVE_ENOUGH = 1.0 - 1e-9  # the last digits of a ratio of equals are noise


def reserve_too_low(row: Reserve) -> bool:
    """Whether a reserve is a finding; the headline is coloured by the same rule."""
    return float(row.value) < RESERVE_ENOUGH


def check(case: Case, ledger: Ledger, part: StrengthPart) -> tuple[Finding, ...]:
    """The findings of the strength study, for the engineer."""
    found = [T101(words, place="strength") for words in part.not_checked]
    for row in sorted(part.reserves, key=lambda r: float(r.value)):
        if reserve_too_low(row):
            found.append(T102(f"{three_digits(float(row.value))}: {row.words}", place=row.value.key))
    for row in part.reserves:
        if not row.resolved:
            found.append(T109(f"{three_digits(float(row.value))}: {row.words}", place=row.value.key))
    if part.least is not None and part.least.rests:
        found.append(
            T130(f"{three_digits(float(part.least.value))}: {part.least.words}", place=part.least.value.key)
        )
    for unlike in part.differences:
        found.append(_unlike(case, unlike))
    for ratio in part.membrane:
        if float(ratio.ratio) < SOFT:
            angle = show(float(ratio.direction), "angle", decimals=0)
            found.append(
                T103(
                    f"{ratio.side} skin along {angle}: {three_digits(float(ratio.ratio))} of the sound one",
                    place=ratio.ratio.key,
                )
            )
    if (
        part.moment_added is not None
        and part.moment_limit is not None
        and abs(float(part.moment_added)) > float(part.moment_limit)  # the limit is on a change
    ):
        now, most = (show(float(m), "moment", case.view) for m in (part.moment_added, part.moment_limit))
        found.append(T104(f"{now} against {most}", place="panel.hinge"))
    if not part.loads_given:
        found.append(T105("unit loads", place="data.strength"))
    return tuple(found)


def _unlike(case: Case, d: SkinDifference) -> Finding:
    if d.kind is Unlike.FEWER:
        return T106(f"{d.side} skin: {d.repair:.0f} for {d.parent:.0f}", place=f"data.plies.{d.side}")
    if d.kind is Unlike.THINNER:
        now, was = (show(v, "length", case.view, decimals=3) for v in (d.repair, d.parent))
        return T107(f"{d.ply}: {now} for {was}", place=f"data.plies.{d.side}")
    if d.kind is not Unlike.TURNED:
        assert_never(d.kind)
    now, was = (show(v, "angle", case.view, decimals=0) for v in (d.repair, d.parent))
    return T108(f"{d.ply}: {now} for {was}, from 0 degrees, outside view", place=f"data.plies.{d.side}")
