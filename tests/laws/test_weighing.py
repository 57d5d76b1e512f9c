"""No mix is printed that a balance cannot weigh; resin follows the way the cloth is wetted out."""

from __future__ import annotations

import itertools

import pytest

from examples_here import case_from, edited, sound, text
from panelmend.derive import Ledger
from panelmend.derive.figure import Origin
from panelmend.derive.ledger import words_of
from panelmend.job.basis import Basis
from panelmend.job.kit import weighing
from panelmend.job.kit.mixing import _balance
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

DOOR = text("gear_door")
STEP = 'calibrated_until = 2027-01-15, step = "0.01 g" }'


def planned(document: str, *pairs: tuple[str, str]) -> Plan:
    document = edited(document, *pairs)
    return make_plan(case_from(document))


@pytest.mark.parametrize(
    ("hardener", "step", "tolerance", "grams"),
    [
        (40, 0.1, 0.02, 50.8),
        (20, 0.1, 0.02, 81.0),
        (40, 0.01, 0.02, 5.1),
        (40, 0.1, 0.005, 203.0),
        (100, 0.1, 0.02, 35.0),
    ],
)
def test_least_batch_of_a_ratio(hardener: float, step: float, tolerance: float, grams: float) -> None:
    """Figures worked by hand: (a+b)/b (u (1 + b/a) + 3 d/2) / t with u = d."""
    made = weighing.least_batch(
        resin_parts=100.0,
        hardener_parts=hardener,
        tolerance=tolerance,
        step=1e-3 * step,
        uncertainty=1e-3 * step,
        readings=3,
    )
    assert 1e3 * float(made) == pytest.approx(grams, rel=0.005)


@pytest.mark.parametrize(
    ("hardener", "step", "tolerance"), [(40, 1, 0.02), (20, 1, 0.03), (100, 1, 0.02), (30, 1, 0.039)]
)
def test_the_least_batch_holds_three_readings_that_are_surely_right(
    hardener: int, step: int, tolerance: float
) -> None:
    """A search over all readings of resin, in steps of the balance: never above the formula."""
    given = {"resin_parts": 100.0, "hardener_parts": float(hardener), "tolerance": tolerance}
    least = float(weighing.least_batch(**given, step=step, uncertainty=step, readings=3))
    for resin in itertools.count(round(least * 100 / (100 + hardener)) + 1):
        low = weighing.least_hardener(resin=resin, **given, step=step, uncertainty=step)
        high = weighing.most_hardener(resin=resin, **given, step=step, uncertainty=step)
        assert (high - low) / step + 1 >= 3 - 1e-9
        for b in (low, high):
            for da, db in itertools.product((-step, step), repeat=2):
                ratio = (b + db) / (resin + da) / (hardener / 100)
                assert 1 - tolerance - 1e-9 <= ratio <= 1 + tolerance + 1e-9
        if resin > least + 20:
            break


@pytest.mark.parametrize("more", [1.0, 1.01, 1.2, 1.9])
@pytest.mark.parametrize("hardener", [3.0, 22.0, 40.0, 100.0])
def test_limits_multiplied_for_more_resin_in_the_cup_still_hold_whatever_the_balance_is_off_by(
    hardener: float, more: float
) -> None:
    """As the step that mixes says it; for less resin they would not, so that resin is added there."""
    given = {"resin_parts": 100.0, "hardener_parts": hardener, "tolerance": 0.03}
    off = 0.02
    low = more * float(weighing.least_hardener(resin=60.0, **given, step=0.01, uncertainty=off))
    high = more * float(weighing.most_hardener(resin=60.0, **given, step=0.01, uncertainty=off))
    for reading in (low, high):
        for a, b in itertools.product((-off, off), repeat=2):
            ratio = (reading + b) / (more * 60.0 + a) / (hardener / 100.0)
            assert 0.97 - 1e-9 <= ratio <= 1.03 + 1e-9
    less = 0.5 * float(weighing.least_hardener(resin=60.0, **given, step=1e-6, uncertainty=off)) - off
    assert less / (30.0 + off) / (hardener / 100.0) < 0.97


def test_the_step_that_mixes_says_what_holds_for_another_weight_of_resin() -> None:
    words = repr([s.words for s in planned(text("gear_door")).card.steps if "weigh and mix" in s.title])
    assert (
        words.count("If there is less in the cup, add resin first. If there is more, multiply both limits")
        == 3
    )


def test_a_batch_of_the_examples_is_never_below_what_can_be_weighed() -> None:
    for document in (text("gear_door"), text("cowling"), text("root_fairing")):
        plan = planned(document)
        assert plan.work is not None
        for mix in plan.work.kit.mixes:
            each = float(mix.total) / len(mix.pots)
            assert each >= float(mix.least) - 1e-9
            assert float(mix.total) >= float(mix.need) - 1e-9
            assert float(mix.surplus) == pytest.approx(float(mix.total) - float(mix.need))
            assert float(mix.hardener_low) < float(mix.hardener_high)
            assert mix.weighable


