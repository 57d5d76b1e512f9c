"""What was left out of the judgement without a word: a thermocouple that begins late, one that was given
another role, readings below a second head or in another unit, channels of a long table that come late."""

from __future__ import annotations

import dataclasses
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from made_curelog import INHG, Made, made_cure, written
from panelmend.curelog import ChannelRole, CureLog, ReadAs, propose, read_log
from panelmend.curelog.live import GrowingFile
from panelmend.errors import ReadingError
from panelmend.plan.judge import Channel, Outcome, SensorRule, judge
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE

# written out: a number taken from the code would move with it
JUMP, OFF, ON = 8.0, 0.5, 3.0


CONFORMS, DOES_NOT, UNKNOWN = Outcome.CONFORMS, Outcome.DOES_NOT, Outcome.UNKNOWN
ALL_WORK = dataclasses.replace(RECIPE, sensors=SensorRule(3, "note 4", may_fail=0))


def cure(**how: float) -> Made:
    made = made_cure(5, **how)  # type: ignore[arg-type]
    made.temps = np.round(made.temps - 273.15, 1) + 273.15
    return made


def codes_of(log: CureLog) -> set[str]:
    return {f.code for f in judge(RECIPE, log).findings}


# --- a thermocouple that begins to read in the heat ---------------------------------------------------------


def late(until: float) -> Made:
    made = cure()
    made.temps[made.times < until, 2] = np.nan
    return made


def test_a_thermocouple_that_begins_late_counts_as_lost() -> None:
    assert judge(ALL_WORK, cure().log()).outcome is CONFORMS
    verdict = judge(ALL_WORK, late(2800.0).log())
    assert verdict.outcome is DOES_NOT, "it has not worked all through"
    assert c.LATE.code in {f.code for f in verdict.findings}
    assert judge(RECIPE, late(2800.0).log()).outcome is CONFORMS, "one may be lost"


def test_what_it_reads_later_is_judged() -> None:
    made = late(4000.0)
    made.temps[made.times > 5000, 2] -= 12.0
    assert judge(RECIPE, made.log()).outcome is not CONFORMS


def test_it_may_begin_before_the_heat() -> None:
    """Heat comes on at 600 s; the first is 5 K warm about two minutes later."""
    assert c.LATE.code not in codes_of(late(600.0).log())
    assert c.LATE.code in codes_of(late(900.0).log())
    assert judge(ALL_WORK, late(600.0).log()).outcome is CONFORMS


# --- another unit or scale in the middle of the log ---------------------------------------------------------


def test_a_change_of_unit_in_the_cooling_cannot_be_judged() -> None:
    """F to C at 62 C, read as F all through: the hottest seems to be at 17 C, and the bag is let go."""
    made = cure()
    shown = (made.temps - 273.15) * 1.8 + 32
    at = int(np.flatnonzero((made.times > 8000) & (made.temps.max(axis=1) < 335.0))[0])
    shown[at:] = made.temps[at:] - 273.15
    made.temps = (shown - 32) / 1.8 + 273.15
    made.vacuum = np.where(made.times < made.times[at] + 30, made.vacuum, 10.0 * np.sin(made.times))
    verdict = judge(RECIPE, made.log())
    assert verdict.outcome is UNKNOWN
    assert c.JUMPED.code in {f.code for f in verdict.findings}


@pytest.mark.parametrize(("rate", "sign"), [(ON, 1.0), (OFF, -1.0)])
def test_a_jump_of_all_is_told_from_what_a_part_can_follow(rate: float, sign: float) -> None:
    def jumped(by: float, of: int = 6) -> set[str]:
        times = np.arange(0.0, 600.0, 10.0)
        steady = np.full(times.size, 330.0)
        course = np.where(times < 300.0, 330.0, 330.0 + sign * by)
        channels = tuple(
            Channel(
                f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", course + 0.5 * i if i < of else steady + 0.0
            )
            for i in range(6)
        )
        return codes_of(CureLog(times, channels))

    limit = 10.0 * rate + JUMP
    assert c.JUMPED.code not in jumped(limit - 0.1)
    assert c.JUMPED.code in jumped(limit + 0.1)
    assert c.JUMPED.code not in jumped(limit + 0.1, of=5), "one stayed: no change of unit"


