"""The tables of a printed strength report, each cell under its own head, and the least reserve the least.

The study is made up: every value is written by hand and another one, so that two columns, two skins, two
conditions or two cases exchanged show.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from examples_here import case_from, text
from panelmend.derive import Figure, Source
from panelmend.derive.figure import Origin
from panelmend.job.strength.part import (
    Ability,
    BondRow,
    Change,
    Compared,
    HotSpot,
    ModeRow,
    NeutralRow,
    OwnRow,
    Ratio,
    Region,
    Reserve,
    ReserveKind,
    Rests,
    Sense,
    StrengthPart,
    TipRow,
)
from panelmend.plan.make import make_plan
from panelmend.plan.strength_study import StrengthStudy, joined
from panelmend.render.strength_report import strength_pdf
from render_pages import flat, page_words

MADE = Source("made up for a test")
CARBON = (  # as the example has it, and with no two constants alike
    (
        'room = { e1 = "60 GPa", e2 = "60 GPa", nu12 = 0.05, g12 = "4.0 GPa", xt = "700 MPa", '
        'xc = "550 MPa", yt = "700 MPa", yc = "550 MPa", s = "90 MPa" }',
        'room = { e1 = "61 GPa", e2 = "54 GPa", nu12 = 0.07, g12 = "4.3 GPa", xt = "710 MPa", '
        'xc = "560 MPa", yt = "680 MPa", yc = "530 MPa", s = "91 MPa" }',
    ),
    (
        'hot_wet = { e1 = "58 GPa", e2 = "58 GPa", nu12 = 0.05, g12 = "2.8 GPa", xt = "630 MPa", '
        'xc = "350 MPa", yt = "630 MPa", yc = "350 MPa", s = "50 MPa" }',
        'hot_wet = { e1 = "57 GPa", e2 = "49 GPa", nu12 = 0.06, g12 = "2.7 GPa", xt = "620 MPa", '
        'xc = "340 MPa", yt = "590 MPa", yc = "320 MPa", s = "48 MPa" }',
    ),
    ("hot_wet_factor = 0.5", "hot_wet_factor = 0.6"),
)


@pytest.fixture(scope="module")
def report() -> str:
    """The words of the report up to its workings."""
    document = text("cowling")
    for old, new in CARBON:
        assert document.count(old) == 1
        document = document.replace(old, new)
    plan = make_plan(case_from(document))
    ledger = joined(plan.ledger, ())

    def fig(value: float, kind: str = "ratio") -> Figure:
        return ledger.add(Figure(f"made.{len(tuple(ledger))}", value, kind, Origin.TYPED, MADE))

    def line(newton_per_mm: float) -> Figure:
        return fig(1e3 * newton_per_mm, "running load")

    def bond(
        side: str, way: str, wet: str, load: float, drawn: float, reserve: float, peaks: float
    ) -> BondRow:
        return BondRow(
            side,  # type: ignore[arg-type]
            way, wet, line(load), "case 'gust'", fig(reserve),
            (("P1", peaks * 1e6), ("P2", peaks * 2e6)), 1e-3 * (reserve + 30.0), "", fig(drawn),
        )  # fmt: skip

    def tip(side: str, way: str, wet: str, *values: float) -> TipRow:
        peel, peel_reserve, pull, pull_reserve = values
        return TipRow(
            side,  # type: ignore[arg-type]
            way, wet, fig(peel * 1e6, "stiffness"), fig(pull * 1e6, "stiffness"), fig(peel_reserve),
            fig(pull_reserve), "", "",
        )  # fmt: skip

    def mode(name: str, of: str, wet: str, where: Region, reserve: float, error: float) -> ModeRow:
        return ModeRow(of, where, name, "", "upper face", wet, fig(reserve), "", None, None, error)

    def own(what: Ability, side: str, way: str, sense: Sense, wet: str, sound: float, mend: float) -> OwnRow:
        return OwnRow(
            what,
            side,  # type: ignore[arg-type]
            way, wet, sense, f"zone {sound:g}", line(sound), line(mend), fig(mend / sound), "",
        )  # fmt: skip

    def ratio(side: str, degrees: float, sound: float, mend: float) -> Ratio:
        return Ratio(side, fig(degrees, "angle"), line(sound), line(mend), fig(mend / sound))  # type: ignore[arg-type]

    kinds = ReserveKind
    taken = {1.26: (Rests.ACROSS,), 2.62: (Rests.OWN_BOND,), 1.57: (Rests.STAND_IN,)}
    reserves = tuple(
        Reserve(kind, fig(value), what, where, wet, ground, value != 4.73, taken.get(value, ()))
        for kind, value, what, where, wet, ground in (
            (kinds.BOND, 3.41, "outside skin", "along 0°", "room", "ground a"),
            (kinds.BOND, 2.62, "inside skin", "along 45°", "hot and wet", "ground b"),
            (kinds.PEEL, 4.73, "outside skin", "along 90°", "room", "ground c"),
            (kinds.PULL, 5.84, "inside skin", "along 15°", "room", "ground d"),
            (kinds.MODE, 1.95, "wrinkling", "upper face", "hot and wet", "ground e"),
            (kinds.MODE, 1.26, "core shear", "the core", "room", "ground f"),
            (kinds.OWN, 1.57, "dimpling", "over the cut-out", "hot and wet", "ground g"),
        )
    )
    part = StrengthPart(
        loads=(("gust", "place 1"), ("landing", "place 2")),
        membrane=(ratio("outside", 0.0, 21.0, 27.3), ratio("inside", 0.7853981633974483, 32.0, 35.2)),
        bending=(ratio("inside", 1.5707963267948966, 62.0, 77.5),),
        neutral=(
            NeutralRow("0°", line(41.0), line(43.0), fig(0.0011, "length"), fig(0.0024, "length")),
            NeutralRow("90°", line(44.0), line(47.0), fig(0.0035, "length"), fig(0.0046, "length")),
        ),
        bonds=(
            bond("outside", "0°", "room", 11.0, 1.12, 3.41, 5.0),
            bond("outside", "0°", "hot and wet", 12.0, 1.23, 3.92, 6.0),
            bond("inside", "45°", "hot and wet", 13.0, 1.34, 2.62, 7.0),
            bond("inside", "30°", "hot and wet", 14.0, 1.45, 2.91, 8.0),
            bond("inside", "15°", "room", 15.0, 1.56, 2.21, 9.0),
            BondRow("inside", "90°", "room", None, "no load", None, (), 0.0, "reason k"),
        ),
        tips=(
            tip("outside", "90°", "room", 1.31, 4.73, 2.42, 6.95),
            tip("inside", "0°", "hot and wet", 1.53, 5.06, 2.64, 7.17),
            tip("inside", "15°", "hot and wet", 1.64, 4.95, 2.75, 7.28),
            tip("inside", "30°", "hot and wet", 1.65, 5.28, 2.76, 7.06),
            tip("inside", "75°", "hot and wet", 1.66, 5.29, 2.77, 7.29),
            replace(
                tip("inside", "45°", "room", 1.75, 5.27, 2.86, 7.38),
                pull_reserve=None,
                no_peel="lack m",
                no_pull="lack n",
                before=1.57e6,
                resolved=False,
            ),
        ),
        modes=(
            mode("wrinkling", "gust", "hot and wet", Region.UNDER_PATCH, 1.95, 0.011),
            mode("wrinkling", "gust", "hot and wet", Region.OVER_CUT, 2.16, 0.012),
            mode("wrinkling", "gust", "hot and wet", Region.SOUND, 2.37, 0.013),
            mode("core shear", "landing", "room", Region.PANEL, 1.48, 0.014),
            mode("core shear", "landing", "room", Region.SPLICE, 1.26, 0.015),
            mode("core shear", "landing", "room", Region.SOUND, 1.59, 0.016),
            replace(
                mode("crimping", "landing", "room", Region.JUST_OUTSIDE, 3.15, 0.2),
                before=2.874,
                resolved=False,
            ),
            replace(
                mode("crimping", "landing", "room", Region.SOUND, 3.36, 0.0), reserve=None, reason="reason s"
            ),
        ),
        own=(
            own(Ability.DIMPLING, "outside", "0°", Sense.COMPRESSION, "room", 50.0, 60.0),
            own(Ability.DIMPLING, "outside", "90°", Sense.TENSION, "room", 80.0, 72.0),
            own(Ability.WRINKLING, "inside", "45°", Sense.COMPRESSION, "hot and wet", 40.0, 56.0),
        ),
        reserves=reserves,
        maps=(),
        hot_spots=(
            HotSpot("gust", Compared.STRAIN, fig(1.87), (0.1, 0.2), "near the plug", 1.81, 0.021, True),
            HotSpot("landing", Compared.SHEAR, fig(2.08), (0.3, 0.4), "near the patch", 1.93, 0.2, False),
        ),
        outlines=(),
        mass_added=fig(0.0684, "mass"),
        moment_added=fig(0.51, "moment"),
        moment_limit=fig(2.3, "moment"),
        changes=(Change("thicker", 1.26, 1.61, "core shear"), Change("wider", 1.27, 1.52, "crimping")),
        differences=(),
        not_checked=("thing q",),
        assumptions=("thing r",),
    )
    said = flat(*page_words(strength_pdf(StrengthStudy(plan, part, ledger, ()))))
    return said[: said.rindex(flat("Workings", "made."))]


def test_the_least_of_all_stands_first_and_of_each_kind_its_own_least(report: str) -> None:
    top = ("Least of all that was computed", "1.260", "failure mode", "core shear, the core")
    across = "Not in the data: modulus across the adhesive, taken as six times that in shear."
    assert flat(*top, "Condition: room. Ground: ground f.", across) in report
    given = "Least that rests on given values alone:"
    assert (
        flat(across, given, "1.950", "failure mode, wrinkling, upper face, hot and wet, ground e") in report
    )
    resin = "Not in the data: the plug's paste adhesive, in place of the resin that bonds the patch."
    own = "Not in the data: the repair's adhesive, in place of what bonds the panel's own skin to its core."
    rest = (
        (
            "own strength, repair over sound:",
            "1.570",
            "dimpling, over the cut-out, hot and wet, ground g",
            resin,
        ),
        ("bond:", "2.620", "inside skin, along 45°, hot and wet, ground b", own),
        ("peel of the patch:", "4.730", "NOT RESOLVED", "outside skin, along 90°, room, ground c"),
        ("skin pulled off its core under the patch:", "5.840", "inside skin, along 15°, room, ground d"),
    )
    assert flat(*(cell for row in rest for cell in ("Least ", *row))) in report
    assert flat("ground a") not in report
    assert report.count(flat("ground e")) == 1
    assert report.count("NOTRESOLVED") == 4  # peel, a tip, a mode and a hot spot


def test_stiffness_and_neutral_plane(report: str) -> None:
    head = ("What", "Direction", "Sound", "Repair", "Ratio")
    one = ("face, outside skin, E t", "0°", "21.0 N/mm", "27.3 N/mm", "1.300")
    two = ("face, inside skin, E t", "45°", "32.0 N/mm", "35.2 N/mm", "1.100")
    three = ("sandwich, bending D", "90°", "62.0 N/mm", "77.5 N/mm", "1.250")
    assert flat(*head, *one, *two, *three) in report
    head = (
        "Whole sandwich along",
        "E A sound",
        "E A repair",
        "Neutral plane, sound",
        "Neutral plane, repair",
    )
    one = ("0°", "41.0 N/mm", "43.0 N/mm", "1.1 mm", "2.4 mm")
    assert flat(*head, *one, "90°", "44.0 N/mm", "47.0 N/mm", "3.5 mm", "4.6 mm") in report


def test_what_the_repair_carries_itself(report: str) -> None:
    """Of the two directions of one ability the lesser ratio."""
    head = ("What", "Condition", "Along", "Sense", "Weakest", "Sound", "Repair", "Ratio")
    one = ("dimpling, outside skin", "room", "90°", "tension", "zone 80", "80.0 N/mm", "72.0 N/mm", "0.900")
    two = ("wrinkling, inside skin", "hot and wet", "45°", "compression", "zone 40", "40.0 N/mm", "56.0 N/mm")
    assert flat(*head, *one, *two, "1.400") in report


def test_each_bond_with_its_load_and_reserve(report: str) -> None:
    """The four main directions; of the others the least of a skin and condition only where it is less."""
    head = ("Skin", "Along", "Condition", "Load", "Drawn", "Reserve", "Elastic shear peak of each step")
    rows = (
        ("outside", "0°", "room", "11.0 N/mm", "1.120", "3.410", "P1 5 MPa P2 10 MPa", "33.4 mm"),
        ("outside", "0°", "hot and wet", "12.0 N/mm", "1.230", "3.920", "P1 6 MPa P2 12 MPa", "33.9 mm"),
        ("inside", "90°", "room", "reason k"),
        ("inside", "15°", "room", "15.0 N/mm", "1.560", "2.210", "P1 9 MPa P2 18 MPa", "32.2 mm"),
        ("inside", "45°", "hot and wet", "13.0 N/mm", "1.340", "2.620", "P1 7 MPa P2 14 MPa", "32.6 mm"),
    )
    assert flat(*head, "Lightly stressed", *(c for row in rows for c in row), "Load ground") in report


def test_peel_and_pull_each_with_its_own_reserve(report: str) -> None:
    head = ("Skin", "Along", "Condition", "Peel", "Reserve", "Skin on core", "Reserve")
    one = ("outside", "90°", "room", "1.31 MPa", "4.730", "2.42 MPa", "6.950")
    unsure = (
        "1.75 MPa",
        "NOT RESOLVED: 1.57 MPa on the mesh before",
        "5.270",
        "2.86 MPa",
        "NOT CHECKED: lack n",
    )
    two = ("inside", "45°", "room", *unsure)
    three = (
        "inside", "0°", "hot and wet", "1.53 MPa", "5.060", "2.64 MPa", "7.170",
        "inside", "15°", "hot and wet", "1.64 MPa", "4.950", "2.75 MPa", "7.280",
        "inside", "30°", "hot and wet", "1.65 MPa", "5.280", "2.76 MPa", "7.060",
    )  # fmt: skip
    assert flat(*head, *one, *two, *three, "Elastic;") in report
    assert flat("lack m") not in report


def test_each_mode_has_the_worst_of_the_repair_and_the_sound_panel(report: str) -> None:
    head = ("Case", "Condition", "Mode", "Place", "Repaired", "Where", "Sound")
    one = (
        "gust",
        "hot and wet",
        "wrinkling",
        "upper face",
        "1.950 ± 1.1 %",
        "under the patch",
        "2.370 ± 1.3 %",
    )
    two = (
        "landing",
        "room",
        "core shear",
        "upper face",
        "1.260 ± 1.5 %",
        "edge of the plug",
        "1.590 ± 1.6 %",
    )
    unsure = ("3.150", "NOT RESOLVED: 2.87 on the grid before")
    three = ("landing", "room", "crimping", "upper face", *unsure, "just outside the patch", "reason s")
    assert flat(*head, *one, *two, *three) in report


def test_the_largest_ratios_stand_with_their_case_and_edge(report: str) -> None:
    head = ("Case", "What", "Largest", "Estimated error", "Where")
    one = ("gust", "strain", "1.870", "± 2.1 %", "near the plug")
    two = ("landing", "core shear", "2.080", "NOT RESOLVED: 1.93 on the grid before", "near the patch")
    assert flat(*head, *one, *two, "Mass and balance") in report


def test_loads_mass_and_changes(report: str) -> None:
    assert flat("Case", "Where from", "gust", "place 1", "landing", "place 2") in report
    assert flat("Mass added, plies laid less plies cut out: ", "68.4 g.") in report
    assert flat("Moment about the hinge line: ", "0.510 N m, limit ", "2.300 N m.") in report
    one, two = ("thicker", "1.260", "1.610", "core shear"), ("wider", "1.270", "1.520", "crimping")
    assert flat("Change", "Now", "Then", "Of what", *one, *two) in report
    assert flat("NOT CHECKED", "thing q") in report


def test_properties_stand_with_their_names(report: str) -> None:
    """Of core, cloth and paste as the document gives them: no two alike."""
    head = ("Material", "Condition", "Values", "Source")
    assert flat(*head) in report
    core = "GL 40 MPa, GW 25 MPa, Ez 138 MPa, FL 1.2 MPa, FW 700 kPa, crush 2.2 MPa"
    assert flat("demo-aramid-48", "room; hot and wet x 0.7", core) in report
    room = "E1 61 GPa, E2 54 GPa, G12 4.3 GPa, nu12 0.07; "
    room += "Xt 710 MPa, Xc 560 MPa, Yt 680 MPa, Yc 530 MPa, S 91 MPa"
    assert flat("demo-carbon-plain", "room", room, "invented for this demonstration") in report
    wet = "E1 57 GPa, E2 49 GPa, G12 2.7 GPa, nu12 0.06; "
    wet += "Xt 620 MPa, Xc 340 MPa, Yt 590 MPa, Yc 320 MPa, S 48 MPa"
    assert flat("demo-carbon-plain", "hot and wet", wet, "invented for this demonstration") in report
    paste = "G 600 MPa, yield in shear 30 MPa, peel 20 MPa, modulus across the layer not given"
    paste += ", flatwise to core 4 MPa, plastic strain 0.3"
    assert flat("demo-paste", "room; hot and wet x 0.6", paste) in report