@pytest.mark.parametrize(
    ("due", "finest", "grams"),
    [("2026-11-24", "BAL-1", 0.01), ("2026-11-25", "BAL-2", 0.001), ("2026-11-26", "BAL-2", 0.001)],
)
def test_the_finest_balance_counts_only_while_it_is_in_calibration(
    due: str, finest: str, grams: float
) -> None:
    """The work is of 25 November 2026; a balance may be used on the whole of its last day."""
    other = f'{{ id = "BAL-2", kind = "balance", calibrated_until = {due}, step = "0.001 g" }},'
    row = '  { id = "BAL-1", kind = "balance",'
    assert row in DOOR
    basis = Basis(case_from(DOOR.replace(row, f"  {other}\n{row}")), Ledger())
    step, error, name = _balance(basis)
    assert name == finest
    assert 1e3 * float(step) == pytest.approx(grams)
    assert 1e3 * float(error) == pytest.approx(grams)


def test_of_no_balance_in_calibration_a_usual_step_is_taken_and_none_is_named() -> None:
    late = DOOR.replace("calibrated_until = 2027-01-15", "calibrated_until = 2026-11-24")
    step, _, name = _balance(Basis(case_from(late), Ledger()))
    assert name == ""
    assert step.origin is Origin.DEFAULT


def test_a_coarse_balance_makes_a_larger_batch_and_then_a_stop() -> None:
    fine = planned(sound(), (STEP, STEP))
    coarse = planned(sound(), (STEP, STEP.replace("0.01 g", "0.1 g")))
    scales = planned(sound(), (STEP, STEP.replace("0.01 g", "5 g")))
    assert fine.work is not None
    assert coarse.work is not None
    small = [float(p.work.kit.mixes[0].total) for p in (fine, coarse) if p.work is not None]
    assert small[1] > small[0]
    assert not [x for x in (*fine.findings, *coarse.findings) if x.code == "Q005"]
    assert [x for x in scales.findings if x.code == "Q005"]


def test_weighing_to_hundredths_is_printed_to_hundredths() -> None:
    plan = planned(sound())
    assert plan.work is not None
    assert {m.hardener_low.kind for m in plan.work.kit.mixes} == {"fine mass"}
    assert {m.hardener_low.limit for m in plan.work.kit.mixes} == {"least"}
    assert {m.hardener_high.limit for m in plan.work.kit.mixes} == {"most"}


def test_resin_is_for_the_sheet_or_for_the_pieces_as_the_data_says() -> None:
    whole = planned(sound())
    pieces = planned(sound(), ('value = "wet then cut"', 'value = "cut then wet"'))
    assert whole.work is not None
    assert pieces.work is not None
    assert (whole.work.kit.wet_out, pieces.work.kit.wet_out) == ("wet then cut", "cut then wet")
    cut = {p.id: p for p in (*pieces.work.plies.plies, *pieces.work.core.cap)}
    for sheet in pieces.work.kit.sheets:
        nest = next(
            n
            for c in pieces.work.nest.cloths
            for n in c.nest.layouts
            if (c.problem.cloth, c.problem.operation, n.strip.id)
            == (sheet.cloth, sheet.operation, sheet.strip)
        )
        mass = pieces.case.catalogue.cloth(sheet.cloth).areal_mass.value
        area = sum(float(cut[p.piece].area) for p in nest.placements)
        assert float(sheet.mixed) == pytest.approx(area * mass * 1.1)
        assert float(sheet.length) == pytest.approx(nest.used_length)
    by = [sum(float(s.resin) for s in p.work.kit.sheets) for p in (whole, pieces) if p.work is not None]
    assert by[1] < by[0]
    lengths = {
        (line.material, line.purpose): float(line.amount)
        for line in pieces.work.kit.lines
        if line.group == "cloth" and line.amount is not None
    }
    for (cloth, purpose), length in lengths.items():
        mine = [
            float(s.length)
            for s in pieces.work.kit.sheets
            if (s.cloth, f"plies, {s.operation}") == (cloth, purpose)
        ]
        assert length == pytest.approx(sum(mine))


@pytest.mark.parametrize("name", ["gear_door", "root_fairing"])
def test_a_sheet_of_three_per_cent_lets_no_hardener_past_three_per_cent_of_its_parts(name: str) -> None:
    """It was read as three per cent of the whole mix: 23.39 g passed where 3 % of 24.32 g ends at 23.59 g."""
    plan = planned(text(name))
    assert plan.work is not None
    assert plan.work.kit.mixes
    for mix in plan.work.kit.mixes:
        resin, hardener, _ = mix.pots[0]
        parts = {"demo-laminating-resin": 0.30, "demo-paste": 0.40}[mix.material]
        assert float(hardener) == pytest.approx(parts * float(resin), rel=1e-6)
        assert float(mix.hardener_low) >= 0.97 * parts * float(resin)
        assert float(mix.hardener_high) <= 1.03 * parts * float(resin)


def test_the_hardener_s_window_is_that_of_the_resin_that_is_printed() -> None:
    """2.46 g of resin was printed for 2.464 g, 0.98 to 1.00 g of hardener beside it: 0.97 to 0.99 g by hand.

    0.4 x 0.97 x 2.47 + 0.01 = 0.968, up to 0.97; 0.4 x 1.03 x 2.45 - 0.01 = 0.999, down to 0.99.
    """
    plan = planned(text("cowling"))
    assert plan.work is not None
    (paste,) = (m for m in plan.work.kit.mixes if m.operation == "Core and cap" and m.filler is not None)
    assert [words_of(x) for x in (paste.pots[0][0], paste.hardener_low, paste.hardener_high)] == [
        "2.46 g", "0.97 g", "0.99 g",
    ]  # fmt: skip
