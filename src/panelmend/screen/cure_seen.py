"""What the cure watch shows, in words: state, time left, coldest, vacuum, alarms with what to do, channels
with their age."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime

import numpy as np
from pydantic import BaseModel, Field

from panelmend.app.cure_watch import CureWatch, Looked, Sounding
from panelmend.errors import Severity, all_codes
from panelmend.plan.judge import ChannelRole, RecipeSegment, SegmentKind
from panelmend.plan.judge.faults_clock import gap_step
from panelmend.plan.judge.said import time_left
from panelmend.screen.cure_chart import UNITS, chart, gaps_of
from panelmend.screen.words import say
from panelmend.units import show

STUCK = 20.0  # [s] without a look: the watch itself hangs
LAST = 1800.0  # [s] of the second chart


class AlarmItem(BaseModel):
    """One alarm."""

    key: str
    code: str
    stop: bool
    title: str
    when: str = Field(description="NOW, or in how long")
    words: str
    todo: str
    heeded: str = Field(description="who is on it, since when; empty for nobody")
    sounds: bool


class ChannelItem(BaseModel):
    """One channel: its newest reading and how old it is."""

    name: str
    value: str
    note: str
    state: str = Field(description="fresh, stale or lost")
    pen: int


class BigItem(BaseModel):
    """One of the four things to be read from afar."""

    value: str
    unit: str
    under: str
    off: bool


class CureAnswer(BaseModel):
    """The watch as it stands."""

    watched: bool
    looked: float = Field(description="how long ago the watch looked [s]")
    alarms: list[AlarmItem]
    sounds: bool = Field(description="something is to be heard")
    big: list[BigItem]
    calm: str
    channels: list[ChannelItem]
    notes: list[str]
    html: str = Field(default="", description="the page's part, made anew")


def cure_answer(watch: CureWatch) -> tuple[CureAnswer, dict[str, str]]:
    """What a watch shows now, and its charts."""
    looked = watch.looked
    ago = math.inf if looked is None else max(0.0, watch.clock() - looked.at)
    stuck = ago > max(STUCK, 6 * watch.every) or not watch.alive
    alarms = [*_own(watch, looked, stuck and looked is not None)]
    alarms += [_alarm(s) for s in watch.sounding()]
    charts: dict[str, str] = {}
    if looked is not None and looked.evidence is not None:
        charts = {
            "all": chart(looked, watch.recipe, watch.predicted, watch.view, None),
            "last": chart(looked, watch.recipe, watch.predicted, watch.view, LAST),
        }
    return (
        CureAnswer(
            watched=True,
            looked=ago if math.isfinite(ago) else 0.0,
            alarms=alarms,
            sounds=any(a.sounds for a in alarms),
            big=_big(watch, looked),
            calm=_calm(looked),
            channels=_channels(watch, looked),
            notes=_notes(looked),
        ),
        charts,
    )


def failed(words: str) -> CureAnswer:
    """A watch that could not go on."""
    alarm = AlarmItem(
        key="begin", code="", stop=True, title=say("cure.not_begun"), when=say("cure.now"), words=words,
        todo=say("cure.not_begun_todo"), heeded="", sounds=True,
    )  # fmt: skip
    return CureAnswer(
        watched=True, looked=0.0, alarms=[alarm], sounds=True, big=[], calm="", channels=[], notes=[]
    )


def _own(watch: CureWatch, looked: Looked | None, stuck: bool) -> Iterator[AlarmItem]:
    """What keeps the watch itself from seeing."""
    if stuck:
        yield AlarmItem(
            key="stuck", code="", stop=True, title=say("cure.stuck"), when=say("cure.now"), words="",
            todo=say("cure.blind_todo"), heeded="", sounds=True,
        )  # fmt: skip
    if looked is not None and looked.trouble:
        heeded, sounds = watch.troubled()
        by = say("cure.heeded", by=heeded.by, time=_clock(heeded.on)) if heeded is not None else ""
        yield AlarmItem(
            key="trouble", code="", stop=True, title=say("cure.trouble"), when=say("cure.now"),
            words=looked.trouble, todo=say("cure.blind_todo"), heeded=by, sounds=sounds,
        )  # fmt: skip


def _clock(on: datetime) -> str:
    return on.astimezone().strftime("%H:%M:%S")


_TITLES: dict[str, str] = {}


def _alarm(s: Sounding) -> AlarmItem:
    if not _TITLES:
        _TITLES.update({c.code: c.title for c in all_codes()})
    f, within = s.alarm.finding, s.alarm.within
    code = f.code
    title = _TITLES.get(code, code)
    by = say("cure.heeded", by=s.heeded.by, time=_clock(s.heeded.on)) if s.heeded is not None else ""
    return AlarmItem(
        key=s.key,
        code=code,
        stop=f.severity is Severity.STOP,
        title=title,
        when=say("cure.now") if within <= 0 else say("cure.within", time=time_left(within)),
        words=f.words.removeprefix(f"{title}: "),
        todo=f.todo,
        heeded=by,
        sounds=s.sounds,
    )


def _big(watch: CureWatch, looked: Looked | None) -> list[BigItem]:
    if looked is None or looked.now is None or looked.evidence is None:
        waits = looked.silent if looked is not None else 0.0
        under = say("cure.waits_since", age=_age(waits))
        return [BigItem(value=say("cure.waits"), unit="", under=under, off=True)]
    now, (hot, press) = looked.now, UNITS[watch.view]
    words = {
        "": say("cure.unknown_segment"),
        "ramp": say("cure.ramp"),
        "dwell": say("cure.dwell"),
        "cool": say("cure.cool"),
    }
    segment = next((s.segment for s in looked.stretches if s.segment.name == now.segment), None)
    number = next((i for i, s in enumerate(looked.stretches, 1) if s.segment.name == now.segment), 0)
    of = say("cure.segment_of", number=number, count=len(looked.stretches)) if number else now.segment
    left = f"{math.ceil(now.left / 60)}" if math.isfinite(now.left) else "?"
    held = ""
    if segment is not None and segment.kind is SegmentKind.DWELL and math.isfinite(now.needed):
        needed = math.ceil(round(now.needed / 60, 6))
        held = say("cure.held", held=f"{math.floor(now.held / 60)}", needed=f"{needed}")
    band, out = _band(looked, segment, hot)
    vacuum, least = _vacuum(watch, looked, press)
    low = _number_words(now.lowest, "temperature", hot)
    return [
        BigItem(value=words[now.kind], unit="", under=of, off=not now.kind),
        BigItem(value=left, unit=say("cure.min_left"), under=held or now.left_how, off=left == "?"),
        BigItem(value=low, unit="°C" if hot == "C" else "°F", under=band, off=out or low == "?"),
        BigItem(value=vacuum, unit=press, under=least[0], off=least[1]),
    ]


def _band(looked: Looked, segment: RecipeSegment | None, hot: str) -> tuple[str, bool]:
    """What stands under the coldest: its band in a dwell, the hottest otherwise; whether it is outside."""
    now = looked.now
    assert now is not None
    high = _number_words(now.highest, "temperature", hot)
    if segment is not None and segment.kind is SegmentKind.DWELL and segment.band_low is not None:
        low = segment.band_low.value
        top = segment.band_high.value if segment.band_high is not None else math.inf
        band = _number_words(low, "temperature", hot)
        band += (
            f" {say('cure.to')} {_number_words(top, 'temperature', hot)}"
            if math.isfinite(top)
            else f" {say('cure.or_more')}"
        )
        out = not (now.lowest >= low and now.highest <= top)
        return say("cure.coldest_band", band=band, hottest=high), out
    return say("cure.coldest", hottest=high), False


def _vacuum(watch: CureWatch, looked: Looked, press: str) -> tuple[str, tuple[str, bool]]:
    now = looked.now
    assert now is not None
    rule = watch.recipe.vacuum
    shown = _number_words(now.vacuum, "pressure", press)
    if rule is None:
        return shown, (say("cure.vacuum_free"), False)
    least = _number_words(rule.least.value, "pressure", press)
    return shown, (say("cure.vacuum_least", least=least), not now.vacuum >= rule.least.value)


def _number_words(value: float, kind: str, unit: str) -> str:
    return show(value, kind, unit=unit, decimals=1).rpartition(" ")[0] if math.isfinite(value) else "?"


def _calm(looked: Looked | None) -> str:
    now = looked.now if looked is not None else None
    if now is None:
        return say("cure.calm_waits")
    if math.isfinite(now.left) and now.left > 0:
        return say("cure.calm_left", minutes=math.ceil(now.left / 60), how=now.left_how)
    return say("cure.calm_now", how=now.left_how)


def _channels(watch: CureWatch, looked: Looked | None) -> list[ChannelItem]:
    if looked is None or looked.evidence is None:
        return []
    e, (hot, press) = looked.evidence, UNITS[watch.view]
    end, step = float(np.max(e.times)), max(gap_step(e.log), 5.0)
    lost = dict(e.lost_at)
    made = []
    pen = -1
    for c in e.log.channels:
        if c.role not in (ChannelRole.THERMOCOUPLE, ChannelRole.VACUUM, ChannelRole.SET_POINT):
            continue
        pen += c.role is ChannelRole.THERMOCOUPLE
        good = np.flatnonzero(np.isfinite(c.values))
        age = end - float(e.times[good[-1]]) + looked.silent if good.size else math.inf
        unit = press if c.role is ChannelRole.VACUUM else hot
        value = _number_words(float(c.values[good[-1]]), c.kind, unit) if good.size else "?"
        state, note = "fresh", say("cure.age", age=_age(age)) if math.isfinite(age) else say("cure.never")
        if c.name in lost:
            state, note = "lost", say("cure.lost", time=e.log.clock(lost[c.name]))
        elif age > step:
            state, note = (
                "stale",
                say("cure.stale_age", age=_age(age)) if math.isfinite(age) else say("cure.never"),
            )
        shown = f"{value} {'°C' if unit == 'C' else '°F' if unit == 'F' else unit}"
        kind = pen % 4 if c.role is ChannelRole.THERMOCOUPLE else -1
        made.append(ChannelItem(name=c.name, value=shown, note=note, state=state, pen=kind))
    return made


def _notes(looked: Looked | None) -> list[str]:
    if looked is None:
        return []
    made = list(looked.notes)
    if looked.evidence is not None:
        gaps = gaps_of(looked)
        if gaps:
            minutes = sum(b - a for a, b in gaps) / 60
            made.insert(0, say("cure.gaps", count=len(gaps), minutes=math.ceil(round(minutes, 6))))
        began = looked.evidence.log.started
        zone = began[19:] if len(began) > 19 else ""
        made.append(say("cure.axis_zone", zone=zone) if zone else say("cure.axis_log"))
    return made


def _age(seconds: float) -> str:
    whole = int(seconds)
    if whole < 120:
        return f"{whole} s"
    return (
        f"{whole // 60}:{whole % 60:02d} min" if whole < 3600 else f"{whole // 3600}:{whole // 60 % 60:02d} h"
    )
