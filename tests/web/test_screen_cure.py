"""The cure watch on the screen: what is seen, heard and said, and that a page or a watch that is blind says
so."""

from __future__ import annotations

import os
import re
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import numpy as np
import pytest

from loopback import free_port, modbus
from panelmend.app import cure_watch, log_reading
from panelmend.app.cure_watch import SOUNDS_AGAIN_AFTER, CureWatch
from panelmend.screen import cure_seen
from panelmend.screen.cure_chart import chart
from panelmend.screen.watches import SAID
from panelmend.screen.workshop import DEMO, Workshop
from screen_made import CHEAP, REPAIR, Desk, chromium, desk, served
from screen_window import RULERS, Window, faults_of_axe

WHOLE = (Path(__file__).parents[2] / "examples/gear_door/cure-repair-plies.csv").read_text("utf8")
HEAD, ROWS = WHOLE.splitlines(True)[:2], WHOLE.splitlines(True)[2:]
WATCH = f"{REPAIR}/cures/2"


def _log(folder: Path, rows: list[str], name: str = "LOG-2.csv", *, confirmed: bool = True) -> Path:
    """A log in the folder of logs, and how it is read confirmed."""
    path = folder / name
    path.write_text("".join([*HEAD, *rows]), "utf8")
    if confirmed:
        log_reading.confirm(path, {}, take_suggested=True, by="R. Osk")
    return path


class Clock:
    """A clock that is turned by hand."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk."""
    with desk() as made:
        yield made


@pytest.fixture
def watched(at: Desk, tmp_path: Path) -> tuple[CureWatch, Path, Clock]:
    """A watch of the second cure in its dwell, looked at by hand, with a clock turned by hand."""
    path, clock = _log(tmp_path, ROWS[:140]), Clock()
    document = at.workshop.repairs_folder / DEMO / "repair.toml"
    made = CureWatch(document, "Repair plies", path, tmp_path / "kept.csv", clock=clock)
    made.once()
    return made, path, clock


def test_a_log_nobody_confirmed_and_a_name_that_is_a_path_are_not_watched(at: Desk) -> None:
    _log(at.workshop.watches.logs, ROWS[:20], "raw.csv", confirmed=False)
    refused = at.post(f"{WATCH}/watch", {"source": "raw.csv"})
    assert refused.status == 422
    assert "nobody has confirmed" in refused.json["title"]
    for name in ("../repairs/x", "/etc/passwd", "raw.csv.read.json", "..", "none.csv"):
        assert at.post(f"{WATCH}/watch", {"source": name}).status in (404, 422)
    assert at.post(f"{REPAIR}/cures/9/watch", {"source": "raw.csv"}).status == 404
    assert at.get(f"{WATCH}/watch").json["watched"] is False


def test_the_state_is_told_in_words_figures_and_limits(watched: tuple[CureWatch, Path, Clock]) -> None:
    watch, _, _ = watched
    answer, charts = cure_seen.cure_answer(watch)
    now = watch.looked.now  # type: ignore[union-attr]
    assert now is not None
    dwell, left, low, vacuum = answer.big
    assert dwell.value == "DWELL"
    assert int(left.value) == int(np.ceil(now.left / 60))
    assert left.under == f"held {int(now.held // 60)} of 120 min"
    assert float(low.value) == pytest.approx(now.lowest - 273.15, abs=0.05)
    assert "band 77.0 to 88.0" in low.under
    assert float(vacuum.value) == pytest.approx(now.vacuum / 3386.389, abs=0.05)  # inHg, as in the report
    assert not any(b.off for b in answer.big)
    assert [c.name for c in answer.channels if c.pen >= 0] == ["T1 (°C)", "T2 (°C)", "T3 (°C)"]
    assert set(charts) == {"all", "last"}
    assert [a.key for a in answer.alarms] == ["stuck"]  # looked at by hand: no thread looks


def test_what_is_outside_is_told_so_and_just_inside_is_not(at: Desk, tmp_path: Path) -> None:
    document = at.workshop.repairs_folder / DEMO / "repair.toml"
    for coldest, off in (("77.1", False), ("76.9", True)):
        row = ROWS[139].split(",")
        rows = [*ROWS[:139], *[",".join([ROWS[i].split(",")[0], coldest, *row[2:]]) for i in range(139, 142)]]
        path = _log(tmp_path, rows, f"{coldest}.csv")
        watch = CureWatch(document, "Repair plies", path, tmp_path / "k.csv")
        watch.once()
        low = cure_seen.cure_answer(watch)[0].big[2]
        assert (low.value, low.off) == (coldest, off)


