"""Checks of core, plies, kit, nest and strength on parts made for them: at the limit and past it."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import pytest

from checks_made import Number, codes
from panelmend.job.core import checks as core_checks
from panelmend.job.kit import checks as kit_checks
from panelmend.job.nest import checks as nest_checks
from panelmend.job.plies import checks as plies_checks
from panelmend.job.strength import checks as strength_checks
from panelmend.shapes import circle


def core(fibre: str = "aramid", cell: float = 3e-3, density: float = 48.0) -> Any:
    return Made(fibre=fibre, cell_size=Made(value=cell), density=Made(value=density))


@pytest.mark.parametrize(
    ("new", "words"),
    [
        (core(), ""),
        (core(cell=3e-3 * (1 + 9e-7), density=48.0 * (1 + 9e-7)), ""),
        (core("glass"), "glass for aramid"),
        (core(cell=3.1e-3), "cell 3.1 mm for 3.0 mm"),
        (core(density=64.0), "density"),
    ],
)
def test_new_core_beside_the_old(new: Any, words: str) -> None:
    catalogue = Made(core=lambda name: core() if name == "old" else new)
    document = Made(panel=Made(core=Made(material="old")))
    found = core_checks._material(Made(view="mm", document=document, catalogue=catalogue), "new", "table 1")
    assert codes(found) == ["K102"] * bool(words)
    assert all(words in f.words and len(f.words.split(",")) == 1 for f in found)


@pytest.mark.parametrize(
    ("sheets", "raised"),
    [
        ((), False),
        ((0.02,), False),
        ((0.02 - 5e-7,), False),
        ((0.02 - 2e-6,), True),
        ((0.01, 0.02), False),
        ((None,), False),
        ((0.01, 0.015, None), True),
    ],
)
def test_a_sheet_of_core_thick_enough(sheets: tuple[float | None, ...], raised: bool) -> None:
    lots = [Made(material="core", thickness=t) for t in sheets]
    case = Made(view="mm", document=Made(stores=Made(lot=[*lots, Made(material="other", thickness=0.001)])))
    found = core_checks._sheets(case, "core", 0.02)
    assert codes(found) == ["K106"] * raised
    if raised:
        assert f"{max(t for t in sheets if t is not None) * 1e3:.1f} mm" in found[0].words


@pytest.mark.parametrize(
    ("sagitta", "most", "raised"),
    [(None, 1e-3, False), (1e-3, None, False), (1e-3, 1e-3, False), (1.001e-3, 1e-3, True)],
)
def test_a_flat_block_that_stands_off(sagitta: float | None, most: float | None, raised: bool) -> None:
    part = Made(sagitta=sagitta, sagitta_most=most)
    found = core_checks._stands_off(Made(view="mm"), part, 0.02)  # type: ignore[arg-type]
    assert codes(found) == ["K107"] * raised
    assert all("21.0 mm thick" in f.words for f in found)


@pytest.mark.parametrize(
    ("strain", "shear", "count"),
    [(0.01, 0.1, 0), (0.01001, 0.1, 1), (0.01, 0.1001, 1), (0.01001, 0.1001, 2), (0.01, None, 0)],
)
def test_cloth_bent_over_the_plug(strain: float, shear: float | None, count: int) -> None:
    bent = Made(id="cap", strain=Number(strain), shear=None if shear is None else Number(shear))
    part, plies = Made(bent=(bent,)), Made(strain_most=0.01, shear_most=0.1)
    assert len(core_checks._bent(part, plies)) == count  # type: ignore[arg-type]
    assert core_checks._bent(part, Made(strain_most=None, shear_most=None)) == []  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("deep", "scheme", "roles", "raised"),
    [
        (0.001, "external", ("patch",), True),
        (0.0, "external", ("patch",), False),
        (0.001, "scarf", ("patch",), False),
        (0.001, "external", ("patch", "fill"), False),
    ],
)
def test_a_skin_laid_over_an_open_hole(
    deep: float, scheme: str, roles: tuple[str, ...], raised: bool
) -> None:
    case = Made(view="mm", document=Made(damage=Made(depth="plies")))
    plies = Made(scheme=scheme, plies=[Made(role=r) for r in roles])
    found = core_checks._unfilled(case, Made(skin_depth=deep, side="outside"), plies)  # type: ignore[arg-type]
    assert codes(found) == ["K130"] * raised


@pytest.mark.parametrize(
    ("x", "side", "solid", "band", "expected"),
    [
        (0.0, "inside", False, 0.0, ["P105"]),
        (0.0, "outside", False, 0.0, []),
        (0.2501, "outside", False, 0.0, []),
        (0.2499, "outside", False, 0.0, ["P105"]),
        (0.0, "outside", True, 0.0, ["P108"]),
        (0.5, "outside", True, 0.0, []),
        (0.5, "outside", False, 0.9, []),
        (0.5, "outside", False, 0.9001, ["P108"]),
    ],
)
def test_what_lies_behind_and_beside_the_plies(
    x: float, side: str, solid: bool, band: float, expected: list[str]
) -> None:
    """The largest ply has a radius of 100 mm, what is near it one of 50 mm; the panel one of 1 m."""
    area = Made(kind="rib", id="r", outline=circle((x, 0.0), 0.1))
    structure = () if solid else (area,)
    geometry = Made(
        structure=structure, solid=(area,) if solid else (), outline=circle((0, 0), 2.0), cylinder=None
    )
    panel = Made(structure=[Made(side=side, metal="none")] * len(structure), edge_band=band, curvature=None)
    part = Made(sides=(Made(side="outside", largest=Made(outline=circle((0.0, 0.0), 0.2))),))
    case = Made(view="mm", geometry=geometry, document=Made(panel=panel))
    assert codes(plies_checks._on_structure(case, part)) == expected  # type: ignore[arg-type]


def reserve(value: float, resolved: bool = True, rests: bool = False) -> Any:
    return Made(value=Number(value), words="words", resolved=resolved, rests=rests)


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({}, []),
        ({"reserves": (reserve(1.0), reserve(1.0 - 5e-10))}, []),
        ({"reserves": (reserve(0.999),)}, ["T102"]),
        ({"reserves": (reserve(2.0, resolved=False),)}, ["T109"]),
        ({"least": reserve(2.0)}, []),
        ({"least": reserve(2.0, rests=True)}, ["T130"]),
        ({"moment_added": 1.0, "moment_limit": 1.0}, []),
        ({"moment_added": 1.001, "moment_limit": 1.0}, ["T104"]),
        ({"moment_added": 1.001}, []),
        ({"loads_given": False}, ["T105"]),
        ({"ratio": 0.98}, []),
        ({"ratio": 0.9799}, ["T103"]),
    ],
)
def test_what_an_engineer_looks_at(more: dict[str, Any], expected: list[str]) -> None:
    ratio = more.pop("ratio", 1.0) if "ratio" in more else 1.0
    given: dict[str, Any] = {"not_checked": (), "reserves": (), "least": None, "differences": ()}
    given |= {"moment_added": None, "moment_limit": None, "loads_given": True}
    given["membrane"] = (Made(side="outside", direction=0.0, ratio=Number(ratio)),)
    part = Made(**(given | more))
    assert codes(strength_checks.check(Made(view="mm"), {}, part)) == expected  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("made_by", "roll", "raised"),
    [
        ("shelves", 1.001, False),
        ("shelves", 1.001 + 1e-6, True),
        ("search", 2.0, False),
    ],
)
def test_a_layout_that_could_be_shorter(made_by: str, roll: float, raised: bool, monkeypatch: Any) -> None:
    monkeypatch.setattr(nest_checks, "faults", lambda *of: ())
    item = Made(
        problem=Made(name="cloth"), nest=Made(unplaced=(), roll_length=roll), refused=(), made_by=made_by
    )
    item.bound = 1.0
    could = nest_checks.findings(Made(cloths=(item,)))  # type: ignore[arg-type]
    assert codes(could) == ["N005"] * raised
    assert [f.words for f in could] == ["1001.1 mm of roll; at most 1.0 mm less"] * raised
    item.refused = ("first", "second", "third")
    told = nest_checks.findings(Made(cloths=(item,)))[0]  # type: ignore[arg-type]
    assert (told.code, told.words) == ("N006", "first and 2 more")
    item.refused = ("first",)
    assert nest_checks.findings(Made(cloths=(item,)))[0].words == "first"  # type: ignore[arg-type]


def test_what_the_stores_are_short_of() -> None:
    def line(group: str, short: float | None, stocked: bool, material: str = "m") -> Any:
        return Made(
            group=group, short=None if short is None else Number(short), stocked=stocked, name="n",
            purpose="p", material=material,
        )  # fmt: skip

    rows = [
        (line("cloth", 0.1, True), ["Q001"]),
        (line("cloth", None, True), []),
        (line("cloth", None, False), ["Q002"]),
        (line("cloth", 0.1, False), ["Q002"]),
        (line("cloth", None, False, ""), []),
        (line("bagging", 0.1, False), []),
        (line("core", None, False), ["Q002"]),
    ]
    document = Made(repair=Made(work_date=None), stores=Made(lot=()), data=Made(resin=Made(system=None)))
    empty = Made(plies=(), cap=())
    for row, expected in rows:
        kit = Made(lines=(row,), mixes=())
        case = Made(view="mm", document=document)
        found = kit_checks.check(case, {}, kit, None, empty, empty, None, None)  # type: ignore[arg-type]
        assert codes(found) == expected


@pytest.mark.parametrize(
    ("role", "prepreg", "system", "raised"),
    [
        ("repair", False, None, True),
        ("repair", True, None, False),
        ("film adhesive", False, None, False),
        ("film adhesive", True, None, False),
        ("repair", False, "resin", False),
    ],
)
def test_dry_cloth_without_a_resin(role: str, prepreg: bool, system: str | None, raised: bool) -> None:
    document = Made(repair=Made(work_date=None), stores=Made(lot=()), data=Made(resin=Made(system=system)))
    case = Made(view="mm", document=document, catalogue=Made(cloth=lambda name: Made(prepreg=prepreg)))
    plies, cap = Made(plies=(Made(id="P1", role=role, cloth="glass"),)), Made(cap=())
    found = kit_checks.check(case, {}, Made(lines=(), mixes=()), None, plies, cap, None, None)  # type: ignore[arg-type]
    assert codes(found) == ["Q004"] * raised


@pytest.mark.parametrize(
    ("spots", "distance", "raised"),
    [
        ((), None, False),
        ((0.0,), None, True),
        ((0.01,), None, False),
        ((0.01, 0.0), None, True),  # one without a keep-out is enough
        ((0.0,), 0.02, False),
    ],
)
def test_fasteners_whose_distance_nobody_checks(
    spots: tuple[float, ...], distance: float | None, raised: bool
) -> None:
    limits = Made(edge_distance=0.1, repair_distance=None, fastener_distance=distance)
    geometry = Made(earlier=(), spots=tuple(Made(keep_out=k) for k in spots))
    case = Made(view="mm", geometry=geometry, document=Made(data=Made(limits=limits)))
    found = plies_checks._not_checked(case)  # type: ignore[arg-type]
    assert codes(found) == ["P103"] * raised
