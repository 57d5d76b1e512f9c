"""Pages of the screen, tables of a survey and places in photographs: what a tired developer would turn round,
each by a case worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from examples_here import case
from panelmend.derive.ledger import words_of
from panelmend.job.survey.areas import ground_near
from panelmend.job.survey.coverage import Spots
from panelmend.photo import parse_places
from panelmend.photo.ink import Doubt
from panelmend.photo.joined import FoundSpot, setup_of
from panelmend.photo.table import read_back, spots_as_table
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.records.book import Who
from panelmend.screen.holding import LAPSE, Holding
from panelmend.screen.pages_compare import _other
from panelmend.screen.pages_damages import _row
from panelmend.screen.pages_kit import _stored
from panelmend.screen.pages_log import cure_steps
from panelmend.screen.pages_stores import told_of
from panelmend.survey.table import propose_table
from records_made import JOB, shop, who


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The plan of one example."""
    return make_plan(case("gear_door"))


def test_lots_stand_opened_first_and_then_by_their_last_day() -> None:
    made = shop()
    for lot, expires in (("L1", "2026-12-31"), ("L2", "2026-12-01"), ("L3", "2027-02-01")):
        made.receive(lot, expires=expires)
    made.book.move(who("S1"), "L3", frozen=False, place="bench")
    made.book.open_lot(who("S1"), "L3")
    told: Any = told_of(made.state)["lots"]
    assert [x["number"] for x in told] == ["L3", "L2", "L1"]


@pytest.mark.parametrize(("days", "passed"), [(-1, True), (0, False), (1, False)])
def test_an_instrument_may_be_used_on_its_last_day(days: int, passed: bool) -> None:
    made = shop()
    due = (made.time.at + timedelta(days=days)).date().isoformat()
    made.book.know_instrument(who("S1"), "DMM-1", "meter", "C 1", due)
    told: Any = told_of(made.state)["instruments"]
    assert [x["passed"] for x in told] == [passed]


def test_what_is_kept_of_a_lot_is_the_sum_for_all_jobs() -> None:
    made = shop()
    made.receive("L1")
    made.state.lots["L1"].reserved.update({JOB: Decimal("1.5"), "another": Decimal(2)})
    told: Any = told_of(made.state)["lots"]
    assert [x["kept"] for x in told] == ["3.5 m2"]


@pytest.mark.parametrize(("out", "over"), [(-1.0, False), (0.0, True)])
def test_a_lot_that_was_out_for_the_whole_of_its_life_is_over_it(plan: Plan, out: float, over: bool) -> None:
    lot = plan.case.document.stores.roll[0]
    held = lot.model_copy(update={"out_life": 36000.0, "out_time": 36000.0 + out})
    assert _stored(plan, held)["out_over"] is over


def test_a_damage_is_as_long_and_as_wide_as_it_is(plan: Plan) -> None:
    limits = plan.limits
    assert float(limits.along) != float(limits.across)
    view = plan.case.view
    assert (
        _row(plan, "A", view)["size"] == f"{words_of(limits.along, view)} × {words_of(limits.across, view)}"
    )


@pytest.mark.parametrize(("back", "text"), [(1, "newest"), (2, "middle"), (3, "first")])
def test_so_many_versions_back_is_counted_from_the_newest(back: int, text: str) -> None:
    repair: Any = SimpleNamespace(
        earlier=["first", "middle", "newest"], of_text=lambda x: SimpleNamespace(plan=x)
    )
    assert _other(None, repair, back, "") == text  # type: ignore[arg-type]


def test_a_place_read_dull_once_stays_one_however_often_it_was_read_sound() -> None:
    dull, sound = np.array([1.0, 0.0, 1.0, 2.0]), np.array([2.0, 1.0, 0.0, 1.0])
    spots = Spots(np.zeros((4, 2)), dull, sound)
    assert spots.bad.tolist() == [True, False, True, True]
    assert spots.proved.tolist() == [False, False, False, True]