def test_gaps_stay_gaps_and_every_extreme_is_drawn(watched: tuple[CureWatch, Path, Clock]) -> None:
    watch, path, _ = watched
    whole = chart(watch.looked, watch.recipe, watch.predicted, "mm", None)  # type: ignore[arg-type]
    lines = re.findall(r'<path class="line line-0" d="([^"]+)"', whole)
    assert len(lines) == 2  # one thermocouple and the vacuum, in one piece each
    assert 'class="gap"' not in whole
    path.write_text("".join([*HEAD, *ROWS[:60], *ROWS[67:140]]), "utf8")
    made = CureWatch(watch.document, "Repair plies", path, path.with_name("k.csv"))
    made.once()
    broken = chart(made.looked, made.recipe, made.predicted, "mm", None)  # type: ignore[arg-type]
    assert len(re.findall(r'<path class="line line-0"', broken)) == 4
    assert broken.count('class="gap"') == 1
    assert any("1 gaps, 8 min" in n for n in cure_seen.cure_answer(made)[0].notes)


def test_a_stale_channel_keeps_its_last_value_and_tells_its_age(at: Desk, tmp_path: Path) -> None:
    rows = [
        ",".join([*r.split(",")[:3], "", *r.split(",")[4:]]) if 134 <= i < 140 else r
        for i, r in enumerate(ROWS[:140])
    ]
    path = _log(tmp_path, rows, "stale.csv")
    watch = CureWatch(
        at.workshop.repairs_folder / DEMO / "repair.toml", "Repair plies", path, tmp_path / "k.csv"
    )
    watch.once()
    answer, charts = cure_seen.cure_answer(watch)
    third = next(c for c in answer.channels if c.name.startswith("T3"))
    assert third.state in ("stale", "lost")
    assert "6:0" in third.note or "LOST" in third.note
    assert third.value == ROWS[133].split(",")[3] + " °C"
    assert 'class="ring' in charts["all"]


def test_silence_is_an_alarm_by_the_machines_own_clock_even_after_it_was_ended(
    watched: tuple[CureWatch, Path, Clock], tmp_path: Path
) -> None:
    watch, path, clock = watched
    assert not any(a.code == "L127" for a in cure_seen.cure_answer(watch)[0].alarms)
    clock.now += 600.0
    watch.once()
    silent = [s for s in watch.sounding() if "old" in s.alarm.finding.words]
    assert len(silent) == 1
    assert "11 min old" in silent[0].alarm.finding.words
    hour_ago = time.time() - 3600
    os.utime(path, (hour_ago, hour_ago))
    again = CureWatch(watch.document, "Repair plies", path, tmp_path / "k.csv", clock=clock)
    again.once()
    assert any(re.search(r"\b6[01] min old", s.alarm.finding.words) for s in again.sounding())


def test_an_alarm_that_is_heeded_is_quiet_and_a_stop_sounds_again(
    watched: tuple[CureWatch, Path, Clock],
) -> None:
    watch, _, clock = watched
    clock.now += 600.0
    watch.once()
    alarm = next(s for s in watch.sounding() if "old" in s.alarm.finding.words)
    assert alarm.sounds
    watch.heed([alarm.key], "M. Verrin")
    quiet = next(s for s in watch.sounding() if s.key == alarm.key)
    assert quiet.heeded is not None
    assert quiet.heeded.by == "M. Verrin"
    assert not quiet.sounds
    clock.now += SOUNDS_AGAIN_AFTER - 1
    assert not next(s for s in watch.sounding() if s.key == alarm.key).sounds
    clock.now += 2
    assert next(s for s in watch.sounding() if s.key == alarm.key).sounds
    with pytest.MonkeyPatch.context() as patch:  # it clears: who heeded it then is not on the next one
        patch.setattr(cure_watch, "look", lambda *a, **n: _calm(watch))
        watch.once()
    watch.once()
    assert next(s for s in watch.sounding() if s.key == alarm.key).heeded is None


def _calm(watch: CureWatch) -> Any:
    from dataclasses import replace

    assert watch.looked is not None
    assert watch.looked.now is not None
    return replace(watch.looked.now, alarms=())


def test_a_watch_that_hangs_fails_or_cannot_read_is_a_stop(watched: tuple[CureWatch, Path, Clock]) -> None:
    watch, path, clock = watched
    assert cure_seen.cure_answer(watch)[0].alarms[0].key == "stuck"  # its thread was never started
    watch.start()
    assert not [a for a in cure_seen.cure_answer(watch)[0].alarms if a.key == "stuck"]
    clock.now += 21.0
    watch._ended.set()
    watch._thread.join(10)
    assert cure_seen.cure_answer(watch)[0].alarms[0].key == "stuck"
    path.write_text("another,head\n1,2\n3,4\n5,6\n", "utf8")
    watch.once()
    alarm = next(a for a in cure_seen.cure_answer(watch)[0].alarms if a.key == "trouble")
    assert alarm.stop
    assert alarm.sounds
    watch.heed(["trouble"], "T1")
    assert not next(a for a in cure_seen.cure_answer(watch)[0].alarms if a.key == "trouble").sounds
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cure_watch, "look", lambda *a, **n: 1 / 0)
        made = watch.once()
    assert made.trouble