# --- a channel given another role ---------------------------------------------------------------------------


def taken(path: Path, **answers: str) -> CureLog:
    made = propose(path)
    known = {q.key for q in made.questions}
    given = {k: v for k, v in {"sense of Vacuum gauge [inHg]": "below ambient"}.items() if k in known}
    how = made.confirm({**made.suggested(), **given, **answers})
    assert ReadAs.from_json(how.to_json()) == how
    return read_log(path, how)


@pytest.mark.parametrize("role", ["other", "air", "set point"])
def test_a_cold_thermocouple_given_another_role_does_not_make_a_cure_conform(
    tmp_path: Path, role: str
) -> None:
    made, path = cure(), tmp_path / "log.csv"
    path.write_text(written(made), "utf8")
    log = taken(path, **{"role of TC3 [°C]": role})
    assert [x.name for x in log.set_aside] == ["TC3 [°C]"]
    verdict = judge(RECIPE, log)
    assert verdict.outcome is CONFORMS, "with it the same"
    assert c.SET_ASIDE.code in {f.code for f in verdict.findings}
    made.temps[:, 2] = 294.0 + 0.88 * (made.temps[:, 2] - 294.0)
    path.write_text(written(made), "utf8")
    verdict = judge(RECIPE, taken(path, **{"role of TC3 [°C]": role}))
    assert verdict.outcome is UNKNOWN
    assert "TC3" in next(r.words for r in verdict.against())


def test_a_channel_that_does_not_follow_the_heat_may_be_given_another_role(tmp_path: Path) -> None:
    made, path = cure(), tmp_path / "log.csv"
    made.temps[:, 2] = 300.0 + 0.1 * np.sin(made.times)
    path.write_text(written(made), "utf8")
    log = taken(path, **{"role of TC3 [°C]": "air"})
    assert judge(RECIPE, log).outcome is CONFORMS
    assert c.SET_ASIDE.code not in codes_of(log)


# --- a second head ------------------------------------------------------------------------------------------


def with_head(change: str) -> str:
    lines = written(cure()).split("\n")
    again = lines[0].replace("°C", "°F") if change == "unit" else lines[0]
    if change == "order":
        cells = again.split(",")
        cells[1], cells[8] = cells[8], cells[1]
        again = ",".join(cells)
    extra = [",".join(["s", *["°C"] * 6, "inHg", "°C"])] if change == "units row" else [again]
    if change == "other units row":
        extra = [",".join(["s", *["°F"] * 6, "inHg", "°F"])]
    return "\n".join([*lines[:300], *extra, *lines[300:]])


@pytest.mark.parametrize("change", ["unit", "order", "other units row"])
def test_another_head_in_the_middle_is_refused(tmp_path: Path, change: str) -> None:
    path = tmp_path / "log.csv"
    path.write_text(with_head(change), "utf8")
    with pytest.raises(ReadingError, match=r"line 301.*second head"):
        taken(path)


@pytest.mark.parametrize("change", ["same", "units row"])
def test_the_same_head_again_does_no_harm(tmp_path: Path, change: str) -> None:
    path = tmp_path / "log.csv"
    path.write_text(with_head(change), "utf8")
    assert judge(RECIPE, taken(path)).outcome is CONFORMS


def test_a_growing_file_is_not_read_below_another_head(tmp_path: Path) -> None:
    lines, path = with_head("unit").split("\n"), tmp_path / "log.csv"
    path.write_text("\n".join(lines[:300]) + "\n", "utf8")
    made = propose(path)
    growing = GrowingFile(path, made.confirm(made.suggested()))
    growing.poll()
    for more in (lines[300:310], lines[310:320]):
        with path.open("a", encoding="utf8") as out:
            out.write("\n".join(more) + "\n")
        with pytest.raises(ReadingError, match="second head"):
            growing.poll()
    assert len(growing) == 299


