"""Logs that conformed although they are no evidence: stays in sparse logs, channels that are reckoned, holes
that a flag closed, logs used again after a touch; and a stop that cried at every overshoot."""

from __future__ import annotations

import dataclasses
import shutil
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from made_curelog import INHG, made_cure
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.log_once import SAME_LOG, readings_sketch, sketches_share
from panelmend.errors import InputError, Severity
from panelmend.plan.judge import CureLog, Outcome, find_faults, judge, look
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.doubt import SeenOfSensor
from panelmend.plan.judge.log import Channel, ChannelRole
from panelmend.plan.judge.report import not_judged
from recipe_curelog import RECIPE
from second_cases import CASES
from second_rates import results

# written out: a number taken from the code would move with it
SURE = 180.0


DEMO = Path(__file__).parents[2] / "examples" / "gear_door"
LEAK = "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25"
CONFORMS = Outcome.CONFORMS


# --- stays --------------------------------------------------------------------------------------------------


def test_a_stay_in_a_sparse_log_of_the_second_family_is_named(tmp_path: Path) -> None:
    """One sample in 30 s: seven others that are hot and steady are enough, ten were asked."""
    cases = [x for x in CASES if x.name in ("everything stands still", "a fall hidden by a stay")]
    found = results([6002, 6005], tmp_path, cases)
    assert len(found) == 4
    assert [r for r in found if r.outcome == "conforms" or not r.named] == []


def _only_hot_span(minutes: float, digit: float = 1e-6) -> CureLog:
    """Up and down by a little over 3 K/min, and between them one stay: no other hot and steady sample."""
    times = np.arange(0.0, 6000.0, 30.0)
    knots = [0.0, 600.0, 2400.0, 2400.0 + 60 * minutes, 4200.0 + 60 * minutes]
    course = np.interp(times, knots, [294.0, 294.0, 387.37, 387.37, 294.0])
    names = ("TC1", "TC2", "TC3")
    channels = tuple(
        Channel(n, ChannelRole.THERMOCOUPLE, "temperature", np.round((course + 0.3 * i) / digit) * digit)
        for i, n in enumerate(names)
    )
    return CureLog(times, channels)


def test_a_stay_that_nothing_can_be_held_against_is_no_evidence() -> None:
    """Ten minutes and more without any other steady hot sample."""
    found = [x.finding.words for x in find_faults(_only_hot_span(10.0)) if x.finding.code == c.FROZEN.code]
    assert len(found) == 1
    assert "too few to show that this is usual" in found[0]
    assert c.FROZEN.code not in {x.finding.code for x in find_faults(_only_hot_span(9.5))}


@pytest.mark.parametrize(
    ("digit", "held"), [(0.1, True), (0.25, True), (0.5, False), (5 / 9, False), (1.0, False)]
)
def test_a_coarse_last_digit_may_stand_as_long_under_a_good_controller(digit: float, held: bool) -> None:
    """Half a kelvin covers what a controller leaves: nothing says that such readings must move."""
    found = {x.finding.code for x in find_faults(_only_hot_span(15.0, digit))}
    assert (c.FROZEN.code in found) is held
    if not held:
        assert judge(RECIPE, _only_hot_span(15.0, digit)).stood >= 900.0


@pytest.mark.parametrize(("minutes", "held"), [(0, False), (10, False), (20, True)])
def test_a_part_that_stands_in_whole_degrees_is_no_hole_while_the_gauge_moves(
    minutes: int, held: bool
) -> None:
    """On its slow way in and out most rows change, which is not as steady; a gauge that stops too is told."""
    t = np.arange(0.0, 14400.0, 60.0)
    rise = np.interp(t, [0.0, 600.0, 2400.0, 3600.0, 11000.0, 12800.0], [0.0, 0.0, 60.0, 79.1, 79.1, 30.0])
    gauge = np.round(24.6 + np.random.default_rng(3).normal(0.0, 0.06, t.size), 1) * INHG
    gauge[100 : 101 + minutes] = gauge[100]
    channels = [
        Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", np.round(rise + 0.1 * i) + 273.15)
        for i in range(3)
    ]
    log = CureLog(t, (*channels, Channel("Vac", ChannelRole.VACUUM, "pressure", gauge)))
    found = [x.finding.words for x in find_faults(log) if x.finding.code == c.FROZEN.code]
    assert bool(found) is held
    assert "nothing that is measured" in "".join(found) or not held