def test_a_watch_goes_on_when_the_server_was_killed_and_says_where_it_cannot(at: Desk) -> None:
    path = _log(at.workshop.watches.logs, ROWS[:140], "again.csv")
    assert at.post(f"{WATCH}/watch", {"source": "again.csv"}).json["watched"] is True
    assert at.post(f"{WATCH}/heard", {}).json["by"] == "somebody without a device"
    watches = Workshop(at.workshop.folder, cost=CHEAP).watches  # as after a kill: nothing was closed
    watches.go_on(at.workshop.document)
    there = watches.of(DEMO, 2)
    assert there is not None
    watch = there[1]
    assert watch is not None
    _until(lambda: watch.once().now is not None)
    watches.close()
    path.rename(path.with_name("gone.csv"))
    lost = Workshop(at.workshop.folder, cost=CHEAP).watches
    lost.go_on(at.workshop.document)
    there = lost.of(DEMO, 2)
    assert there is not None
    assert there[1] is None
    assert cure_seen.failed(there[2]).alarms[0].stop
    assert at.post(f"{WATCH}/end", {}).json["watched"] is False
    said = (at.workshop.folder / SAID).read_text("utf8")
    assert [w for w in ("begun", "sound heard", "ended") if f'"what": "{w}"' not in said] == []


INSTRUMENT = """kind = "modbus"
host = "127.0.0.1"
port = {port}
period = "0.05 s"
[[point]]
name = "TC1"
role = "thermocouple"
unit = "F"
address = "holding:0:int16"
scale = 0.1
[[point]]
name = "Vacuum"
role = "vacuum"
unit = "inHg"
address = "holding:1:int16"
scale = 0.1
"""


def _until(said: Callable[[], object], within: float = 120.0) -> None:
    end = time.monotonic() + within
    while not said():
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.02)


def test_a_live_instrument_is_watched_and_what_it_read_outlives_a_killed_server(at: Desk) -> None:
    """After a kill the watch goes on with what was read before: the dwell does not begin anew. What was not
    read between stays a gap, a line that was cut off is no reading, and silence counts from the last one."""
    port, logs = free_port(), at.workshop.watches.logs
    (logs / "bonder.toml").write_text(INSTRUMENT.format(port=port), "utf8")
    with modbus(port, [1800, 240]):
        assert at.post(f"{WATCH}/watch", {"source": "bonder.toml"}).json["watched"] is True
        begun, watch, _ = at.workshop.watches.of(DEMO, 2)  # type: ignore[misc]
        assert watch is not None
        _until(lambda: len(watch.feed) >= 5)
        watch.once()
        now = at.get(f"{WATCH}/watch").json
        assert {c["name"].split(" (")[0]: c["value"] for c in now["channels"]}["TC1"].startswith("82.2")
        assert [a for a in now["alarms"] if a["key"] == "trouble"] == []
        assert begun.kept not in [p.name for p in logs.glob("*.toml")]
    watch.close()  # as a kill: nothing is said of an end
    _until(lambda: not watch.feed._thread.is_alive())  # type: ignore[attr-defined]
    kept = logs / begun.kept
    before = kept.read_text("utf8").splitlines()
    with kept.open("a", encoding="utf8") as file:
        file.write("17645")  # the disk had half a line when the power went
    hour_ago = time.time() - 3600
    os.utime(kept, (hour_ago, hour_ago))
    again = Workshop(at.workshop.folder, cost=CHEAP).watches
    again.go_on(at.workshop.document)
    try:
        _, there, fault = again.of(DEMO, 2)  # type: ignore[misc]
        assert there is not None, fault
        assert len(there.feed) == len(before) - 1
        looked = there.once()
        assert any("broken off" in n for n in looked.notes)
        assert looked.silent == pytest.approx(3600, abs=30)
        # rounded up: an hour to the second, or anything over
        assert any(re.search(r"\b6[01] min old", s.alarm.finding.words) for s in there.sounding())
        with modbus(port, [1750, 240]):
            _until(lambda: len(there.feed) >= len(before) + 3)
        rows = kept.read_text("utf8").splitlines()
        assert rows[: len(before)] == before
        assert rows[len(before)].split(",")[1] == "175.0"
        assert there.once().silent < 30
        assert [p.name for p in logs.glob("bonder-*")] == [begun.kept]
    finally:
        again.close()
        at.post(f"{WATCH}/end", {})
        (logs / "bonder.toml").unlink()


