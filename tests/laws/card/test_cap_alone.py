"""A cap cured beforehand, bonded by itself on a plug that is in already (common practice, no source)."""

from __future__ import annotations

from functools import cache

import pytest

from card_plans import changed, said, steps
from examples_here import text
from panelmend.job.card.order import Place
from panelmend.plan.plan import Plan

FAIRING = text("root_fairing")
_BOTH = FAIRING[
    FAIRING.index('[[data.cure]]\nname = "Plug and cap"') : FAIRING.index('[[data.cure]]\nname = "Fill')
]
_PAD = next(x for x in _BOTH.splitlines(keepends=True) if x.startswith("pad = "))
_PLUG = _BOTH.replace('["core", "cap"]', '["core"]').replace("Plug and cap", "Plug").replace(_PAD, "")
_CAP = _BOTH.replace('["core", "cap"]', '["cap"]').replace("Plug and cap", "Cap by itself")


@cache
def apart() -> Plan:
    """The root fairing, its cap bonded in an operation of its own after the plug's."""
    return changed("root_fairing", (_BOTH, _PLUG + _CAP))


def test_it_has_a_batch_of_its_own_and_the_plug_s_batch_is_for_the_plug() -> None:
    plan, joint = apart(), changed("root_fairing")
    assert plan.work is not None
    assert joint.work is not None
    mixed = {m.operation: m for m in plan.work.kit.mixes if m.purpose in ("plug adhesive", "cap adhesive")}
    together = next(m for m in joint.work.kit.mixes if m.purpose == "plug adhesive")
    plug, cap = (
        next(float(s.amount) for s in mixed[name].shares if s.code == "spread")
        for name in ("Plug", "Cap by itself")
    )
    whole = next(float(s.amount) for s in together.shares if s.code == "spread")
    assert abs(plug + cap - whole) < 1e-9
    assert cap > 0.0
    core = plan.work.core
    assert core.cap_volume is not None
    assert abs(cap - 900.0 * float(core.cap_volume)) < 1e-9  # 900 kg/m3, the example's paste
    assert not [f for f in plan.findings if f.code == "J485"]


def test_adhesive_is_spread_and_the_cap_set_once_the_plug_is_flush_and_clean() -> None:
    plan, k = apart(), 3
    order = [s.place for s in plan.card.steps]
    trim, tight = order.index(Place("D10")), order.index(Place("O20", k))
    ids = [("O1", 0), ("O2", 0), ("O5", 0), ("O8", 0), ("O10", 0), ("O11", 1), ("O14", 1), ("O17", 1)]
    at = [trim, order.index(Place("O27", 2)), *(order.index(Place(i, k, b)) for i, b in ids), tight]
    assert at == sorted(at)
    (flush,), (spread,), (cap,) = (steps(plan, i, k) for i in ("O1", "O14", "O17"))
    assert "sanded level with it" in said(plan, flush)
    assert plan.work is not None
    (deep,) = (b for b in flush.blanks if b.what == "Plug below the skin by")
    assert deep.aim == plan.work.cutout.skin_depth
    assert "on the whole face of the plug" in said(plan, spread).lower()
    assert "None on its upper face" in said(plan, spread)
    assert [b.unit for b in spread.blanks] == ["g", "h:min"]
    assert "resin" in {c.hazard for c in spread.cautions} & {c.hazard for c in cap.cautions}
    assert cap.hold is not None
    assert "plug" not in cap.hold.accepted.split(":")[0]
    (turned,) = (b for b in cap.blanks if b.unit == "°")
    assert turned.high == plan.work.plies.angle_tolerance
    (survey,) = steps(plan, "D6", k)
    assert "The cap lies dry on the plug" in said(plan, survey)
    (mixed,) = steps(plan, "O11", k)
    assert "exotherm" in {c.hazard for c in mixed.cautions}


def test_its_clock_counts_the_setting_of_the_cap() -> None:
    plan = apart()
    (clock,) = (c for c in plan.card.clocks if c.operation == 3)
    assert clock.needed is not None
    # mix 4, set 5, hold 3, bag 6, leak test 1, hold 3 minutes
    assert abs(float(clock.needed) - 22 * 60) < 1e-6


def test_its_heat_is_not_predicted_and_that_stops_until_a_person_takes_it_on() -> None:
    plan = apart()
    assert plan.work is not None
    cap = plan.work.cure.operations[2]
    assert any("cap bonded by itself" in m.what for m in cap.missing)
    assert [f for f in plan.findings if f.code == "H602" and f.place == "cure.3"]


def test_the_next_operation_takes_its_peel_ply_off() -> None:
    (first,) = steps(apart(), "O1", 4)
    assert first.blanks[0].what == "Peel plies off"


def test_turned_as_trimmed_when_it_goes_in_with_the_plug_too() -> None:
    plan = changed("root_fairing")
    (trim,), (both,) = steps(plan, "D10"), steps(plan, "O17", 2)
    assert any("0° marked" in b.what for b in trim.blanks)
    assert any(b.what.startswith("Cap's 0°") and b.high is not None for b in both.blanks)


@pytest.mark.parametrize(
    ("has", "counted", "up", "bare"),
    [
        ("both faces", "2, one on each face", True, False),
        ("upper face", "1, on its upper face", True, True),
        ("bond face", "1, on its bond face", False, False),
        ("none", "0: cured without one", False, True),
    ],
)
@pytest.mark.parametrize("by_itself", [True, False])
def test_a_bond_face_without_a_peel_ply_is_abraded_and_wiped(
    has: str, counted: str, up: bool, bare: bool, by_itself: bool
) -> None:
    """It lay on release film: bonded as it comes off the plate it holds nothing."""
    typed = ('peel_plies = "both faces"', f'peel_plies = "{has}"')
    plan = changed("root_fairing", typed, *([(_BOTH, _PLUG + _CAP)] if by_itself else []))
    k = 3 if by_itself else 2
    (trim,), (opened,) = steps(plan, "D10"), steps(plan, "O25", 1)
    assert [b.said for b in trim.blanks if b.what == "Peel plies on the cap"] == [counted]
    assert ("upper peel ply" in said(plan, trim)) is up
    if has == "bond face":
        assert "stays the peel ply of its bond face" in said(plan, opened)
    for ident in ("O2", "O5"):
        (done,) = steps(plan, ident, k)
        assert ("cap's bond face" in said(plan, done)) is bare
        assert any("bond face" in b.what for b in done.blanks) is bare
        (before,) = steps(plan, ident, k + 1)
        assert "bond face" not in said(plan, before)
    (set_in,) = steps(plan, "O17", k)
    assert ("pper peel ply up" in said(plan, set_in)) is up


def test_a_hold_on_a_plug_alone_says_nothing_of_a_cap() -> None:
    (alone,), (both,) = steps(apart(), "O17", 2), steps(changed("root_fairing"), "O17", 2)
    assert alone.hold is not None
    assert both.hold is not None
    assert ["cap" in h.accepted for h in (alone.hold, both.hold)] == [False, True]