def test_what_a_coarse_log_cannot_tell_is_said() -> None:
    made = made_cure(1, noise=0.02)
    made.temps = np.round(made.temps / 2.0) * 2.0
    verdict = judge(RECIPE, made.log())
    assert verdict.outcome is not CONFORMS or verdict.stood > 180.0
    if verdict.stood > 180.0:
        assert any(
            "a logger that stops for" in x and "stood as long" in x for x in not_judged(RECIPE, verdict)
        )
    plain = judge(RECIPE, made_cure(1).log())
    assert any("a logger that stops for 3 min or less" in x for x in not_judged(RECIPE, plain))


# --- channels without a sensor ------------------------------------------------------------------------------


@pytest.mark.parametrize("way", ["mean", "highest", "lowest"])
@pytest.mark.parametrize("digits", [1, 2])
def test_a_channel_reckoned_from_the_others_counts_as_none(way: str, digits: int) -> None:
    made = made_cure(1, sensors=3)
    real = np.round(made.temps[:, :2], digits)
    made.temps[:, :2] = real
    made.temps[:, 2] = np.round(
        {"mean": np.mean, "highest": np.max, "lowest": np.min}[way](real, axis=1), digits
    )
    found = [x for x in find_faults(made.log()) if x.finding.code == c.TWIN.code]
    assert [x.channel for x in found] == ["TC3"], found
    assert judge(RECIPE, made.log()).outcome is not CONFORMS


@pytest.mark.parametrize("digits", [0, 1, 2])
def test_real_thermocouples_are_not_taken_for_reckoned_ones(digits: int) -> None:
    for seed in range(4):
        made = made_cure(seed, sensors=3 + seed, noise=(0.02, 0.15)[seed % 2])
        made.temps = np.round(made.temps, digits)
        assert not [x for x in find_faults(made.log()) if x.finding.code == c.TWIN.code]


# --- the command line ---------------------------------------------------------------------------------------


@pytest.fixture
def here(tmp_path: Path) -> Path:
    for name in ("repair.toml", "cure-repair-plies.csv"):
        shutil.copy(DEMO / name, tmp_path / name)
    return tmp_path


def told(here: Path, *more: str, log: str = "cure-repair-plies.csv") -> tuple[int, str]:
    words = [
        "judge",
        str(here / "repair.toml"),
        str(here / log),
        "--operation",
        "Repair plies",
        "--leak",
        LEAK,
    ]
    times = ["--vacuum-on", "2026-11-25 08:10", "--bag-opened", "2026-11-25 14:30", "--by", "A. Reyes"]
    done = CliRunner().invoke(main, [*words, *times, "--confirm", *more])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


def test_a_flag_never_closes_a_hole_and_the_approved_data_may(here: Path) -> None:
    log = here / "cure-repair-plies.csv"
    lines = log.read_text("utf8").splitlines(keepends=True)
    log.write_text("".join([*lines[:100], *lines[103:]]), "utf8")
    assert told(here)[0] == Exit.CANNOT_BE_JUDGED
    code, words = told(here, "--longest-gap", "2 h")
    assert code == Exit.REFUSED
    assert "only where the approved data says so" in words
    document = here / "repair.toml"
    text = document.read_text("utf8")
    lays = 'lays = ["plies"]'
    assert text.count(lays) == 1
    document.write_text(text.replace(lays, lays + '\nlongest_gap = "4 min"'), "utf8")
    assert told(here)[0] == Exit.CONFORMS
    document.write_text(text.replace(lays, lays + '\nlongest_gap = "3 min"'), "utf8")
    assert told(here)[0] == Exit.CANNOT_BE_JUDGED
    assert told(here, "--longest-gap", "4 min")[0] == Exit.REFUSED


def test_a_log_that_was_touched_serves_no_second_time(here: Path) -> None:
    lines = (here / "cure-repair-plies.csv").read_text("utf8").splitlines(keepends=True)
    assert told(here)[0] == Exit.CONFORMS
    assert told(here)[0] == Exit.CONFORMS, "the same file for the same operation"
    cells = lines[50].split(",")
    cells[1] = f"{float(cells[1]) + 0.1:.1f}"
    for name, rows in (
        ("touched.csv", [*lines[:50], ",".join(cells), *lines[51:]]),
        ("cut.csv", lines[:-1]),
    ):
        (here / name).write_text("".join(rows), "utf8")
        code, words = told(here, log=name)
        assert code == Exit.CANNOT_BE_JUDGED
        assert "has served 'Repair plies'" in words