# --- in the browser


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """A browser at a cure in its dwell."""
    folder = Path(mkdtemp(prefix="workshop"))
    with served(folder) as running, chromium(1180, 820) as driver:
        _log(folder / "logs", ROWS[:140])
        driver.get(running.for_the_browser)
        made = Window(driver, running)
        made.go(f"/repairs/{DEMO}/cure/2")
        made.press("[data-watch-begin] button")
        made.wait("return document.querySelectorAll('.big > div').length === 4")
        yield made
    shutil.rmtree(folder, ignore_errors=True)


@pytest.mark.parametrize("theme", ["bright", "dark"])
def test_the_watch_keeps_to_contrast_targets_and_names(window: Window, theme: str) -> None:
    window.said()
    for size in ((1180, 820), (820, 1180)):
        window.driver.set_window_size(*size)
        window.go(f"/repairs/{DEMO}/cure/2", theme)
        window.wait("return document.querySelectorAll('.big > div').length === 4")
        assert window.js(RULERS + "return rulers();") == [], f"{theme} {size}"
    assert window.said() == []
    assert faults_of_axe(window) == []
    size = "parseFloat(getComputedStyle(document.querySelector('.far')).fontSize)"
    assert (
        window.js(f"return {size} / document.body.clientWidth") >= 0.063
    )  # on a tablet 225 mm wide: capitals of 10 mm, 9 minutes of arc at 4 m
    assert "switches nothing off" in window.one(".foot").text


def test_sound_is_off_until_it_was_heard_and_a_page_without_a_heartbeat_alarms_itself(window: Window) -> None:
    window.driver.set_window_size(1180, 820)
    window.go(f"/repairs/{DEMO}/cure/2")
    assert window.one("[data-sound-words]").text.startswith("SOUND IS OFF")
    window.press("[data-sound-on]")
    window.wait("return !document.querySelector('[data-sound-heard]').hidden")
    window.press("[data-sound-heard]")
    window.wait("return document.documentElement.dataset.sound === 'on'")
    assert window.one("[data-dead]").is_displayed() is False
    network = {"offline": True, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
    window.driver.execute_cdp_cmd("Network.enable", {})
    window.driver.execute_cdp_cmd("Network.emulateNetworkConditions", network)
    window.wait("return !document.querySelector('[data-dead]').hidden")
    assert "does not answer" in window.one("[data-dead]").text
    assert window.js(RULERS + "return rulers();") == []
    window.driver.execute_cdp_cmd("Network.emulateNetworkConditions", {**network, "offline": False})
    window.wait("return document.querySelector('[data-dead]').hidden")
    window.said()


STILL = "window.setInterval = () => 0;"  # as a browser does it to a page that another one lies over
JUMP = "const d = Date.now; let to = 0; window.jump = ms => { to += ms; }; Date.now = () => d() + to;"


def test_a_page_in_the_background_alarms_itself_and_says_that_it_was_put_to_sleep(window: Window) -> None:
    """Timers of a page in the background are slowed down: the heartbeat does not go by them."""
    made = window.driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": STILL + JUMP})
    network = {"offline": True, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
    try:
        window.go(f"/repairs/{DEMO}/cure/2")
        window.wait("return document.querySelector('[data-cure]') !== null && window.jump !== undefined")
        window.js("document.documentElement.dataset.looked = ''")
        window.wait("return document.documentElement.dataset.looked !== ''")  # asked again without timers
        assert window.one("[data-slept]").is_displayed() is False
        window.js("window.jump(-90000)")
        window.js("window.jump(7000)")
        window.js("document.documentElement.dataset.looked = ''")
        window.wait("return document.documentElement.dataset.looked !== ''")
        assert window.one("[data-slept]").is_displayed() is False
        window.js("window.jump(12000)")
        window.wait("return !document.querySelector('[data-slept]').hidden")
        assert re.search(r"From \d\d:\d\d:\d\d to", window.one("[data-slept-words]").text)
        assert window.js(RULERS + "return rulers();") == []
        window.press("[data-slept-read]")
        assert window.one("[data-slept]").is_displayed() is False
        window.driver.execute_cdp_cmd("Network.enable", {})
        window.driver.execute_cdp_cmd("Network.emulateNetworkConditions", network)
        window.wait("return !document.querySelector('[data-dead]').hidden")
    finally:
        window.driver.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", made)
        window.driver.execute_cdp_cmd("Network.emulateNetworkConditions", {**network, "offline": False})
    window.said()
