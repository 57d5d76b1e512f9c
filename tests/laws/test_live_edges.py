"""Live readings: buffers, messages, registers and the picture, each at its limits and worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from panelmend.app.pages import import_registering
from panelmend.curelog.live import Buffer, Point, Sample
from panelmend.curelog.live.frame import _alarm_lines, _trace, frame
from panelmend.curelog.live.modbus import Register
from panelmend.curelog.live.mqtt import LONGEST, Mqtt, parse_message
from panelmend.errors import Finding, InputError, ReadingError, Severity, all_codes
from panelmend.plan.judge import Alarm, Now
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog

TC = Point("TC1", ChannelRole.THERMOCOUPLE, "C")
VACUUM = Point("V", ChannelRole.VACUUM, "kPa", sense="absolute")
POWER = Point("P", ChannelRole.POWER, scale=0.1)


def test_a_raw_number_is_scaled_and_brought_to_si() -> None:
    assert Point("T", ChannelRole.THERMOCOUPLE, "C", scale=0.1).si(205.0) == pytest.approx(293.65)
    assert Point("T", ChannelRole.THERMOCOUPLE, "F").si(212.0) == pytest.approx(373.15)
    assert POWER.si(505.0) == pytest.approx(50.5)
    assert math.isnan(POWER.si(math.inf))
    assert VACUUM.si(20.0, 101e3) == pytest.approx(81e3)


def test_a_live_log_needs_channels_and_an_air_pressure_where_one_is_absolute() -> None:
    with pytest.raises(InputError, match="needs channels"):
        Buffer([])
    for ambient in (math.nan, 0.0, -1.0):
        with pytest.raises(InputError, match="needs the ambient pressure"):
            Buffer([TC, VACUUM], ambient=ambient)
    assert len(Buffer([TC, VACUUM], ambient=1e5)) == 0
    assert len(Buffer([TC])) == 0


def test_the_log_so_far_says_what_came_twice_and_late() -> None:
    made = Buffer([TC, POWER])
    with pytest.raises(InputError, match="no reading has come yet"):
        made.log()
    for values in ((1.0,), (1.0, 2.0, 3.0)):
        with pytest.raises(InputError, match="does not fit"):
            made.add(Sample(0.0, values))
    with pytest.raises(InputError, match="does not fit"):
        made.add(Sample(math.nan, (1.0, 2.0)))
    made.add(Sample(86400.0, (20.0, 10.0)))
    made.add(Sample(86410.0, (21.0, math.nan)))
    assert made.log().notes == ()
    made.add(Sample(86410.0, (21.0, math.nan)))  # the same once more
    made.add(Sample(86430.0, (23.0, 30.0)))
    made.add(Sample(86420.0, (22.0, 20.0)))
    log = made.log()
    assert log.notes == (
        "1 samples came twice and were kept once",
        "1 samples came late and were put in their place",
    )
    assert log.started == "1970-01-02T00:00:00+00:00"
    assert log.times.tolist() == [0.0, 10.0, 20.0, 30.0]
    assert (log.channels[0].values - 273.15).tolist() == pytest.approx([20.0, 21.0, 22.0, 23.0])
    assert log.channels[1].values[[0, 2, 3]].tolist() == pytest.approx([1.0, 2.0, 3.0])
    assert [(c.name, c.kind) for c in log.channels] == [("TC1", "temperature"), ("P", "")]


@pytest.mark.parametrize(("late", "in_place"), [(14.9, False), (15.0, False), (22.0, True)])
def test_a_gap_is_one_and_a_half_usual_steps(late: float, in_place: bool) -> None:
    """Between 10 and 24.9 s stand 14.9 s, less than one and a half steps of 10 s."""
    made = Buffer([TC])
    for t in (0.0, 10.0, 20.0, 30.0, 45.1) if in_place else (0.0, 10.0, 24.9, 34.9, 44.9):
        made.add(Sample(t, (t,)))
    made.add(Sample(late if not in_place else 40.0, (99.0,)))
    assert made.late == in_place


def test_nothing_is_put_between_readings_whose_clock_was_set_back() -> None:
    made = Buffer([TC])
    for t in (0.0, 10.0, 20.0, 60.0, 70.0, 80.0, 65.0):
        made.add(Sample(t, (t,)))
    made.add(Sample(40.0, (40.0,)))
    assert (made.placed, made.late) == (7, 0)


def test_a_listener_begins_with_nothing_refused() -> None:
    made = Mqtt("host", 1883, "topic", [TC], client_id="me")
    assert (made.turned_away, list(made.refused), made.dropped_out, made.connected) == (0, [], 0, False)
    for topic, points, me in (("", [TC], "me"), ("topic", [], "me"), ("topic", [TC], "")):
        with pytest.raises(InputError, match="needs a topic"):
            Mqtt("host", 1883, topic, points, client_id=me)


@pytest.mark.parametrize(
    ("payload", "time"),
    [
        (b'{"time": 1, "values": {"TC1": 20}}', 1.0),
        (b'{"time": 0, "values": {"TC1": 20}}', None),
        (b'{"time": 99999999999, "values": {"TC1": 20}}', 99999999999.0),
        (b'{"time": 100000000000, "values": {"TC1": 20}}', None),
        (b'{"time": true, "values": {"TC1": 20}}', None),
        (b'{"time": "1970-01-01T01:00:01+01:00", "values": {"TC1": 20}}', 1.0),
        (b'{"time": "1970-01-01T01:00:01", "values": {"TC1": 20}}', None),
        (b'{"time": 1, "values": {"TC2": 20}}', None),
        (b'{"time": 1, "values": {"TC1": true}}', None),
        (b'{"time": 1, "values": {"TC1": "20"}}', None),
        (b'{"time": 1, "values": {"TC1": Infinity}}', None),
        (b"[1]", None),
    ],
)
def test_a_message(payload: bytes, time: float | None) -> None:
    if time is None:
        with pytest.raises(ReadingError):
            parse_message(payload, [TC])
    else:
        assert parse_message(payload, [TC]) == Sample(time, (20.0,))


def test_a_message_of_some_channels_and_one_too_long() -> None:
    both = parse_message(b'{"time": 1, "values": {"TC1": 20, "odd": 1}}', [TC, POWER])
    assert both.values[0] == 20.0
    assert math.isnan(both.values[1])
    named = Point("TC1", ChannelRole.THERMOCOUPLE, "C", address="odd")
    assert parse_message(b'{"time": 1, "values": {"TC1": 20, "odd": 1}}', [named]).values == (1.0,)
    fits = b'{"time": 1, "values": {"TC1": 20}}'.ljust(LONGEST)
    assert LONGEST == 65536
    assert parse_message(fits, [TC]).time == 1.0
    with pytest.raises(ReadingError, match="longer than 64 kB"):
        parse_message(fits + b" ", [TC])


@pytest.mark.parametrize(
    ("text", "words", "value"),
    [
        ("holding:0", [65535], -1.0),
        ("holding:0:uint16", [65535], 65535.0),
        ("input:65535:int32", [1, 2], 65538.0),
        ("holding:7:int32:swapped", [2, 1], 65538.0),
        ("holding:7:uint32", [65535, 65535], 4294967295.0),
        ("holding:7:float32", [0x41A4, 0], 20.5),
    ],
)
def test_a_register_and_its_number(text: str, words: list[int], value: float) -> None:
    assert Register.parse(text).value(words) == value


@pytest.mark.parametrize(
    "text", ["holding", "holding:x", "holding:65536", "coil:1", "holding:1:int8", "holding:-1", ""]
)
def test_a_register_that_does_not_exist(text: str) -> None:
    with pytest.raises(InputError):
        Register.parse(text)


def test_a_number_for_an_open_sensor_is_no_reading() -> None:
    assert math.isnan(Register(0, bad=(32767,)).value([32767]))
    assert Register(0, bad=(32767,)).value([32766]) == 32766.0


def of_severity(severity: Severity, words: str) -> Finding:
    import_registering()
    return next(c for c in all_codes() if c.severity is severity)(words)


TIMES = np.arange(0.0, 160.0, 10.0)


def picture(*alarms: Alarm, **more: Any) -> list[str]:
    given: dict[str, Any] = {
        "time": 0.0, "clock": "10:00", "segment": "dwell", "kind": "hold", "slowest": "TC1",
        "lowest": 393.15, "fastest": "TC1", "highest": 394.15, "set_point": 395.15, "rate": 1 / 60,
        "vacuum": 80e3, "working": 1, "held": 600.0, "needed": 3600.0, "left": 3000.0,
        "left_how": "of the dwell", "alarms": alarms,
    }  # fmt: skip
    log = CureLog(TIMES, (Channel("TC1", ChannelRole.THERMOCOUPLE, "temperature", 300.0 + TIMES),))
    width = more.pop("width", 40)
    return frame(Now(**(given | more)), log, width=width).splitlines()


def test_a_picture_tells_the_state_line_by_line() -> None:
    assert picture(width=78)[:7] == [
        "10:00   dwell (hold)",
        "slowest TC1 120.0 C   fastest TC1 121.0 C",
        "set point 122.0 C   slowest moves 1.0 C/min",
        "vacuum 23.6 inHg   thermocouples that work: 1",
        "held 10 of 60 min",
        "left: 50 min (of the dwell)",
        "",
    ]
    assert picture()[-1] == "no alarm"
    unknown = picture(needed=math.nan, left=math.nan, expected=393.15, kind="", width=78)
    assert unknown[0] == "10:00   segment not found"
    assert unknown[4:6] == ["predicted of the slowest now 120.0 C", "left: not known (of the dwell)"]


@pytest.mark.parametrize(
    ("held", "needed", "left", "told"),
    [
        (5399.0, 5400.0, 1.0, ["held 89 of 90 min", "left: 1 min (of the dwell)"]),  # it was 90 of 90
        (5400.0, 5400.0, 0.0, ["held 90 of 90 min", "left: 0 min (of the dwell)"]),
        (59.9, 5401.0, 61.0, ["held 0 of 91 min", "left: 2 min (of the dwell)"]),
    ],
    ids=["a_second_short", "done", "parts_of_minutes"],
)
def test_no_dwell_looks_done_before_it_is(held: float, needed: float, left: float, told: list[str]) -> None:
    """What was held in whole minutes down, what is needed and left up: somebody turns the heat off by it."""
    assert picture(width=78, held=held, needed=needed, left=left)[4:6] == told


def test_a_stop_stands_above_and_other_alarms_below() -> None:
    stop, caution = of_severity(Severity.STOP, "too hot"), of_severity(Severity.CAUTION, "growing")
    lines = picture(Alarm(caution, 90.0), Alarm(stop, 0.0), width=78)
    assert lines[1] == "! STOP, NOW: too hot"
    assert lines.index("! in 90 s: growing") > lines.index("left: 50 min (of the dwell)")
    assert "no alarm" not in lines
    assert "! STOP, NOW: too hot" not in lines[2:]


def test_a_picture_is_forty_wide_at_least() -> None:
    assert max(map(len, picture(width=10, left_how="x" * 80))) == 40
    assert max(map(len, picture(width=41, left_how="x" * 80))) == 41


@pytest.mark.parametrize(
    ("within", "mark"),
    [
        (0.0, "NOW"),
        (0.1, "in 0 s"),
        (119.9, "in 119 s"),
        (120.0, "in 2 min"),
        (170.0, "in 2 min"),
        (180.0, "in 3 min"),
    ],
)
def test_when_an_alarm_is_due(within: float, mark: str) -> None:
    first = _alarm_lines(Alarm(of_severity(Severity.CAUTION, "growing"), within), 78)[0]
    assert first == f"! {mark}: growing"


def test_a_trace_goes_from_low_to_high_with_blanks_for_no_reading() -> None:
    rising = 300.0 + TIMES
    assert _trace("a long name", TIMES, rising, 40, "C").startswith("a long nam .")
    assert _trace("TC1", TIMES, rising, 40, "C").endswith("# 176.9 C")
    marks = _trace("TC1", TIMES, rising, 40, "C")[11:27]
    assert list(marks) == sorted(marks, key=" ._-=+*#".index)
    assert (marks[0], marks[-1], " " in marks) == (".", "#", False)
    gap = rising.copy()
    gap[4:8], gap[-1] = math.nan, math.nan
    told = _trace("TC1", TIMES, gap, 40, "C")
    assert told[15:19] == "    "
    assert told.endswith("not known")


@pytest.mark.parametrize(
    ("kelvin", "shown"), [(200.0, False), (200.1, True), (699.9, True), (700.0, False), (math.nan, False)]
)
def test_readings_that_no_cure_has_are_blank(kelvin: float, shown: bool) -> None:
    values = np.full(16, 300.0)
    values[5] = kelvin
    assert (_trace("TC1", TIMES, values, 40, "C")[16] != " ") is shown