def test_a_log_serves_no_repair_of_another_folder(here: Path, tmp_path: Path) -> None:
    """The record lies beside the log as well, and a copy of the document under another number finds it."""
    assert told(here)[0] == Exit.CONFORMS
    other = tmp_path / "next job"
    other.mkdir()
    text = (here / "repair.toml").read_text("utf8")
    number = next(x for x in text.splitlines() if x.startswith("number"))
    (other / "repair.toml").write_text(text.replace(number, 'number = "R-OTHER"'), "utf8")
    code, words = told(other, log="../cure-repair-plies.csv")
    assert code == Exit.CANNOT_BE_JUDGED
    assert "has served 'Repair plies'" in words
    assert told(here)[0] == Exit.CONFORMS, "its own repair is told the same again"


def test_other_cures_are_not_taken_for_the_same_log() -> None:
    def sketch(seed: int, digits: int) -> list[str]:
        made = made_cure(seed, step=30.0)
        made.temps = np.round(made.temps, digits)
        return readings_sketch(made.log())

    assert sketches_share(sketch(1, 1), sketch(1, 1)) == 1.0
    for digits in (0, 1):
        assert sketches_share(sketch(1, digits), sketch(2, digits)) < 0.2 < SAME_LOG


def test_a_usual_value_can_be_confirmed_in_the_document(here: Path) -> None:
    assert 'to be confirmed as "cure_log.may_fail"' in told(here)[1]
    document = here / "repair.toml"
    row = '\n[[confirm]]\nfigure = "cure_log.may_fail"\nby = "D. Aune"\non = 2026-11-24\n'
    document.write_text(document.read_text("utf8") + row, "utf8")
    words = told(here)[1]
    assert "V227" not in words
    assert "V229" in words
    assert "confirmed by D. Aune on 2026-11-24" in words


def test_who_ran_the_cure_states_nothing_of_its_thermocouples(here: Path) -> None:
    with pytest.raises(InputError, match="who ran the cure"):
        SeenOfSensor("T1", "lead cut", "A. Reyes", "inspector", ran="a reyes")
    seen = ("--seen", "T3 (°C); lead cut; B. Ito; inspector")
    assert told(here, *seen, "--ran", "B.Ito")[0] == Exit.REFUSED
    code, words = told(here, *seen, "--ran", "A. Reyes")
    assert code == Exit.CANNOT_BE_JUDGED
    assert "cure run by A. Reyes" in words


# --- two levels of the alarm for heat -----------------------------------------------------------------------


def _seen(log: CureLog, every: float = 30.0) -> list[tuple[float, str, float, Severity]]:
    out = []
    for t in np.arange(600.0, float(log.times[-1]), every):
        n = int(np.searchsorted(log.times, t, side="right"))
        channels = tuple(dataclasses.replace(x, values=x.values[:n].copy()) for x in log.channels)
        part = dataclasses.replace(
            log, times=log.times[:n].copy(), lines=log.lines[:n].copy(), channels=channels
        )
        out += [
            (float(t), a.finding.code, a.within, a.finding.severity)
            for a in look(RECIPE, part).alarms
            if a.finding.code in (c.TOP_SOON.code, c.TOP_NEARS.code)
        ]
    return out


def test_heat_that_runs_away_is_a_warning_first_and_then_a_stop() -> None:
    made = made_cure(2, noise=0.05)
    made.temps += (np.clip((made.times - 4500) / 1800, 0, 1) * 20)[:, None]
    seen = _seen(made.log())
    warned = [x for x in seen if x[1] == c.TOP_NEARS.code]
    stopped = [x for x in seen if x[1] == c.TOP_SOON.code]
    assert warned
    assert stopped
    assert warned[0][0] < stopped[0][0]
    assert all(x[2] > SURE and x[3] is Severity.CAUTION for x in warned)
    assert all(x[2] <= SURE and x[3] is Severity.STOP for x in stopped)
