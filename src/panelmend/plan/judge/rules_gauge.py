"""How the vacuum gauge counts: shown by the log, written in it, or stated by a second person."""

from __future__ import annotations

import numpy as np

from panelmend.errors import Code
from panelmend.plan.judge import codes
from panelmend.plan.judge.doubt import SeenOfSensor, typed_in
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.log import Channel, ChannelRole
from panelmend.plan.judge.recipe import CureRecipe
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder

# common practice, no source, both: so much less than the highest vacuum is not a pumped bag; readings of it,
# as one alone may be a loose contact. A gauge read in the wrong sense that keeps to a least vacuum of more
# than half of the air reads more than this share in the open bag too.
OPEN_SHARE, OPEN_READINGS = 0.5, 2


def shows_open_bag(channel: Channel) -> bool:
    """Whether a vacuum gauge (n,) [Pa below ambient] reads half of its highest or less somewhere, as where
    the bag is not pumped yet or let go: read in the other sense it would not."""
    good = channel.values[np.isfinite(channel.values)]
    if not good.size or not good.max() > 0.0:
        return False
    return int(np.count_nonzero(good <= OPEN_SHARE * good.max())) >= OPEN_READINGS


def judge_sense(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, statements: tuple[SeenOfSensor, ...]
) -> None:
    """If no gauge of the log shows the open bag and none says in its header how it counts, the vacuum rests
    on one person's answer: it cannot be judged until a second person states it from the gauge. One gauge that
    shows it is enough, as the lowest of all counts. Nor can it be judged if one person's answer contradicts
    the file about a gauge, whatever the readings are, and whatever role it was given."""
    if recipe.vacuum is None:
        return
    said = {s.channel: s for s in statements}
    place = recipe.vacuum.least.place
    against = dict(e.log.overruled)
    aside = [c for c in e.log.set_aside if c.role is ChannelRole.VACUUM]
    for c in (*e.log.of_role(ChannelRole.VACUUM), *aside):
        if c.name in against:
            words = f"{c.name}: the file says {against[c.name]}, one answer says otherwise"
            _stated(book, c.name, words, said.get(c.name), place, codes.OVERRULED)
    gauges = [c for c in e.log.of_role(ChannelRole.VACUUM) if c.name in e.checked.vacuum_names]
    answered = [c for c in gauges if c.name in e.log.sense_answered]
    if not answered or len(answered) < len(gauges) or any(map(shows_open_bag, gauges)):
        return
    for c in answered:
        if c.name not in against:
            words = f"{c.name}: no reading shows the open bag and the file does not say how it counts"
            _stated(book, c.name, words, said.get(c.name), place, codes.SENSE_ANSWERED)


def _stated(
    book: VerdictRecorder, name: str, words: str, s: SeenOfSensor | None, place: str, code: Code
) -> None:
    """A gauge whose sense rests on one answer, with what a second person states of it, or without."""
    rule = RuleName.GAUGE_COUNTS
    if s is None:
        if code is not codes.OVERRULED:
            words += "; below ambient or absolute rests on one answer"
        book.enter(Outcome.UNKNOWN, rule, words, code=code, place=place)
        return
    states = f"{s.by} ({s.capacity}) states: {s.evidence}; cure run by {s.ran}; {typed_in(s)}"
    both = f"{words}; {states}"
    if code is codes.OVERRULED:  # what the file says is told with the outcome itself
        states = both
    book.enter(Outcome.CONFORMS, rule, both, sensor=name, place=place, by=s.by, states=states)
