"""What is said of plies on a curved panel: of whom, and with which figure, on parts made for it."""

from __future__ import annotations

import math
from types import SimpleNamespace as Made
from typing import Any

import pytest

from checks_made import Number, codes
from panelmend.job.plies import curved_checks
from panelmend.shapes import rectangle

PI = math.pi


@pytest.mark.parametrize("axis", [0.0, PI])
@pytest.mark.parametrize("place", [-0.02, 0.02])
def test_a_ply_reaches_round_as_far_as_its_further_edge(axis: float, place: float) -> None:
    """A strip of 0.4 m across the axis whose middle lies 20 mm beside the centre it is counted from."""
    ply = rectangle((0.07, 0.05 + place), 0.1, 0.4)
    side = Made(side="outside", centre=(0.03, 0.05), largest=Made(id="P1", outline=ply))
    for reach, raised in ((0.2199, True), (0.2201, False)):
        radius = reach / curved_checks.MOST_HALF_ANGLE
        case = Made(view="mm", geometry=Made(cylinder=Made(axis_angle=axis, radius=radius)))
        found = list(curved_checks._round(case, Made(sides=(side,))))  # type: ignore[arg-type]
        assert codes(found) == ["P129"] * raised


def _bent(name: str, strain: float, off: float | None, shear: float | None) -> Any:
    return Made(
        id=name,
        strain=Number(strain),
        mismatch=Number(1000.0 * strain * 1e-3),
        shear=None if shear is None else Number(shear),
        off=None if off is None else Number(off),
        cloth=True,
        count=Number(0.0),
        left=Number(0.0),
        darts=(),
        strips=Number(2.0),
    )


def _part(*bent: Any) -> Any:
    return Made(strain_most=Number(0.01), shear_most=Number(0.1), bent=bent, sides=())


def _case(*, bulges: bool = True, second: bool = True) -> Any:
    curve = Made(radius=1.5, second_radius=4.0, bulges=bulges, second_bulges=second)
    document = Made(panel=Made(curvature=curve), data=Made(plies=Made(darts=None)))
    return Made(view="mm", document=document)


def test_the_most_strained_ply_and_the_one_furthest_from_its_line_are_named() -> None:
    made = _part(
        _bent("P1", 0.003, 0.7e-3, None), _bent("P2", 0.009, 0.2e-3, None), _bent("P3", 0.001, 2.5e-3, None)
    )
    (finding,) = curved_checks._bent(_case(), made)
    assert finding.code == "P122"
    assert "P2 is strained" in finding.words
    assert "the edge of P3 comes down up to 2.5 mm" in finding.words
    assert "saddle" not in finding.words
    (saddle,) = curved_checks._bent(_case(second=False), made)
    assert ", a saddle;" in saddle.words


def test_nothing_is_said_of_edges_where_no_ply_was_draped() -> None:
    (finding,) = curved_checks._bent(_case(), _part(_bent("P1", 0.003, None, None)))
    assert "comes down" not in finding.words


@pytest.mark.parametrize(
    ("shear", "raised"), [(0.1, False), (0.1 * (1 + 1e-8), True), (None, False), (0.2, True)]
)
def test_shear_past_its_limit_is_a_stop_of_that_ply(shear: float | None, raised: bool) -> None:
    found = list(curved_checks._bent(_case(), _part(_bent("P1", 0.003, None, shear))))
    assert codes(found) == ["P122"] + ["P125"] * raised


@pytest.mark.parametrize(
    ("strain", "cloth", "count", "left", "given", "code", "words"),
    [
        (0.01, True, 4.0, 0.0, None, "", ""),
        (0.0101, False, 4.0, 0.0, True, "P123", "takes no darts"),
        (0.0101, True, 0.0, 0.0, True, "P123", "darts do not help here"),
        (0.0101, True, 4.0, 0.0101, True, "P123", "darts do not help here"),
        (0.0101, True, 4.0, 0.01, None, "P123", "into 3 strips"),
        (0.0101, True, 4.0, 0.01, False, "P123", "the widest 7.0 mm at the rim"),
        (0.0101, True, 4.0, 0.01, True, "P124", "(table 4)"),
    ],
)
def test_a_template_strained_beyond_the_limit(
    strain: float, cloth: bool, count: float, left: float, given: bool | None, code: str, words: str
) -> None:
    darts = None if given is None else Made(value=given, place="table 4")
    case = Made(view="mm", document=Made(data=Made(plies=Made(darts=darts))))
    piece = Made(
        id="P1",
        strain=Number(strain),
        cloth=cloth,
        count=Number(count),
        left=Number(left),
        strips=Number(3.0),
        darts=(Made(width=3e-3), Made(width=7e-3), Made(width=5e-3)),
    )
    found = list(curved_checks.strained_findings(case, piece, 0.01))
    assert codes(found) == [code] * bool(code)
    assert all(words in f.words for f in found)


@pytest.mark.parametrize(
    ("known", "clear", "said", "least"),
    [
        (True, 0.11, "110.0 mm along the surface", False),
        (False, 0.11, "not known, at least 110.0 mm", True),
        (False, 0.0, "along the surface not known, 50.0 mm required", False),
    ],
)
def test_a_distance_that_is_not_known_says_what_it_is_at_least(
    known: bool, clear: float, said: str, least: bool, monkeypatch: Any
) -> None:
    near = Made(piece="tape", what="rib", asked=0.05, weight="caution", path="p", clear=lambda piece: 0.1)
    monkeypatch.setattr(curved_checks, "clear_along", lambda *of: Made(clear=clear, known=known))
    side: Any = Made(side="outside", centre=(0.0, 0.0))
    piece: Any = None
    surface: Any = None
    (finding,) = curved_checks._one(Made(view="mm"), side, surface, near, piece)  # type: ignore[arg-type]
    assert finding.code == "P127"
    assert said in finding.words
    assert ("at least" in finding.words) is least


@pytest.mark.parametrize(
    ("radius", "second", "places"),
    [
        (0.2, None, []),
        (0.2, 0.2, []),
        (0.199, 0.3, ["panel.curvature.radius"]),
        (0.3, 0.199, ["panel.curvature.second_radius"]),
        (0.2 * (1 - 1e-8), 0.2 * (1 - 1e-8), ["panel.curvature.radius", "panel.curvature.second_radius"]),
    ],
)
def test_a_bend_too_tight_for_the_thickness(radius: float, second: float | None, places: list[str]) -> None:
    """20 mm thick: ten times that is covered."""
    curve = Made(radius=radius, second_radius=second)
    case = Made(view="mm", document=Made(panel=Made(curvature=curve)), skin_depth=lambda side: 0.02)
    found = list(curved_checks._thickness(case))  # type: ignore[arg-type]
    assert codes(found) == ["P128"] * len(places)
    assert [f.place for f in found] == places


@pytest.mark.parametrize(
    ("stretch", "sense", "raised", "words"),
    [(1.01, 1, False, ""), (1.0101, 1, True, "shorter"), (0.9899, -1, True, "longer"), (0.99, -1, False, "")],
)
def test_a_repair_far_from_the_axis_line(stretch: float, sense: int, raised: bool, words: str) -> None:
    surface: Any = Made(local=lambda x, y: (0.0, -0.4), stretch=lambda v: stretch, sense=sense)
    side: Any = Made(side="outside", centre=(0.1, 0.2))
    found = list(curved_checks._zero(Made(view="mm"), side, surface))  # type: ignore[arg-type]
    assert codes(found) == ["P133"] * raised
    assert all(words in f.words and "400.0 mm off" in f.words for f in found)
