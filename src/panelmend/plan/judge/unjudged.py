"""A running cure: channels that are not judged, but follow the heat and are out of its limits."""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.alarm import Alarm
from panelmend.plan.judge.aside import follows_thermocouples, no_program, programmed
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.log import Channel, ChannelRole
from panelmend.plan.judge.recipe import CureRecipe, SegmentKind
from panelmend.plan.judge.said import show
from panelmend.plan.judge.spans import SLACK
from panelmend.plan.judge.walk import Stretch

NEWEST = 3  # samples: older readings are no longer those of now


def unjudged_now(
    e: Evidence, recipe: CureRecipe, now: Stretch | None, walked: tuple[Stretch, ...]
) -> list[Alarm]:
    """Channels given another role than thermocouple, taken as air or read as set point that follow the heat
    and are above a limit, or below the band of the dwell in which the part is: what the verdict will ask
    about (V242, V535, V571), while it can still be looked at.

    Args:
        e: what the log shows.
        recipe: what is to be done.
        now: the segment the cure is in, as found in the log; None when that is not known.
        walked: all segments as found in the log.
    """
    if now is None or now.segment.kind is SegmentKind.COOL:
        return []
    points = e.log.of_role(ChannelRole.SET_POINT)
    asked = {c.name for c in points}
    couples = e.log.of_role(ChannelRole.THERMOCOUPLE)
    found = []
    for c in e.log.set_aside:
        if c.role is ChannelRole.THERMOCOUPLE and not (
            c.name in asked and programmed(c.values, couples, recipe)
        ):
            found += _out(e, c, recipe, now)
    found += [a for c in e.log.of_role(ChannelRole.AIR) for a in _out(e, c, recipe, now)]
    for c in points:
        if c not in e.log.set_aside and any(no_program(e.log, c.values, s) for s in walked):
            found += _out(e, c, recipe, now)
    return found


def _out(e: Evidence, c: Channel, recipe: CureRecipe, now: Stretch) -> list[Alarm]:
    """A channel [K] that stands out of the limits of the segment and follows the heat."""
    tail = c.values[-NEWEST:]
    tail = tail[np.isfinite(tail)]
    if not tail.size:
        return []
    here = float(tail[-1])
    low, tops = None, [recipe.ceiling, now.segment.ceiling]
    if now.segment.kind is SegmentKind.DWELL and now.spans:
        low = now.segment.band_low
        tops.append(now.segment.band_high)
    top = min((x for x in tops if x is not None), key=lambda x: x.value, default=None)
    if top is not None and here > top.value * (1.0 + SLACK):
        limit, how = top, "above"
    elif low is not None and here < low.value * (1.0 - SLACK):
        limit, how = low, "below"
    else:
        return []
    if not follows_thermocouples(e.log, c.values):
        return []
    stands, bound = (show(x, "temperature", decimals=1) for x in (here, limit.value))
    words = f"{codes.UNJUDGED_OUT.title}: {c.name} at {stands}, {how} {bound}"
    return [Alarm(codes.UNJUDGED_OUT(words, place=limit.place), 0.0)]
