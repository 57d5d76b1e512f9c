"""The way of the air: proven for every bag, and shut as soon as one thing on it is missing."""

from __future__ import annotations

import pytest

from card_plans import changed
from examples_here import case, names
from panelmend.job.bag.air_path import LEAST_CONTACT, ProofSheet, prove_air_path
from panelmend.job.bag.measures import proof_of
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan, Standing
from panelmend.shapes import Outline, circle, rectangle

BREATHERS = ("breather", "edge breather", "lower breather", "breather collar", "glass cloth")
PATCH = circle((0.0, 0.0), 0.1)
FITTING = (0.0, 0.265)  # on the breather beside the blanket, not on a strip


def box(side: float) -> Outline:
    return rectangle((0.0, 0.0), side, side)


def wet(
    *, film: float = 0.18, bleeder: float = 0.24, strips: bool = True, breather: float = 0.62
) -> list[ProofSheet]:
    """A stack of the trade: blanket 0.5 m over a patch 0.1 m wide."""
    strip = (rectangle((0.2, 0.0), 0.22, 0.05), rectangle((-0.2, 0.0), 0.22, 0.05))
    made = [
        ProofSheet("peel ply", "through and along", (box(0.15),)),
        ProofSheet("perforated film", "through", (box(0.15),)),
        ProofSheet("bleeder", "through and along", (box(0.24),)),
        ProofSheet("film", "none", (box(film),)),
        ProofSheet("blanket", "none", (box(0.5),)),
        ProofSheet("breather", "through and along", (box(breather),)),
    ]
    if strips:
        made.insert(4, ProofSheet("edge breather", "through and along", strip))
    return made


def test_strips_lead_the_air_out_from_under_the_blanket() -> None:
    found = prove_air_path(wet(), PATCH, [FITTING])
    assert found.open
    assert list(dict.fromkeys(name for name, _ in found.way)) == [
        "peel ply",
        "perforated film",
        "bleeder",
        "edge breather",
        "breather",
    ]


@pytest.mark.parametrize("gone", ["peel ply", "perforated film", "bleeder", "edge breather", "breather"])
def test_nothing_on_the_way_can_be_left_out(gone: str) -> None:
    left = [s for s in wet() if s.name != gone]
    if gone in ("peel ply", "perforated film"):  # the bleeder then lies on the plies themselves
        assert prove_air_path(left, PATCH, [FITTING]).open
    else:
        assert not prove_air_path(left, PATCH, [FITTING]).open


def test_the_bags_of_before_have_no_way() -> None:
    """Bleeder inside the blanket, breather only above it: what every bag was."""
    found = prove_air_path(wet(strips=False), PATCH, [FITTING])
    assert not found.open
    assert found.under == "film"
    film = prove_air_path([s for s in wet(strips=False) if s.name != "film"], PATCH, [FITTING])
    assert film.under == "blanket"


@pytest.mark.parametrize(
    ("rim", "open_"),
    [
        (LEAST_CONTACT - 0.001, False),
        (LEAST_CONTACT, True),
        (LEAST_CONTACT + 0.001, True),
    ],
)
def test_a_bare_rim_must_be_an_inch_wide(rim: float, open_: bool) -> None:
    assert prove_air_path(wet(film=0.24 - 2 * rim), PATCH, [FITTING]).open is open_


def test_a_breather_that_ends_at_the_blanket_touches_nothing() -> None:
    assert not prove_air_path(wet(breather=0.5), PATCH, [FITTING]).open
    assert not prove_air_path(wet(breather=0.54), PATCH, [FITTING]).open


def test_a_fitting_beside_the_breather_draws_nothing() -> None:
    assert not prove_air_path(wet(), PATCH, [(0.4, 0.0)]).open
    assert not prove_air_path(wet(), PATCH, []).open


CAUL = 'caul_sheet = { material = "demo-caul-sheet", margin = "25 mm" }\n'


@pytest.fixture(scope="module", params=names())
def plan(request: pytest.FixtureRequest) -> Plan:
    return make_plan(case(request.param))


def test_every_bag_of_the_examples_has_a_way_and_loses_it_with_any_breather(plan: Plan) -> None:
    assert plan.work is not None
    for bag in plan.work.bag.operations:
        assert bag.air is not None
        assert bag.air.open, bag.name
        assert len(bag.fittings) == 2
        # a collar fills the step beside a pad; where layers touch is not a matter of height here
        uses = {x.use for x in bag.layers if x.use in BREATHERS} - {"breather collar"}
        assert "breather" in uses
        for use in uses:
            left = tuple(x for x in bag.layers if x.use != use)
            assert not proof_of(left, bag.patch, bag.fittings).open, f"{bag.name} without {use}"


def test_each_fitting_reaches_by_itself(plan: Plan) -> None:
    assert plan.work is not None
    for bag in plan.work.bag.operations:
        for at in bag.fittings:
            assert proof_of(bag.layers, bag.patch, (at,)).open


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('film_inset = { value = "25 mm"', 'film_inset = { value = "10 mm"'),
        ('bleeder_margin = { value = "60 mm"', 'bleeder_margin = { value = "40 mm"'),
        ('breather_margin = { value = "25 mm"', 'breather_margin = { value = "10 mm"'),
    ],
    ids=["film too large", "bleeder wet to its rim", "breather ends at the blanket"],
)
def test_a_shut_way_stops_the_plan(old: str, new: str) -> None:
    assert not [f for f in changed("gear_door").findings if f.code == "B020"]
    plan = changed("gear_door", (CAUL, ""), (old, new))  # a caul sheet over a shut rim is refused before
    assert [f for f in plan.findings if f.code == "B020"]
    assert plan.standing is Standing.STOP