@pytest.mark.parametrize(
    ("bounded", "gap", "shut"),
    [((True, True), 0.026, True), ((True, True), 0.0261, False), ((True, False), 0.01, False)],
)
def test_ground_is_shut_where_every_dull_reading_has_sound_ones_round_it(
    bounded: tuple[bool, bool], gap: float, shut: bool
) -> None:
    """Readings 10 mm apart: shut up to 2.6 times that."""
    at = np.array([[0.0, 0.0], [0.01, 0.0]])
    ground = SimpleNamespace(nodes=np.array([[0.03, 0.0]]), far=np.array([0.02]), usual=0.01)
    reach = (np.array([0.05, 0.05]), np.array([0.01, gap]), np.array(bounded))
    core: Any = SimpleNamespace(at=at, ground=ground, reach=lambda k: reach)
    spacing, gaps, closed = ground_near(core, at, 1.0, 0.01)
    assert (spacing, closed) == (max(gap, 0.01), shut)
    assert gaps == (() if shut else ((0.03, 0.0),))


@pytest.mark.parametrize(("side", "turned"), [("outside", 1.0), ("inside", -1.0)])
def test_axes_drawn_from_one_side_are_turned_over_on_the_other(side: str, turned: float) -> None:
    """The marks and the direction of the bend alike; it bulges towards who stands outside."""
    places = parse_places(
        f'side = "{side}"\nseen_from = "outside"\nmark_side = "40 mm"\n'
        '[surface]\nradius = "1200 mm"\naxis = "30 deg"\nbulges = "outside"\n'
        '[[mark]]\nnumber = 7\nat = "100 mm, 250 mm"\n'.encode()
    )
    setup = setup_of(places)
    assert setup.placed == {7: pytest.approx((0.1, turned * 0.25))}
    assert setup.face.radius == pytest.approx(1.2)
    assert setup.face.axis == pytest.approx(turned * math.radians(30.0))
    assert setup.face.towards == turned


def test_a_doubt_stays_open_until_somebody_writes_yes_or_no() -> None:
    sure = FoundSpot("dull-1", "dull", (0.1, 0.2), 0.006, 0.001)
    doubtful = replace(sure, id="dull-2", at=(0.2, 0.2), doubt=next(d for d in Doubt if d))
    spots = (sure, doubtful)
    table = spots_as_table(spots)
    rows = read_back(table, "found.csv", spots)
    assert [(r.use, r.settled) for r in rows] == [(True, True), (False, False)]
    for word, use in (("yes", True), ("no", False)):
        (_, row) = read_back(table.replace(";?;", f";{word};"), "found.csv", spots)
        assert (row.use, row.settled) == (use, True)


@pytest.mark.parametrize(
    ("column", "asks"),
    [("dull", True), ("sound", False), ("not dull", None), ("sound? not heard", None), ("heard", None)],
)
def test_a_column_that_asks_with_a_not_is_asked_about(column: str, asks: bool | None) -> None:
    proposal = propose_table(f"x mm;y mm;{column}\n0;0;yes\n10;0;no\n20;0;no\n")
    assert proposal.asks is asks


def test_to_be_looked_at_keeps_nobody_at_a_device() -> None:
    """The page asks who holds it every few seconds: that is no work."""
    now = [0.0]
    holding = Holding(lambda: now[0])
    holding.take("token", Who("T1", "secret"), "R. Osk")
    for _ in range(3):
        now[0] += 0.4 * LAPSE
        shown = holding.person("token")
    assert shown == ("", "")


def test_a_log_is_kept_with_a_step_that_cures_while_the_job_is_open() -> None:
    steps = [SimpleNamespace(number=n, title=f"step {n}", cure=c) for n, c in ((1, ""), (2, "plies"))]
    for closed, told in (("", [(2, "step 2", "plies")]), ("released", [])):
        job: Any = SimpleNamespace(closed=closed, opened=SimpleNamespace(steps=steps))
        assert cure_steps(job) == told
