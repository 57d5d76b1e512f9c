"""Checks of the bag on parts that are made for them: silent at the limit, raised one step past it."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import pytest

from checks_made import HALF_INCH, HOT, PATCH, bag, blanket, case, codes
from panelmend.job import seal_path
from panelmend.job.bag import air_checks, checks, heat_checks
from panelmend.job.cure.circuit_checks import _blanket_covers
from panelmend.physics.atmosphere import SEA_LEVEL_PRESSURE, standard_pressure
from panelmend.shapes import circle, rectangle


@pytest.mark.parametrize(
    ("length", "width", "fits"),
    [
        (0.54, 0.34, True),
        (0.34, 0.54, True),  # it may lie the other way round
        (0.5399, 0.34, False),
        (0.54, 0.3399, False),
        (0.3399, 0.54, False),
        (0.34, 0.5399, False),
    ],
)
def test_a_blanket_heats_what_is_needed_without_its_border(length: float, width: float, fits: bool) -> None:
    own = blanket(length, width)
    found = heat_checks.blanket_findings(case(bay={"blanket": (own,)}), {}, bag())  # type: ignore[arg-type]
    assert codes(found) == ([] if fits else ["B009"])
    unasked = case(bay={"blanket": (own,)}, wanted=("",))
    assert heat_checks.blanket_findings(unasked, {}, bag()) == [], "only a chosen one"  # type: ignore[arg-type]
    assert _blanket_covers(own, bag()) is fits


@pytest.mark.parametrize(("limit", "raised"), [(None, False), (HOT, False), (HOT - 0.1, True)])
def test_what_is_rated_below_the_cure_cycle(limit: float | None, raised: bool) -> None:
    own = case(bay={"blanket": (blanket(1.0, 1.0, limit),)}, limit=limit)
    assert codes(heat_checks.blanket_findings(own, {}, bag())) == ["B013"] * raised  # type: ignore[arg-type]
    assert codes(heat_checks.panel(own, bag())) == ["B016"] * raised
    assert heat_checks.panel(own, bag(on_panel=False)) == []
    assert heat_checks.blanket_findings(own, {}, bag(cure={"heated_by": "oven"})) == []  # type: ignore[arg-type]


def test_no_blanket_is_large_enough() -> None:
    (found,) = heat_checks.blanket_findings(case(), {}, bag(blanket=""))  # type: ignore[arg-type]
    assert found.code == "B001"
    assert "500.0 mm by 300.0 mm" in found.words


@pytest.mark.parametrize(
    ("limit", "rib", "bagged", "expected"),
    [
        (450.0, 400.0, True, []),
        (450.0, 399.9, True, ["B200"]),  # the highest the cure may reach, not what it asks for
        (400.0, 450.0, True, []),
        (399.9, 450.0, True, ["B016"]),
        (HOT, 450.0, True, ["B016"]),
        (HOT - 0.1, 450.0, True, []),  # said by the panel's own check
        (None, 450.0, True, ["B201"]),
        (450.0, None, True, ["B201"]),
        (450.0, 450.0, False, ["B017"]),
        (None, 399.9, False, ["B017", "B200", "B201"]),
    ],
)
def test_a_panel_in_an_oven(
    limit: float | None, rib: float | None, bagged: bool, expected: list[str]
) -> None:
    own = case(limit=limit, structure=(Made(id="rib", limit=rib),))
    assert (
        codes(
            heat_checks.heating_way_findings(
                own, bag(bagged=bagged, cure={"heated_by": "oven", "pressed": None})
            )
        )
        == expected
    )
    assert heat_checks.heating_way_findings(own, bag(bagged=bagged)) == []
    assert (
        heat_checks.heating_way_findings(own, bag(bagged=bagged, on_panel=False, cure={"heated_by": "oven"}))
        == []
    )


@pytest.mark.parametrize(
    ("room", "by", "raised"),
    [
        (None, "blanket", False),
        (3.0, "blanket", False),
        (2.99, "blanket", True),
        (2.99, "oven", True),
        (2.99, "room temperature", False),
    ],
)
def test_room_for_a_cut_out_above_the_band(room: float | None, by: str, raised: bool) -> None:
    made = bag(cure={"heated_by": by, "cut_out_room": room})
    assert codes(heat_checks.cut_out(case(), made)) == ["B300"] * raised


@pytest.mark.parametrize(
    ("there", "asked", "by", "on_panel", "raised"),
    [
        (3, None, "blanket", True, False),
        (2, None, "blanket", True, True),
        (2, 1, "blanket", True, True),
        (6, 6, "oven", True, False),
        (5, 6, "oven", True, True),
        (5, 6, "oven", False, False),
        (0, 6, "room temperature", True, False),
    ],
)
def test_as_many_thermocouples_as_are_asked(
    there: int, asked: int | None, by: str, on_panel: bool, raised: bool
) -> None:
    made = bag(
        sensors=("TC",) * there, on_panel=on_panel, cure={"heated_by": by, "thermocouples_least": asked}
    )
    assert codes(heat_checks.place_findings(made)) == ["B021"] * raised


@pytest.mark.parametrize(
    ("good", "ceiling", "raised"),
    [
        (400.0, None, False),
        (399.9, None, True),
        (405.0, 405.0, False),
        (404.9, 405.0, True),
        (None, 405.0, False),
    ],
)
def test_bagging_material_good_to_the_hottest_the_cycle_allows(
    good: float | None, ceiling: float | None, raised: bool
) -> None:
    film = Made(limit_temperature=None if good is None else Made(value=good))

    class Catalogue(dict):  # type: ignore[type-arg]
        pass

    own = case(catalogue=Catalogue(film=film))
    layers = tuple(Made(use="bag film", material=m) for m in ("film", "", "unknown"))
    made = bag(all_layers=layers, cure={"ceiling": ceiling})
    assert codes(heat_checks.materials(own, made)) == ["B005"] * raised


@pytest.mark.parametrize(
    ("available", "least", "raised"), [(None, 80e3, False), (80e3, 80e3, False), (79.9e3, 80e3, True)]
)
def test_vacuum_that_the_air_can_give(available: float | None, least: float, raised: bool) -> None:
    made = bag(available_vacuum=available, least_vacuum=least, vacuum=Made(highest=None))
    assert codes(air_checks.vacuum_findings(case(), made)) == ["B002"] * raised


@pytest.mark.parametrize(
    ("available", "least", "elevation", "raised"),
    [
        (None, 80e3, None, False),
        (79.9e3, 80e3, None, False),  # that cannot be drawn at all: B002
        (80e3, 80e3, None, True),
        (84.99e3, 80e3, None, True),  # what a pump usually leaves, 5 kPa, is missing
        (85.01e3, 80e3, None, False),
        (98.0e3, 90e3, 469.0, True),  # 95.8 kPa on a standard day at 469 m, 89.8 in bad weather
        (98.0e3, 90e3, 450.0, False),  # 96.0 and 90.02
        (105.0e3, 95e3, 0.0, False),  # 95 kPa at sea level in bad weather, just what is asked
        (105.0e3, 95.001e3, 0.0, True),
    ],
)
def test_vacuum_that_pump_and_weather_leave_room_for(
    available: float | None, least: float, elevation: float | None, raised: bool
) -> None:
    made = bag(available_vacuum=available, least_vacuum=least)
    found = air_checks.hardly_drawn(case(bay={"elevation": elevation}), made)
    assert codes(found) == ["B023"] * raised


@pytest.mark.parametrize(
    ("share", "raised"),
    [
        (95.01e3, False),
        (94.99e3, True),
        (104.99e3, False),
        (105.01e3, True),
    ],
)
def test_a_barometer_within_what_the_weather_gives_here(share: float, raised: bool) -> None:
    here = standard_pressure(1500.0) / SEA_LEVEL_PRESSURE
    own = case(bay={"barometer": share * here, "elevation": 1500.0})
    found = air_checks.altitude(own)
    assert codes(found) == ["B014"] * raised
    for missing in ({"barometer": None, "elevation": 1500.0}, {"barometer": share, "elevation": None}):
        assert air_checks.altitude(case(bay=missing)) == []


@pytest.mark.parametrize(("barometer", "reduced"), [(101325.0, True), (60e3, False), (120e3, False)])
def test_a_barometer_reduced_to_sea_level_is_told_apart_from_a_wrong_unit(
    barometer: float, reduced: bool
) -> None:
    (found,) = air_checks.altitude(case(bay={"barometer": barometer, "elevation": 1500.0}))
    assert ("reduced to sea level" in found.words) is reduced
    assert ("check the units" in found.words) is not reduced


@pytest.mark.parametrize(
    ("drop", "time", "place"),
    [(None, None, None), (1, 2, None), (1, None, "leak_time"), (None, 2, "leak_drop")],
)
def test_a_leak_limit_and_its_time_come_from_one_place(drop: Any, time: Any, place: str | None) -> None:
    found = air_checks.leak_findings(case(drop=drop, time=time))
    assert [f.place for f in found] == ([] if place is None else [f"data.bag.{place}"])


@pytest.mark.parametrize(
    ("film", "breather", "expected"),
    [
        (0.0, -0.01, []),
        (-0.0001, -0.01, ["B010"]),
        (0.0, 0.0, []),
        (0.0, 0.0001, ["B011"]),
    ],
)
def test_layers_lie_over_each_other(film: float, breather: float, expected: list[str]) -> None:
    """The film covers the patch; the breather ends where the sealing line is, 60 mm out."""
    layers = (
        Made(
            use="parting film", below=False, outline=rectangle((0.0, 0.0), 0.30 + 2 * film, 0.20 + 2 * film)
        ),
        Made(
            use="breather",
            below=False,
            outline=rectangle((0.0, 0.0), 0.42 + 2 * breather, 0.32 + 2 * breather),
        ),
        Made(use="breather", below=True, outline=rectangle((0.0, 0.0), 9.0, 9.0)),
    )
    made = bag(patch=PATCH, seal_line=rectangle((0.0, 0.0), 0.42, 0.32), layers=layers)
    assert codes(checks._stacking(case(), made)) == expected


@pytest.mark.parametrize(
    ("kind", "support", "past", "expected"),
    [
        ("bag", False, 0.0, []),
        ("support", False, 0.1, ["B019"]),
        ("support", True, HALF_INCH, []),
        ("support", True, HALF_INCH - 1e-4, ["B022"]),
    ],
)
def test_what_holds_the_other_side(kind: str, support: bool, past: float, expected: list[str]) -> None:
    board = Made(use="support", outline=rectangle((0.0, 0.0), 0.30 + 2 * past, 0.20 + 2 * past))
    layers = (Made(use="film", outline=PATCH), board)
    other = Made(kind=kind, side="inside", support=support, patch=PATCH, layers=layers)
    assert codes(checks._other_side(bag(behind=other), "mm")) == expected


def spot(x: float, diameter: float = 0.01) -> Any:
    return Made(at=(x, 0.0), diameter=diameter, kind="fastener", id="f")


@pytest.mark.parametrize(
    ("x", "edge", "expected"),
    [
        (0.0, HALF_INCH, []),
        (0.0, HALF_INCH - 1e-4, ["B003"]),
        (0.195, 1.0, []),  # the fastener touches the line from inside
        (0.1951, 1.0, ["B004"]),
        (0.205 + HALF_INCH, 1.0, []),  # outside lies the tape
        (0.2049 + HALF_INCH, 1.0, ["B004"]),
    ],
)
def test_a_sealing_line_on_the_panel_and_off_its_fasteners(
    x: float, edge: float, expected: list[str]
) -> None:
    seal = circle((0.0, 0.0), 0.40)
    geometry = Made(outline=circle((0.0, 0.0), 0.40 + 2 * edge), spots=(spot(x),), cylinder=None)
    own = Made(view="mm", geometry=geometry)
    path = seal_path._path(own, "outside", seal)
    assert ["B003"] * (path.past > 0.0) + ["B004"] * len(path.crossed) == expected
