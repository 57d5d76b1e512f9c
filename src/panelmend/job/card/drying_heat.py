"""What is predicted of the heat of drying, as the card, the cure plan and the command line say it."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.job.card.part import Words
from panelmend.job.cure.part import CurePart, DriedCases
from panelmend.job.defaults import DRIED_WITHIN, HOTTER
from panelmend.job.drying.part import DryingPart
from panelmend.units import show


def _tried(found: DriedCases | None, ledger: Ledger) -> Words:
    """What the cases of a drying come to: not one number that reads as sure."""
    if found is None:
        return ("NO other case was tried: the core may stay colder and the skins may get hotter than that.",)
    few = found.cases - found.near
    made: Words = (
        f"In {found.cases} cases over the ranges of what nobody measured (air, blanket off its place or uneven, "
        "core, wire) the coldest of the foot got to ",
        ledger["drying.heat.least"],
        " at the least, the hottest of the skins to ",
        ledger["drying.heat.most"],
        " at the most",
        f"; in {few} of them the foot never came near" if few else "",
        f"; {found.unsolved} more could not be solved" if found.unsolved else "",
    )
    return (*made, ". If these ranges are right: measure both faces.")


def drying_heat_lines(cures: CurePart, part: DryingPart, ledger: Ledger, view: str) -> list[Words]:
    """What the drying is predicted to reach: on the skins, and at the foot of the core; ``view`` "mm" or "in"."""
    problem = cures.drying
    if part.temperature is None or not part.dries:
        return []
    if problem is None or cures.dried is None:
        return [
            (
                "The temperatures of drying are NOT PREDICTED: measure both faces, because the opposite one may stay cold.",
            )
        ]
    behind = problem.source_behind
    lies = f"blanket {problem.source.id}" + (
        f" and {behind.id} on the opposite side" if behind is not None else " alone, on the repaired side"
    )
    key = "drying.heat"
    made: list[Words] = [
        (
            f"By the prediction, with {lies}, controlled on the hottest thermocouple: the hottest of the skins gets ",
            ledger[f"{key}.hottest"],
            ", the coldest place at the foot of the core no more than ",
            ledger[f"{key}.reaches"],
            ". Wet core takes longer than that. These are the likely values. ",
            *_tried(cures.dried.tried, ledger),
        )
    ]
    if float(ledger[f"{key}.hottest"]) > float(part.temperature) + HOTTER:
        made.append(
            (
                "The hottest of the skins is then above the ",
                part.temperature,
                " of the drying. A lower setting makes the coldest colder too: go down only as far as the coldest still holds "
                "it. The hottest may lie above it by its tolerance in the approved data, no more.",
            )
        )
    if f"{key}.arrives" in ledger:
        # the foot counts as near a few degrees early: never before the ramp itself can have ended
        late = [ledger[k] for k in (f"{key}.arrives", f"{key}.late") if k in ledger]
        from_then = max([*late, *([part.heat_up] if part.heat_up is not None else [])], key=float)
        made.append(
            (
                "Count the time once the coldest thermocouple shows the drying temperature, and not before ",
                from_then,
                " after heat goes on: by then the foot is within "
                f"{show(DRIED_WITHIN, 'temperature difference', view, limit='most')} of it. If the coldest does not get there, or "
                "does not stay there, with the hottest within its limit: heat off, no time counts, and the engineer gets both "
                "readings.",
            )
        )
    else:
        made.append(
            (
                "The foot NEVER comes near the drying temperature: the data's time does not apply to it. Heat both "
                "faces, or ask engineering; never turn the blanket up to warm the opposite face.",
            )
        )
    return made