# --- a mean beside its thermocouples ------------------------------------------------------------------------


def test_a_mean_that_the_logger_wrote_is_no_lost_thermocouple() -> None:
    made = cure(sensors=4)
    made.temps = np.column_stack([made.temps, np.round(made.temps.mean(axis=1) - 273.15, 1) + 273.15])
    made.names.append("Avg")
    verdict = judge(ALL_WORK, made.log())
    assert verdict.outcome is CONFORMS
    assert c.TWIN.code in {f.code for f in verdict.findings}
    needs_five = dataclasses.replace(RECIPE, sensors=SensorRule(5, "note 4"))
    assert judge(needs_five, made.log()).outcome is DOES_NOT, "nor is it one that works"


# --- long tables --------------------------------------------------------------------------------------------


def long_table(*, units: bool, begins: float = 0.0, odd_unit: bool = False, step: float = 30.0) -> str:
    made = cure(step=step, sensors=3)
    out = ["time,channel,value" + (",unit" if units else "")]
    for k, s in enumerate(made.times):
        clock = f"{datetime(2026, 11, 25, 8) + timedelta(seconds=float(s)):%Y-%m-%d %H:%M:%S}"
        for i, name in enumerate(made.names):
            if i < 2 or s >= begins:
                unit = ("degF" if odd_unit and i == 2 else "degC") if units else ""
                out.append(f"{clock},{name},{made.temps[k, i] - 273.15:.1f}" + (f",{unit}" if units else ""))
        out.append(f"{clock},Bag vacuum,{made.vacuum[k] / INHG:.2f}" + (",inHg" if units else ""))
    return "\n".join(out) + "\n"


def long_log(path: Path) -> CureLog:
    made = propose(path)
    known = {"sense of Bag vacuum": "below ambient", "unit of Bag vacuum": "inHg", "temperature unit": "C"}
    asked = {q.key for q in made.questions}
    how = made.confirm({**made.suggested(), **{k: v for k, v in known.items() if k in asked}})
    assert ReadAs.from_json(how.to_json()) == how
    return read_log(path, how)


def test_a_long_table_with_its_units_beside_the_readings(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    path.write_text(long_table(units=True), "utf8")
    log = long_log(path)
    assert [x.role for x in log.channels] == [ChannelRole.THERMOCOUPLE] * 3 + [ChannelRole.VACUUM]
    path.write_text(long_table(units=False), "utf8")
    for one, other in zip(log.channels, long_log(path).channels, strict=True):
        assert np.array_equal(one.values, other.values)
    path.write_text(long_table(units=True, odd_unit=True), "utf8")
    assert np.isclose(long_log(path).channels[2].values[0], (294 - 273.15 - 32) / 1.8 + 273.15, atol=0.5)


def test_a_channel_that_first_comes_behind_the_head_is_read(tmp_path: Path) -> None:
    """TC3 begins behind the first 2,000 lines, 15 K colder than the others: left out, the cure conformed."""
    path = tmp_path / "long.csv"
    path.write_text(long_table(units=True, begins=22000.0), "utf8")
    assert len(long_log(path).channels) == 3, "it never comes in a log this short"
    text = long_table(units=True, begins=7200.0, step=10.0)
    assert "TC3" not in "\n".join(text.split("\n")[:2000])
    path.write_text(text, "utf8")
    log = long_log(path)
    assert np.isfinite(log.channel("TC3").values).sum() > 50


def test_a_channel_that_nobody_confirmed_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    text = long_table(units=True, begins=7200.0, step=10.0)
    path.write_text(text, "utf8")
    lines = text.splitlines(keepends=True)
    first = next(i for i, x in enumerate(lines) if ",TC3," in x)
    path.write_text("".join(lines[:first]), "utf8")
    made = propose(path)
    how = made.confirm({**made.suggested(), "sense of Bag vacuum": "below ambient"})
    path.write_text(text, "utf8")
    with pytest.raises(ReadingError, match="not there when the reading was confirmed"):
        read_log(path, how)
