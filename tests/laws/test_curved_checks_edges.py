"""Checks of plies on a curved panel on parts made for them: at the limit and past it."""

from __future__ import annotations

import math
from types import SimpleNamespace as Made
from typing import Any

import pytest

from checks_made import Number, codes
from panelmend.job.plies import curved_checks
from panelmend.shapes import circle

PI = math.pi


@pytest.mark.parametrize(
    ("centre", "reach", "raised"),
    [
        ((0.0, 0.0), 0.999, False),
        ((0.0, 0.0), 1.001, True),
        ((0.3, 0.4), 0.999, False),  # counted from its own centre, not from the axis
        ((0.3, 0.4), 1.001, True),
        ((-0.2, 0.6), 0.999, False),
    ],
)
@pytest.mark.parametrize("axis", [0.0, 0.5 * PI, 0.7])
def test_how_far_round_a_ply_reaches(
    centre: tuple[float, float], reach: float, raised: bool, axis: float
) -> None:
    """A round ply reaches as far as its radius, whatever the direction of the axis."""
    radius = 0.5
    ply = circle(centre, 2.0 * reach * curved_checks.MOST_HALF_ANGLE * radius)
    side = Made(side="outside", centre=centre, largest=Made(id="P1", outline=ply))
    case = Made(view="mm", geometry=Made(cylinder=Made(axis_angle=axis, radius=radius)))
    assert codes(curved_checks._round(case, Made(sides=(side,)))) == ["P129"] * raised  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("pad", "on", "aid", "raised"),
    [
        (0.51e-3, "panel", "pad", True),  # [m] half a millimetre is not told
        (0.50e-3, "panel", "pad", False),
        (0.51e-3, "plate", "pad", False),
        (0.51e-3, "panel", "caul_sheet", True),
        (0.51e-3, "panel", "", False),
    ],
)
def test_a_flat_pad_that_stands_off(pad: float, on: str, aid: str, raised: bool) -> None:
    given: dict[str, Any] = dict.fromkeys(("pad", "pressure_aid", "caul_sheet"))
    if aid:
        given[aid] = Made(material="rubber")
    cure = Made(side=None, on_plate=on == "plate", name="main", **given)
    document = Made(damage=Made(side="outside"), data=Made(cure=(cure,)))
    part = Made(sides=(Made(side="outside"),), pads=(pad,))
    found = list(curved_checks._pads(Made(view="mm", document=document), part))  # type: ignore[arg-type]
    assert codes(found) == ["P130"] * raised
    assert [f.place for f in found] == [f"data.cure[1].{aid}"] * raised


@pytest.mark.parametrize(
    ("off", "known", "weight", "asked", "expected"),
    [
        (0.499e-3, True, "caution", 0.0, []),  # [m] by which the surface differs from coordinates
        (0.501e-3, True, "caution", 0.0, ["P127"]),
        (-0.501e-3, True, "caution", 0.0, ["P127"]),
        (0.0, False, "caution", 0.0, ["P127"]),
        (-0.499e-3, True, "stop", 0.0996, ["P126"]),  # kept by coordinates, missed along the surface
        (-0.499e-3, True, "stop", 0.0994, []),
        (-0.499e-3, True, "caution", 0.0996, []),
        (-0.499e-3, True, "stop", 0.1001, []),  # missed by coordinates too: told there
    ],
)
def test_a_distance_that_the_curve_changes(
    off: float, known: bool, weight: str, asked: float, expected: list[str], monkeypatch: Any
) -> None:
    near = Made(piece="P1", what="rib", asked=asked, weight=weight, path="p", clear=lambda piece: 0.1)
    found = Made(clear=0.1 + off, known=known)
    monkeypatch.setattr(curved_checks, "clear_along", lambda *of: found)
    side = Made(side="outside", centre=(0.0, 0.0))
    told = curved_checks._one(Made(view="mm"), side, None, near, None)  # type: ignore[arg-type]
    assert codes(told) == expected


@pytest.mark.parametrize(
    ("strain", "cloth", "count", "left", "darts", "expected", "words"),
    [
        (0.02, True, 0, 0.0, True, [], ""),
        (0.0201, False, 2, 0.01, True, ["P123"], "takes no darts"),
        (0.0201, True, 0, 0.01, True, ["P123"], "darts do not help"),
        (0.0201, True, 2, 0.0201, True, ["P123"], "darts do not help"),  # they leave too much
        (0.0201, True, 2, 0.02, False, ["P123"], "split along the axis into 3 strips"),
        (0.0201, True, 2, 0.02, None, ["P123"], "split along the axis into 3 strips"),
        (0.0201, True, 2, 0.02, True, ["P124"], "the widest 4.0 mm at the rim"),
    ],
)
def test_a_template_strained_past_its_limit(
    strain: float, cloth: bool, count: int, left: float, darts: bool | None, expected: list[str], words: str
) -> None:
    given = None if darts is None else Made(value=darts, place="p. 1")
    case = Made(view="mm", document=Made(data=Made(plies=Made(darts=given))))
    bent = Made(
        id="P1", strain=Number(strain), cloth=cloth, count=Number(count), left=Number(left), strips=Number(3),
        darts=(Made(width=0.003), Made(width=0.004)),
    )  # fmt: skip
    found = list(curved_checks.strained_findings(case, bent, 0.02))  # type: ignore[arg-type]
    assert codes(found) == expected
    assert all(words in f.words for f in found)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(("share", "told"), [(1.0, False), (1.0 + 1e-9, True)])
def test_a_distance_that_differs_by_just_what_tells_is_not_told(
    sign: float, share: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    near = Made(piece="P1", what="rib", asked=0.0, weight="caution", path="p", clear=lambda piece: 0.0)
    found = Made(clear=sign * share * curved_checks.DISTANCE_TOLD, known=True)
    monkeypatch.setattr(curved_checks, "clear_along", lambda *of: found)
    side = Made(side="outside", centre=(0.0, 0.0))
    assert codes(curved_checks._one(Made(view="mm"), side, None, near, None)) == ["P127"] * told  # type: ignore[arg-type]
