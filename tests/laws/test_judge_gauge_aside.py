"""A vacuum gauge that a person gave another role: the rules are applied with it too."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from made_curelog import INHG
from panelmend.curelog import propose, read
from panelmend.plan.judge import Channel, ChannelRole, Outcome, Verdict, judge
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.recipe import VacuumRule

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
    (gauge,) = read(path, type(how).from_json(how.to_json())).set_aside
    assert gauge.role is ChannelRole.VACUUM
    assert np.allclose(gauge.values, 70e3)


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
    (junction,) = read(path, how).set_aside
    assert junction.name == "Reference junction side (C)"
    assert junction.values[0] == pytest.approx(293.15)
