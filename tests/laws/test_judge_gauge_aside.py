"""A vacuum gauge that a person gave another role: the rules are applied with it too."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from made_curelog import INHG
from panelmend.app.log_answers import Request, gauges_seen
from panelmend.curelog import propose, read_log
from panelmend.curelog.roles import guess
from panelmend.errors import InputError, MissingError
from panelmend.plan.judge import Channel, ChannelRole, Outcome, Verdict, judge, make_report, rules_gauge
from panelmend.plan.judge.doubt import SeenOfSensor, typed_in
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.recipe import VacuumRule
from panelmend.plan.judge.rule_names import RuleName

LEAST = VacuumRule(limit(22.0 * INHG))
M = made()


def with_gauge(values: FloatArray, role: ChannelRole = ChannelRole.VACUUM) -> Verdict:
    log = M.log()
    gauge = Channel("port B", role, "pressure", values)
    return judge(recipe(vacuum=LEAST), dataclasses.replace(log, set_aside=(gauge,)))


def test_one_that_reads_too_low_cannot_be_judged() -> None:
    assert judge(recipe(vacuum=LEAST), M.log()).outcome is Outcome.CONFORMS
    verdict = with_gauge(M.vacuum * 21.9 / 24.0)
    assert verdict.outcome is Outcome.UNKNOWN
    against = verdict.against()[0]
    assert "port B" in against.words
    assert "least 22.0" in against.words or "22.00" in against.words


def test_one_that_keeps_to_the_limit_is_only_said() -> None:
    verdict = with_gauge(M.vacuum * 22.1 / 24.0)
    assert verdict.outcome is Outcome.CONFORMS
    assert [f.code for f in verdict.findings if f.code == "V534"] == ["V534"]


@pytest.mark.parametrize(("most", "outcome"), [(10.99, Outcome.CONFORMS), (11.01, Outcome.UNKNOWN)])
def test_one_that_never_showed_half_of_the_least_was_on_no_pumped_bag(most: float, outcome: Outcome) -> None:
    verdict = with_gauge(np.where(M.times < 9450, most * INHG, 0.0) + 1e-3 * np.sin(M.times))
    assert verdict.outcome is outcome
    assert "V534" in [f.code for f in verdict.findings]


def test_without_a_limit_of_vacuum_nothing_is_said() -> None:
    gauge = Channel("port B", ChannelRole.VACUUM, "pressure", M.vacuum * 0.8)
    verdict = judge(recipe(), dataclasses.replace(M.log(), set_aside=(gauge,)))
    assert "V534" not in [f.code for f in verdict.findings]


def test_a_gauge_given_another_role_is_kept_as_a_gauge(tmp_path: Path) -> None:
    """In its own unit, and in the sense of the one that was left."""
    path = tmp_path / "log.csv"
    rows = [f"2026-11-25 08:{m:02d}:00,{20 + m:.1f},{20.2 + m:.1f},-24.1,-70.0" for m in range(30)]
    path.write_text("\n".join(["Time,T1 (C),T2 (C),Vacuum (inHg),Port B (kPa)", *rows]) + "\n", "utf8")
    proposal = propose(path)
    given = {**proposal.suggested(), "role of Port B (kPa)": "other"}
    how = proposal.confirm(given)
    assert how.gauges_aside == ("Port B (kPa)",)
    (gauge,) = read_log(path, type(how).from_json(how.to_json())).set_aside
    assert gauge.role is ChannelRole.VACUUM
    assert np.allclose(gauge.values, 70e3)


def test_an_absolute_gauge_given_another_role_keeps_its_own_sense(tmp_path: Path) -> None:
    """800 mbar under 1013 are 213 below ambient; they counted as 800, a vacuum that was not there."""
    path = tmp_path / "log.csv"
    rows = [f"2026-11-25 08:{m:02d}:00,{20 + m:.1f},{20.2 + m:.1f},-24.1,800.0" for m in range(30)]
    head = "Time,T1 (C),T2 (C),Vacuum (inHg),Port B (mbar abs)"
    path.write_text("\n".join([head, *rows]) + "\n", "utf8")
    proposal = propose(path)
    given = {"zone": "local", "role of Port B (mbar abs)": "other"}
    with pytest.raises(InputError, match="ambient"):
        proposal.confirm(given)
    how = proposal.confirm({**given, "ambient": "1013 mbar"})
    log = read_log(path, type(how).from_json(how.to_json()))
    (gauge,) = log.set_aside
    assert np.allclose(gauge.values, 21.3e3)
    assert log.sense_answered == ()
    assert np.allclose(log.channel("Port B (mbar abs)").values, 800.0)


def test_the_sense_of_a_gauge_given_another_role_is_asked_where_nobody_wrote_it(tmp_path: Path) -> None:
    """It borrowed that of the main gauge: 800 mbar absolute counted as 800 below ambient, unasked."""
    path = tmp_path / "log.csv"
    rows = [f"2026-11-25 08:{m:02d}:00,{20 + m:.1f},{20.2 + m:.1f},-24.1,800.0" for m in range(30)]
    path.write_text("\n".join(["Time,T1 (C),T2 (C),Vacuum (inHg),Port B (mbar)", *rows]) + "\n", "utf8")
    proposal = propose(path)
    given = {"zone": "local", "role of Port B (mbar)": "other"}
    with pytest.raises(InputError, match=r"sense of Port B \(mbar\)"):
        proposal.confirm(given)
    for answers, below in (
        ({"sense of Port B (mbar)": "absolute", "ambient": "1013 mbar"}, 21.3e3),
        ({"sense of Port B (mbar)": "below ambient"}, 80e3),
    ):
        how = proposal.confirm({**given, **answers})
        (gauge,) = read_log(path, type(how).from_json(how.to_json())).set_aside
        assert np.allclose(gauge.values, below)


def _log_of(tmp_path: Path, head: str, port: Callable[[float], float]) -> Path:
    """The made cure as a file: four thermocouples, a strong gauge that shows the open bag, and another."""
    noise = np.array([0.0, -0.3, 0.2, 0.3]) + np.random.default_rng(2).normal(0.0, 0.1, M.temps.shape)
    rows = [
        f"{t:.0f},"
        + ",".join(f"{x - 273.15:.2f}" for x in temps)
        + f",{850.0 + 5.0 * np.sin(t / 9.0) if t < 9450 else 1.0:.1f},{port(t):.1f}"
        for t, temps in zip(M.times, M.temps + noise, strict=True)
    ]
    path = tmp_path / "log.csv"
    heads = f"Time [s],T1 (C),T2 (C),T3 (C),T4 (C),Vacuum (mbar gauge),{head}"
    path.write_text("\n".join([heads, *rows]) + "\n", "utf8")
    return path


def _port(of: float) -> Callable[[float], float]:
    return lambda t: of + (t % 70.0) / 70.0


@pytest.mark.parametrize("value", [800.0, 350.0])
@pytest.mark.parametrize("role", ["vacuum", "other"])
@pytest.mark.parametrize(
    ("head", "answers"),
    [
        ("Port B (mbar abs)", {"sense of Port B (mbar abs)": "below ambient"}),
        ("Port B (kPa)", {"unit of Port B (kPa)": "mbar", "sense of Port B (kPa)": "below ambient"}),
    ],
)
def test_one_answer_against_what_the_file_says_of_a_gauge_cannot_be_judged(
    tmp_path: Path, role: str, value: float, head: str, answers: dict[str, str]
) -> None:
    """800 mbar absolute, answered as below ambient, conformed; given another role too."""
    path = _log_of(tmp_path, head, _port(value))
    given = {"zone": "local", f"role of {head}": role, **answers}
    how = propose(path).confirm({k: v for k, v in given.items() if k != "zone"})
    log = read_log(path, type(how).from_json(how.to_json()))
    says = "absolute" if "abs" in head else "kPa"
    assert log.overruled == ((head, says),)
    verdict = judge(recipe(vacuum=LEAST), log)
    assert verdict.outcome is (Outcome.DOES_NOT if (role, value) == ("vacuum", 350.0) else Outcome.UNKNOWN)
    assert "V577" in [f.code for f in verdict.findings]
    words = next(r.words for r in verdict.against() if r.rule == RuleName.GAUGE_COUNTS)
    assert words == f"{head}: the file says {says}, one answer says otherwise"
    stated = judge(recipe(vacuum=LEAST), log, gauge_seen=(dataclasses.replace(CERTIFICATE, channel=head),))
    if value > 700.0:
        assert stated.outcome is Outcome.CONFORMS
        assert f"the file says {says}, one answer says otherwise; L. Okafor" in stated.rests_on()[0]


def test_an_answer_that_says_what_the_file_says_stands_against_nothing(tmp_path: Path) -> None:
    head = "Port B (mbar gauge)"
    path = _log_of(tmp_path, head, _port(800.0))
    for unit in ("mbar", "hPa"):
        how = propose(path).confirm({f"sense of {head}": "below ambient", f"unit of {head}": unit})
        log = read_log(path, how)
        assert log.overruled == ()
        assert judge(recipe(vacuum=LEAST), log).outcome is Outcome.CONFORMS


def test_what_a_name_says_counts_where_another_role_was_guessed(tmp_path: Path) -> None:
    head = "Sample mbar abs"
    path = _log_of(tmp_path, head, _port(800.0))
    answers = {f"role of {head}": "vacuum", f"unit of {head}": "mbar", f"sense of {head}": "below ambient"}
    log = read_log(path, propose(path).confirm(answers))
    assert log.overruled == ((head, "absolute"),)


@pytest.mark.parametrize(
    ("port", "outcome"),
    [
        (lambda t: 550.0 + (t % 70.0) / 70.0, Outcome.UNKNOWN),  # absolute: 463 below 1013
        (lambda t: 1010.0 if t < 100.0 else 600.0 + (t % 70.0) / 70.0, Outcome.UNKNOWN),
        (lambda t: 850.0 + (t % 70.0) / 70.0, Outcome.CONFORMS),  # absolute: on no pumped bag
        (lambda t: 850.0 + (t % 70.0) / 70.0 if t < 9450.0 else 1.0, Outcome.CONFORMS),
        (lambda t: 400.0 if t < 300.0 else 850.0 + (t % 70.0) / 70.0, Outcome.CONFORMS),
    ],
    ids=["weak", "weak_from_the_air", "strong", "strong_let_go", "strong_begun_half_way"],
)
def test_a_gauge_by_its_name_alone_that_nobody_said_how_it_counts_is_weighed_both_ways(
    tmp_path: Path, port: Callable[[float], float], outcome: Outcome
) -> None:
    """It was read as the main gauge is."""
    path = _log_of(tmp_path, "Vac B", port)
    log = read_log(path, propose(path).confirm({"role of Vac B": "other"}))
    assert log.sense_open == ("Vac B",)
    least = VacuumRule(limit(18.0 * INHG))  # 609 mbar
    assert judge(recipe(vacuum=LEAST), log).outcome is outcome
    if outcome is Outcome.CONFORMS:
        assert judge(recipe(vacuum=least), log).outcome is outcome


def test_a_vacuum_a_hair_too_low_is_told_apart_from_its_limit() -> None:
    log = dataclasses.replace(M, vacuum=M.vacuum * 21.97 / 24.0).log()
    words = judge(recipe(vacuum=LEAST), log).against()[0].words
    shown, least = words.split(" below ambient, least ")
    assert shown.removeprefix("vacuum: ") != least.split(",")[0], words


@pytest.mark.parametrize(("ahead", "told"), [(-1.0, True), (1.0, False)])
def test_air_behind_the_thermocouples_is_said_and_air_that_heats_them_is_not(
    ahead: float, told: bool
) -> None:
    heat = np.clip((M.temps[:, 0] - 300.0) / 90.0, 0.0, 1.0)
    air = Channel("oven edge", ChannelRole.AIR, "temperature", M.temps[:, 0] + ahead * heat)
    verdict = judge(recipe(), dataclasses.replace(M.log(), channels=(*M.log().channels, air)))
    assert ("V535" in [f.code for f in verdict.findings]) is told


def test_a_channel_called_a_junction_that_follows_the_heat_is_weighed(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [f"2026-11-25 08:{m:02d}:00,{20 + m:.1f},{20.2 + m:.1f},{20 + m / 2:.1f},24.1" for m in range(30)]
    head = "Time,T1 (C),T2 (C),Reference junction side (C),Vacuum (inHg gauge)"
    path.write_text("\n".join([head, *rows]) + "\n", "utf8")
    proposal = propose(path)
    how = proposal.confirm({**proposal.suggested(), "zone": "local"})
    (junction,) = read_log(path, how).set_aside
    assert junction.name == "Reference junction side (C)"
    assert junction.values[0] == pytest.approx(293.15)


def low_vacuum() -> Channel:
    """A gauge that stays a little below the least."""
    return Channel("Vacuum", ChannelRole.VACUUM, "pressure", 70e3 + 5.0 * np.sin(M.times / 9.0))


CERTIFICATE = SeenOfSensor("Vacuum", "certificate 4711: below ambient", "L. Okafor", "inspector", "A. Reyes")


@pytest.mark.parametrize("seen", [(), (CERTIFICATE,)])
def test_a_sense_nobody_but_one_person_vouches_for_cannot_be_judged(seen: tuple[SeenOfSensor, ...]) -> None:
    """600 torr absolute, answered as below ambient, conformed: the log never shows the open bag."""
    held = dataclasses.replace(M, vacuum=80e3 + 5.0 * np.sin(M.times / 9.0))
    log = dataclasses.replace(held.log(), sense_answered=("Vacuum",))
    verdict = judge(recipe(vacuum=LEAST), log, gauge_seen=seen)
    assert verdict.outcome is (Outcome.CONFORMS if seen else Outcome.UNKNOWN)
    assert ("V560" in [f.code for f in verdict.findings]) is not bool(seen)
    words = next(r.words for r in verdict.reasons if r.rule == RuleName.GAUGE_COUNTS)
    assert ("L. Okafor (inspector) states: certificate 4711" in words) is bool(seen)
    told = [x for x in make_report(recipe(vacuum=LEAST), log, verdict).not_judged if "Vacuum counts" in x]
    assert ("rests on the answer alone" in told[0]) is not bool(seen)
    assert ("the answer and one statement: L. Okafor (inspector) states: certificate" in told[0]) is bool(
        seen
    )
    rests = verdict.rests_on()
    assert len(rests) == len(seen), "said with the outcome itself"
    assert all(x.startswith("L. Okafor's statement of how the vacuum gauge counts (Vacuum): ") for x in rests)
    assert all("typed in the name of L. Okafor by one who is not named, not signed" in x for x in rests)
    low = dataclasses.replace(log, channels=(*log.of_role(ChannelRole.THERMOCOUPLE), low_vacuum()))
    failed = judge(recipe(vacuum=LEAST), low, gauge_seen=seen)
    assert (failed.outcome, failed.rests_on()) == (Outcome.DOES_NOT, ())
    of_file = judge(recipe(vacuum=LEAST), held.log())
    assert of_file.outcome is Outcome.CONFORMS, "its head says how it counts"
    assert judge(recipe(), log).outcome is Outcome.CONFORMS, "no vacuum is asked for"


def test_one_gauge_that_shows_the_open_bag_is_enough() -> None:
    """The least of all counts."""
    log = M.log()
    port = Channel("port B", ChannelRole.VACUUM, "pressure", 80e3 + 5.0 * np.sin(M.times / 9.0))
    two = dataclasses.replace(log, channels=(*log.channels, port), sense_answered=("Vacuum", "port B"))
    assert judge(recipe(vacuum=LEAST), two).outcome is Outcome.CONFORMS
    one = dataclasses.replace(two, channels=(*two.of_role(ChannelRole.THERMOCOUPLE), port))
    assert judge(recipe(vacuum=LEAST), one).outcome is Outcome.UNKNOWN


@pytest.mark.parametrize(
    ("head", "written"),
    [
        ("Vacuum (inHg)", False),
        ("Vacuum gauge (inHg)", False),
        ("Vacuum (inHg gauge)", True),
        ("Bag (psig)", True),
        ("Bag pressure (mbar abs)", True),
        ("Vacuum below ambient (kPa)", True),
        ("Bag (torr)", False),
    ],
)
def test_the_name_of_an_instrument_does_not_say_how_it_counts(head: str, written: bool) -> None:
    assert guess(head, "", np.array([0.1, 20.0, 22.0])).sense_written is written
    assert guess(head, "", np.array([-0.1, -20.0, -22.0])).sense_written


def test_the_second_person_is_not_who_answered(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [f"2026-11-25 08:{m:02d}:00,{20 + m:.1f},{20.2 + m:.1f},24.1" for m in range(30)]
    path.write_text("\n".join(["Time,T1 (C),T2 (C),Vacuum (inHg)", *rows]) + "\n", "utf8")
    proposal = propose(path)
    given = {"sense of Vacuum (inHg)": "below ambient"}
    how = dataclasses.replace(proposal.confirm({**proposal.suggested(), **given}), by="A. Reyes")
    assert read_log(path, how).sense_answered == ("Vacuum (inHg)",)
    typed = "Vacuum (inHg); below ambient; certificate 4711; {}; inspector"
    known = {c.name for c in how.columns}
    asked = Request(ran="M. Brandt", gauge_seen=(typed.format("L. Okafor"),))
    assert gauges_seen(asked, how, "", known)[0].by == "L. Okafor"
    for by in ("A. Reyes", "M. Brandt"):
        with pytest.raises(InputError):
            gauges_seen(dataclasses.replace(asked, gauge_seen=(typed.format(by),)), how, "", known)
    with pytest.raises(MissingError):
        gauges_seen(asked, how, "", {"T1"})
    nobody = dataclasses.replace(how, by="")
    with pytest.raises(InputError, match="--by"):
        gauges_seen(asked, nobody, "", known)
    (said,) = gauges_seen(dataclasses.replace(asked, by="A. Reyes"), nobody, "", known)
    assert typed_in(said).startswith("typed in the name of L. Okafor by A. Reyes, not signed")
    assert typed_in(dataclasses.replace(said, typed="l okafor")) == "typed by l okafor"


@pytest.mark.parametrize(
    ("sense", "stated", "holds"),
    [
        ("below ambient", "below ambient", True),
        ("below ambient, negative", "Below ambient", True),
        ("absolute", "absolute", True),
        ("below ambient", "absolute", False),
        ("absolute", "below ambient", False),
        ("below ambient", "certificate 4711: absolute", False),
    ],
)
def test_a_second_person_who_says_the_other_sense_is_not_taken(
    tmp_path: Path, sense: str, stated: str, holds: bool
) -> None:
    """A certificate that says absolute made a log read as below ambient conform."""
    path = tmp_path / "log.csv"
    rows = [f"2026-11-25 08:{m:02d}:00,{20 + m:.1f},{20.2 + m:.1f},24.1" for m in range(30)]
    path.write_text("\n".join(["Time,T1 (C),T2 (C),Vacuum (inHg)", *rows]) + "\n", "utf8")
    proposal = propose(path)
    made = proposal.confirm({**proposal.suggested(), "sense of Vacuum (inHg)": "below ambient"})
    columns = tuple(dataclasses.replace(c, sense=sense) if c.sense else c for c in made.columns)
    how = dataclasses.replace(made, by="A. Reyes", columns=columns, ambient=101_325.0)
    asked = Request(ran="M. Brandt", gauge_seen=(f"Vacuum (inHg); {stated}; sheet 7; L. Okafor; inspector",))
    known = {c.name for c in how.columns}
    if holds:
        (said,) = gauges_seen(asked, how, "", known)
        assert said.evidence == f"{stated.lower()}, sheet 7"
    else:
        with pytest.raises(InputError):
            gauges_seen(asked, how, "", known)


@pytest.mark.parametrize(("cold", "outcome"), [(4.8, Outcome.CONFORMS), (5.2, Outcome.UNKNOWN)])
def test_a_cold_place_taken_as_air_by_its_name_is_weighed(cold: float, outcome: Outcome) -> None:
    """It conformed and was only told."""
    heat = np.clip((M.temps[:, 0] - 300.0) / 90.0, 0.0, 1.0)
    air = Channel("oven edge", ChannelRole.AIR, "temperature", M.temps[:, 0] - cold * heat)
    verdict = judge(recipe(), dataclasses.replace(M.log(), channels=(*M.log().channels, air)))
    assert "V535" in [f.code for f in verdict.findings]
    assert verdict.outcome is outcome


@pytest.mark.parametrize(
    ("readings", "open_bag"),
    [
        ([80e3, 40e3, 40e3], True),  # two at half of the most
        ([80e3, 40e3, 40.1e3], False),
        ([80e3, 42e3, 42e3], False),
        ([0.5, 0.2, 0.1], True),
        ([0.0, 0.0, 0.0], False),  # never drawn
        ([float("nan")] * 3, False),
    ],
)
def test_two_readings_at_half_of_the_most_show_the_open_bag(readings: list[float], open_bag: bool) -> None:
    gauge = Channel("V", ChannelRole.VACUUM, "pressure", np.array(readings))
    assert rules_gauge.shows_open_bag(gauge) is open_bag


@pytest.mark.parametrize(("answered", "said"), [((), []), (("V1",), []), (("V1", "V2"), ["V1", "V2"])])
def test_a_gauge_that_says_itself_how_it_counts_is_enough(answered: tuple[str, ...], said: list[str]) -> None:
    gauges = [Channel(n, ChannelRole.VACUUM, "pressure", np.full(5, 80e3)) for n in ("V1", "V2")]
    log = SimpleNamespace(
        overruled=(), set_aside=(), of_role=lambda role: gauges, sense_answered=answered, times=np.arange(5.0)
    )
    e: Any = SimpleNamespace(log=log, checked=SimpleNamespace(vacuum_names=("V1", "V2")))
    book: Any = SimpleNamespace(enter=lambda outcome, rule, words, **_: told.append(words[:2]))
    told: list[str] = []
    rules_gauge.judge_sense(e, book, recipe(vacuum=VacuumRule(limit(70e3))), ())
    assert told == said
