"""What a person at the bench sees first: stops above all else, and why nothing new is read."""

from __future__ import annotations

from io import StringIO
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from made_curelog import INHG, made_cure, written
from panelmend.curelog import propose
from panelmend.curelog.live import GrowingFile, follow, frame
from panelmend.errors import Severity
from panelmend.plan.judge import ChannelRole, look
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.evidence import gather
from panelmend.screen import cure_seen
from panelmend.screen.cure_chart import _thinned
from recipe_curelog import RECIPE


def _screen(path: Path, steps: list[str]) -> str:
    """Follow a file that grows by these texts; everything that was drawn."""
    path.write_text(steps[0], "utf8")
    made = propose(path)
    growing, out, left = GrowingFile(path, made.confirm(made.suggested())), StringIO(), steps[1:]

    def go_on() -> bool:
        if out.getvalue() and left:
            with path.open("a", encoding="utf8") as file:
                file.write(left.pop(0))
            return True
        return not out.getvalue()

    follow(growing, RECIPE, out, period=0.0, clear=False, go_on=go_on)
    return out.getvalue()


def test_stops_come_first_and_above_the_traces() -> None:
    """A lost thermocouple and a ceiling that was passed are cautions; the vacuum that is lost is a stop."""
    made = made_cure(4, dwell=3600.0)
    made.temps[(made.times > 4000) & (made.times < 4100)] += 20.0
    made.temps[made.times > 4300, 1] = 1500.0
    made.vacuum[made.times > 5000] = 10 * INHG
    cut = made.times <= 5600
    made.times, made.temps, made.vacuum, made.set_point = (
        x[cut] for x in (made.times, made.temps, made.vacuum, made.set_point)
    )
    log = made.log()
    now = look(RECIPE, log)
    severities = [a.finding.severity is Severity.STOP for a in now.alarms]
    assert any(severities)
    assert not all(severities)
    assert severities == sorted(severities, reverse=True), "no caution before a stop"
    lines = frame(now, log).splitlines()
    vacuum = next(i for i, x in enumerate(lines) if c.VACUUM_NOW.title in x)
    assert lines[vacuum].startswith("! STOP, NOW")
    assert "vacuum 10.0 inHg" in "\n".join(lines)
    assert vacuum < next(i for i, x in enumerate(lines) if x.startswith("slowest"))
    lost = next(i for i, x in enumerate(lines) if c.SENSOR_NOW.title in x)
    assert lost > next(i for i, x in enumerate(lines) if x.startswith("TC1"))
    assert not lines[lost].startswith("! STOP")
    assert sum(c.VACUUM_NOW.title in x for x in lines) == 1


def test_a_watch_that_cannot_read_on_stays_and_says_so(tmp_path: Path) -> None:
    """A second head with another unit ended the watch."""
    text = written(made_cure(4, step=30.0)).splitlines(keepends=True)
    head = text[0].replace("°C", "°F")
    drawn = _screen(tmp_path / "log.csv", ["".join(text[:100]), head + text[100], "".join(text[101:103])])
    pictures = drawn.split("left:")
    assert len(pictures) == 4, "three pictures"
    assert "nothing new can be read" not in pictures[0]
    for picture in pictures[1:3]:
        assert "! STOP, NOW: nothing new can be read" in picture
        assert "second head" in " ".join(picture.split())


def test_a_file_with_another_head_does_not_keep_the_watch_waiting_without_a_word(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    text = written(made_cure(4, step=30.0))
    path.write_text(text, "utf8")
    made = propose(path)
    how = made.confirm(made.suggested())
    path.write_text(text.replace("TC1", "Tail"), "utf8")
    growing, out, looks = GrowingFile(path, how), StringIO(), [True, False]
    follow(growing, RECIPE, out, period=0.0, clear=False, go_on=lambda: looks.pop(0))
    assert "waiting for readings" in out.getvalue()
    assert "not the one that was confirmed" in " ".join(out.getvalue().split())
    assert "! STOP, NOW" in out.getvalue()


def test_a_screen_of_two_samples_or_of_nothing_that_counts_is_drawn() -> None:
    made = made_cure(4)
    for rows in (2, 3, 7):
        for blank in (False, True):
            short = made_cure(4)
            temps = made.temps[:rows].copy()
            temps[:] = np.nan if blank else temps
            short.times, short.temps = made.times[:rows], temps
            short.vacuum, short.set_point = made.vacuum[:rows], made.set_point[:rows]
            log = short.log()
            assert "left:" in frame(look(RECIPE, log, silent=90.0), log)


def test_every_extreme_of_a_long_line_is_drawn() -> None:
    """A peak and a dip of one reading among 4,000, at any place of the piece of time they fall in."""
    for at in (1, 1203, 1207, 1219, 3998):
        times, values = np.arange(4000.0), np.full(4000, 350.0)
        values[at], values[(at + 2000) % 4000] = 391.0, 300.0
        t, v = _thinned(times, values, 4000.0)
        assert t.size < 1000
        assert (v.max(), v.min()) == (391.0, 300.0)
        assert (t[v.argmax()], t[v.argmin()]) == (at, (at + 2000) % 4000)
        assert (np.diff(t) > 0).all()


@pytest.mark.parametrize(
    ("inches", "shown", "off"),
    [(22.0, "22.0", False), (21.9, "21.9", True), (0.0, "0.0", True), (np.nan, "?", True)],
)
def test_a_vacuum_below_its_least_or_not_read_is_marked(inches: float, shown: str, off: bool) -> None:
    rule = SimpleNamespace(least=SimpleNamespace(value=22 * INHG))
    watch = SimpleNamespace(recipe=SimpleNamespace(vacuum=rule))
    looked = SimpleNamespace(now=SimpleNamespace(vacuum=inches * INHG))
    found, (words, marked) = cure_seen._vacuum(watch, looked, "inHg")  # type: ignore[arg-type]
    assert (found, marked) == (shown, off)
    assert "22.0" in words


@pytest.mark.parametrize("silent", [0.0, 95.0, 600.0])
def test_a_reading_ages_while_nothing_comes(silent: float) -> None:
    """Every channel is as old as the silence, the one that stopped 200 s before that so much more."""
    made = made_cure(4, step=10.0)
    made.temps[-20:, 2] = np.nan
    log = made.log()
    looked = SimpleNamespace(evidence=gather(log, RECIPE.longest_gap, live=True), silent=silent)
    watch = SimpleNamespace(view="mm")
    found = {c.name: c for c in cure_seen._channels(watch, looked)}  # type: ignore[arg-type]
    names = [c.name for c in log.of_role(ChannelRole.THERMOCOUPLE)]
    assert cure_seen._age(silent) in found[names[0]].note
    assert (found[names[0]].state == "fresh") is (silent == 0.0)
    assert found[names[2]].state in ("stale", "lost")
    if found[names[2]].state == "stale":
        assert cure_seen._age(silent + 200.0) in found[names[2]].note
