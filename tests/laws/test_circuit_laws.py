"""Laws of blankets on circuits: none carries more than it may, the right one is taken, findings say why."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from examples_here import case, case_from, edited, names, sound
from panelmend.derive import Ledger
from panelmend.errors import Finding, InputError
from panelmend.job import blanket_supply
from panelmend.job.basis import Basis
from panelmend.job.cure.circuit import assign_circuits
from panelmend.job.cure.circuit_checks import check_circuits
from panelmend.job.cure.part import Circuited
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

REPEATABLE = settings(derandomize=True, database=None, deadline=None, max_examples=150)
AMPERES = st.floats(0.5, 40.0)
SOCKET = '{ id = "socket 4", rating = "16 A", continuous = "80 %" }'
HB20 = (
    '{ id = "HB-20", length = "508 mm", width = "508 mm", power_density = "7750 W/m2", voltage = "230 V" },'
)


def _plan(*changes: tuple[str, str]) -> Plan:
    made = edited(sound(), *changes)
    return make_plan(case_from(made))


def _made(plan: Plan, *ids: str) -> tuple[tuple[Circuited, ...], list[Finding], Ledger]:
    """The blankets (or the plan's own) of the second cure on circuits, findings and the ledger."""
    assert plan.work is not None
    bag, ledger = plan.work.bag.operations[1], Ledger()
    made = assign_circuits(Basis(plan.case, ledger), "cure.2", ids or (bag.blanket,))
    assert ledger.replay() == []
    return made, check_circuits(plan.case, bag, made), ledger


@given(st.lists(AMPERES, min_size=1, max_size=3), st.lists(AMPERES, max_size=4))
@REPEATABLE
def test_no_circuit_carries_more_than_it_may(currents: list[float], carried: list[float]) -> None:
    found = blanket_supply.assign(currents, carried)
    assert len(found) == len(currents)
    for c, limit in enumerate(carried):
        assert sum(i for i, at in zip(currents, found, strict=True) if at == c) <= limit * (1 + 1e-9)
    for current, at in zip(currents, found, strict=True):
        if at is None:  # no circuit has room left for it
            for c, limit in enumerate(carried):
                used = sum(i for i, f in zip(currents, found, strict=True) if f == c)
                assert used + current > limit


def test_two_blankets_take_a_circuit_each_and_the_smallest_that_will_do() -> None:
    assert blanket_supply.assign([6.0, 8.0], [20.0, 12.8, 6.4]) == (2, 1)
    assert blanket_supply.assign([6.0, 6.0], [12.8]) == (0, 0), "one circuit may carry both within its share"
    assert blanket_supply.assign([6.0, 7.0], [12.8]) == (0, None), "the first comes first"
    assert blanket_supply.assign([14.0, 7.0], [12.8]) == (None, 0)
    assert blanket_supply.assign([6.0], []) == (None,)


@pytest.mark.parametrize("name", names())
def test_blankets_of_the_examples_hold_on_their_circuit(name: str) -> None:
    plan = make_plan(case(name))
    assert plan.work is not None
    ledger = Ledger()
    for bag in plan.work.bag.operations:
        made = assign_circuits(Basis(plan.case, ledger), f"cure.{bag.number}", (bag.blanket,))
        assert made == plan.work.cure.operations[bag.number - 1].blankets[:1]
        assert check_circuits(plan.case, bag, made) == []
        assert made[0].holds
        assert made[0].power is not None
        assert made[0].current is not None
        bay = plan.case.document.bay
        assert bay.supply is not None
        assert float(made[0].power) == pytest.approx(float(made[0].current) * bay.supply)
        assert made[0].circuit == bay.circuit[0].id
    assert ledger.defaults() == (), "their share for hours is typed"
    assert ledger.replay() == []


def test_the_share_for_hours_is_a_default_to_be_confirmed() -> None:
    made, _, ledger = _made(_plan((', continuous = "80 %"', "")))
    default = ledger["circuit.socket 4.continuous"]
    assert default.is_default
    assert "210.20(A)" in str(default.source)
    assert made[0].allowed is not None
    assert float(made[0].allowed) == pytest.approx(12.8)
    assert made[0].allowed.kind == "current"


def test_power_typed_or_from_its_density_is_the_same() -> None:
    one, _, _ = _made(_plan())
    watts = 7750 * 0.508**2
    other, _, _ = _made(_plan((HB20, HB20.replace('power_density = "7750 W/m2"', f'power = "{watts} W"'))))
    for a, b in zip(one, other, strict=True):
        assert float(a.rated) == pytest.approx(float(b.rated))
        assert float(a.density) == pytest.approx(float(b.density)) == pytest.approx(7750.0)


def test_a_border_gives_no_heat() -> None:
    plan = _plan((HB20, HB20.replace("voltage", 'border = "20 mm", voltage')))
    made, _, _ = _made(plan, "HB-20")
    assert float(made[0].rated) == pytest.approx(7750 * 0.468**2)


@pytest.mark.parametrize(
    ("volts", "code", "words"),
    [
        ("230 V", "", ""),
        ("210 V", "", ""),
        ("250 V", "", ""),
        ("200 V", "H001", "is made for 230 V, here are 200 V: 1512 W instead of 2000 W, 76 % of it"),
        ("115 V", "H001", "500 W instead of 2000 W, 25 % of it"),
        ("260 V", "H002", "2556 W instead of 2000 W, 128 % of it"),
    ],
)
def test_supply_against_rated_voltage(volts: str, code: str, words: str) -> None:
    plan = _plan(('supply = "230 V"', f'supply = "{volts}"'))
    made, found, _ = _made(plan, "HB-20")
    assert [f.code for f in found] == ([code] if code else [])
    assert not code or words in found[0].words
    assert found == [] or found[0].place == "cure.2"
    assert made[0].share is not None
    assert float(made[0].density) == pytest.approx(7750.0 * float(made[0].share))


def test_an_overheated_blanket_stops_and_a_weak_one_warns() -> None:
    _, weak, _ = _made(_plan(('supply = "230 V"', 'supply = "200 V"')), "HB-20")
    _, burnt, _ = _made(_plan(('supply = "230 V"', 'supply = "260 V"')), "HB-20")
    assert (weak[0].severity, burnt[0].severity) == ("caution", "stop")
    assert "never connect" in burnt[0].todo


def test_no_circuit_carries_it() -> None:
    made, found, _ = _made(_plan((SOCKET, '{ id = "light", rating = "6 A", continuous = "80 %" }')), "HB-20")
    assert [f.code for f in found] == ["H003"]
    assert "HB-20 draws 8.7 A, the strongest circuit carries 4.8 A for hours" in found[0].words
    assert found[0].severity == "stop"
    assert (made[0].circuit, made[0].holds, made[0].checked) == ("", False, True)


@pytest.mark.parametrize(
    ("old", "new", "words", "drawn"),
    [
        ('supply = "230 V"\n', "", "bay.supply missing", False),
        (f"circuit = [ {SOCKET} ]\n", "", "bay.circuit missing", True),
        (
            f'supply = "230 V"\npump = "bay pump 1"\ncircuit = [ {SOCKET} ]\n',
            "",
            "bay.supply and bay.",
            False,
        ),
    ],
)
def test_not_checked_is_said(old: str, new: str, words: str, drawn: bool) -> None:
    made, found, _ = _made(_plan((old, new)))
    assert [f.code for f in found] == ["H004"]
    assert words in found[0].words
    assert not made[0].checked
    assert not made[0].holds
    assert (made[0].current is not None) is drawn
    assert float(made[0].density) == pytest.approx(7750.0)


def test_two_blankets() -> None:
    two = f'{SOCKET}, {{ id = "socket 5", rating = "16 A", continuous = "80 %" }}'
    made, found, _ = _made(_plan((SOCKET, two)), "HB-24", "HB-20")
    assert {e.circuit for e in made} == {"socket 4", "socket 5"}
    assert [f.code for f in found] == ["H005"]
    made, found, _ = _made(_plan(), "HB-20", "HB-12")
    assert [e.circuit for e in made] == ["socket 4"] * 2, "8.7 and 3.1 A are within 12.8 A"
    assert [f.code for f in found] == ["H005", "H007"]
    made, found, _ = _made(_plan(), "HB-24", "HB-20")
    assert [e.holds for e in made] == [True, False]
    stop = next(f for f in found if f.code == "H003")
    assert "socket 4 already carries HB-24, 12.5 A" in stop.words
    limited = HB20.replace("voltage", 'limit = "70 C", voltage')
    _, found, _ = _made(_plan((HB20, limited), (SOCKET, two)), "HB-24", "HB-20")
    assert [f.code for f in found] == ["H005", "H006"]
    assert "HB-20 may reach 70 C, the cure cycle 82 C" in found[1].words


@pytest.mark.parametrize(
    ("ids", "words"), [(("HB-99",), "no such blanket"), (("HB-20", "HB-20"), "both faces")]
)
def test_refused_blankets(ids: tuple[str, ...], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        assign_circuits(Basis(case("gear_door"), Ledger()), "cure.1", ids)
    assert caught.value.where == "gear_door/repair.toml"


def _taken(*changes: tuple[str, str]) -> str:
    """The blanket of the second cure."""
    plan = _plan(*changes)
    assert plan.work is not None
    return plan.work.bag.operations[1].blanket


def test_the_smallest_that_suits_supply_and_circuit_is_taken() -> None:
    usual = _taken()
    assert usual == "HB-20"
    low = HB20.replace('voltage = "230 V"', 'voltage = "115 V"')
    assert _taken((HB20, low)) == "HB-24", "115 V on 230 V would burn"
    high = HB20.replace('voltage = "230 V"', 'voltage = "400 V"')
    assert _taken((HB20, high)) == "HB-24", "400 V on 230 V is a third as strong"
    strong = HB20.replace("7750", "20000")
    assert _taken((HB20, strong)) == "HB-24", "22 A where 12.8 A is carried"
    assert _taken((HB20, strong), ('supply = "230 V"\n', "")) == usual, "not known: the size decides"
    assert _taken((SOCKET, SOCKET.replace("16 A", "2 A"))) == usual, "none is carried: the size decides"


def test_a_weak_blanket_before_one_that_no_circuit_carries() -> None:
    high = HB20.replace('voltage = "230 V"', 'voltage = "400 V"')
    weak = _taken((HB20, high), (SOCKET, SOCKET.replace("16 A", "12 A")))
    assert weak == "HB-20", "HB-24 draws 12.5 A, the circuit carries 9.6 A"


def test_the_choice_for_one_cure_counts() -> None:
    heat = '[[choice.heat]]\ncure = "Repair plies"\nblanket = "HB-24"\n\n[stores]'
    assert _taken(("[stores]", heat)) == "HB-24"
    behind = '[[choice.heat]]\ncure = "Repair plies"\nblanket_behind = "HB-20"\n\n[stores]'
    assert _taken(("[stores]", behind)) == "HB-24", "one blanket cannot lie on both faces"
    small = '[[choice.heat]]\ncure = "Repair plies"\nblanket = "HB-12"\n\n[stores]'
    plan = _plan(("[stores]", small))
    assert [f.place for f in plan.findings if f.code == "B009"] == ["choice.heat[1].blanket"]


def test_a_missing_blanket_is_named_with_power_and_current() -> None:
    made = sound()
    start, end = made.index("blanket = ["), made.index("instrument = [")
    only = made[:start] + f"blanket = [ {HB20.replace('508', '254').rstrip(',')} ]\n" + made[end:]
    found = [f for f in make_plan(case_from(only)).findings if f.code == "B001"]
    plan = make_plan(case_from(only))
    assert len(found) == 2
    power, current = plan.ledger["bag.2.needed_power"], plan.ledger["bag.2.needed_current"]
    size = [float(plan.ledger[f"bag.2.heated_{n}_needed"]) for n in ("length", "width")]
    assert float(power) == pytest.approx(7750.0 * size[0] * size[1])
    assert float(current) == pytest.approx(float(power) / 230.0)
    assert f"{float(power):.0f} W, {float(current):.1f} A at 230 V" in found[1].words
