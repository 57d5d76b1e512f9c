"""The findings of the nest."""

from __future__ import annotations

from panelmend.errors import Finding, Severity, finding_code
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import NestPart

DOES_NOT_FIT = finding_code(
    "N01",
    Severity.STOP,
    "A piece fits on no strip",
    "use wider or longer cloth, or ask engineering whether the ply may be spliced",
)
NOT_LEGAL = finding_code(
    "N02", Severity.STOP, "A layout may not be cut", "search again, or take the shelf layout"
)
REFUSED = finding_code(
    "N03", Severity.CAUTION, "A stored layout was refused", "search again; plain shelves are used until then"
)
SHELVES = finding_code("N04", Severity.NOTE, "Plain shelves are used", "search for a shorter layout")


def findings(part: NestPart) -> tuple[Finding, ...]:
    """What the nest has to report.

    Args:
        part: the nest stage.

    Returns:
        Findings in the order of the cloths.
    """
    made = []
    for cloth in part.cloths:
        place = f"nest.{cloth.problem.cloth}"
        for left in cloth.nest.unplaced:
            copies = "1 copy" if left.copies == 1 else f"{left.copies} copies"
            made.append(DOES_NOT_FIT(f"piece {left.piece} ({copies}): {left.words}", place=place))
        made += [NOT_LEGAL(words, place=place) for words in faults(cloth.problem, cloth.nest)]
        if cloth.refused:
            more = f" and {len(cloth.refused) - 1} more" if len(cloth.refused) > 1 else ""
            made.append(REFUSED(f"{cloth.refused[0]}{more}", place=place))
        if cloth.made_by == "shelves" and cloth.nest.roll_length > cloth.bound + 1e-6:
            could = (cloth.nest.roll_length - cloth.bound) * 1e3
            made.append(
                SHELVES(
                    f"{cloth.nest.roll_length * 1e3:.0f} mm of roll; at most {could:.0f} mm less", place=place
                )
            )
    return tuple(made)
