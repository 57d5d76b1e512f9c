"""Curved panels in a plan: what is asked, what is refused, and every limit just inside and just outside."""

from __future__ import annotations

import math
import re

import pytest

from curved_documents import CURVED, SMALL, codes, document, run
from examples_here import case_from, sound
from panelmend.document import parse
from panelmend.errors import DocumentError, InputError
from panelmend.job.curved_darts import darts_of, strain_left, strips_needed
from panelmend.shapes import clearance, rectangle
from panelmend.shapes.torus import Torus
from panelmend.units import DEGREE


def test_a_panel_that_nobody_called_flat_is_asked_about() -> None:
    """Silent before: a document without a radius planned without a word."""
    asked = sound().replace('surface = "flat"\n', "")
    assert 'surface = "flat"' in sound()
    assert "P121" in codes(asked)
    assert not codes(sound()) & (CURVED | {"P130"})
    assert next(f for f in run(asked)[2] if f.code == "P121").severity.value == "confirm"


def test_one_radius_without_a_word_on_the_other_is_asked_about() -> None:
    assert "P132" in codes(document(second=None, said=""))
    assert not codes(document(second=None, said="single")) & CURVED
    assert "P132" not in codes(document(said=""))  # two radii speak for themselves


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (sound().replace('surface = "flat"', 'surface = "single"'), "no radius is typed"),
        (sound().replace('surface = "flat"', 'surface = "double"'), "no radius is typed"),
        (document(second=None, said="flat"), "said to be flat, but a radius"),
        (document(second=None, said="double"), "curved both ways, but only one radius"),
        (document(said="single"), "curved one way, but a second radius"),
        (document().replace(', second_bulges = "outside"', ""), "without the side it bulges to"),
        (
            document(second=None).replace('"outside" }', '"outside", second_bulges = "outside" }'),
            "without a second",
        ),
        (
            document().replace("second_radius", 'coordinates = "plan", second_radius'),
            "cannot be measured in plan",
        ),
    ],
)
def test_what_contradicts_itself_is_refused(made: str, words: str) -> None:
    with pytest.raises(DocumentError, match=words):
        parse(made.encode())


def _plan(radius: float) -> str:
    return document(radius, None, said="single").replace(
        'bulges = "outside" }', 'bulges = "outside", coordinates = "plan" }'
    )


@pytest.mark.parametrize(
    ("inside", "outside", "words"),
    [
        # a panel of 900 mm across the axis goes half way round at 900 / pi = 286.479 mm
        (
            document(286.48, None, said="single"),
            document(286.47, None, said="single"),
            "more than half way round",
        ),
        # and along it 1100 mm / pi = 350.141 mm
        (document(600.0, 350.15), document(600.0, 350.13), "more than half way round"),
        # in plan its edge, 450 mm off, stands 60 degrees round at 450 / sin 60 = 519.615 mm
        (_plan(519.62), _plan(519.61), "out of sight in plan"),
    ],
)
def test_radii_that_the_panels_own_size_rules_out(inside: str, outside: str, words: str) -> None:
    parse(inside.encode())
    with pytest.raises(DocumentError, match=words):
        parse(outside.encode())


def test_a_radius_of_40_mm_is_no_radius_for_a_panel_of_400_mm() -> None:
    """Planned in silence before, wrapped one and a half times round."""
    made = document(40.0, None, said="single").replace(
        'length = "1100 mm", width = "900 mm"', 'length = "1100 mm", width = "400 mm"'
    )
    made = re.sub(r"at = \"-120, -410 mm\"", 'at = "-120, -110 mm"', made)
    made = re.sub(r'width = "760 mm"', 'width = "300 mm"', made)
    with pytest.raises(DocumentError, match="more than half way round"):
        parse(made.encode())


def test_thickness_against_radius() -> None:
    """Ten times the thickness of the cowling: 0.25 + 4 x 0.2 + 12 = 13.05 mm."""
    assert "P128" not in codes(document(130.5, None, said="single", **SMALL))
    assert "P128" in codes(document(130.4, None, said="single", **SMALL))


def test_how_far_round_the_repair_goes() -> None:
    """Half a radian of bend on each side of the centre; beyond it one bend is told, two are refused."""
    laid, _, _, _ = run(document(second=None, said="single"))
    reach = 0.5 * laid.sides[0].largest.outline.extent(0.5 * math.pi) * 1e3
    assert "P129" not in codes(document(2.0 * reach + 0.1, None, said="single", **SMALL))
    assert "P129" in codes(document(2.0 * reach - 0.1, None, said="single", **SMALL))
    far = 4e5  # mm along the axis: strain stays small, so that the reach alone is tried
    run(document(2.0 * reach + 0.1, far, **SMALL))
    with pytest.raises(InputError, match=r"goes too far round the double curve.*half the radius"):
        run(document(2.0 * reach - 0.1, far, **SMALL))


def test_strain_that_no_flat_template_can_have_is_refused() -> None:
    """Equal radii: 1 - cos(v / r) passes 3 % at v / r = 0.2456."""
    laid, _, _, _ = run(document(second=None, said="single"))
    reach = 0.5 * laid.sides[0].largest.outline.extent(0.5 * math.pi) * 1e3
    edge = reach / math.acos(0.97)
    more = 'darts = { value = true, place = "x 1" }\n'
    assert "P124" in codes(document(edge + 0.2, edge + 0.2, more=more))
    with pytest.raises(InputError, match=r"strained 3.0\d %; expected at most 3.00 %"):
        run(document(edge - 0.2, edge - 0.2, more=more))


def test_a_strained_template_is_darted_where_the_data_permits_it() -> None:
    laid = run(document())[0]
    most = 100.0 * max(float(b.strain) for b in laid.bent)
    inside, outside = (f'strain_most = {{ value = "{most + d} %", place = "x 1" }}\n' for d in (1e-6, -1e-6))
    allowed = 'darts = { value = true, place = "fig 9" }\n'
    denied = 'darts = { value = false, place = "fig 9" }\n'
    assert not codes(document(more=inside)) & {"P123", "P124"}
    assert "P123" in codes(document(more=outside))
    assert "P123" in codes(document(more=outside + denied))
    darted = codes(document(more=outside + allowed))
    assert "P124" in darted
    assert "P123" not in darted
    assert "P123" in codes(document(more=outside + allowed, bulges="inside"))  # no dart helps on a saddle


def test_shear_of_the_cloth_against_its_limit() -> None:
    """Where the data gives no limit, the tolerance of the plies' angles: 3 degrees here."""
    laid, _, found, ledger = run(document())
    assert laid.shear_most is not None
    assert float(laid.shear_most) == pytest.approx(3.0 * DEGREE)
    worst = max(float(b.shear) for b in laid.bent if b.shear is not None) / DEGREE
    inside, outside = (
        f'shear_most = {{ value = "{worst + d} deg", place = "x 1" }}\n' for d in (1e-5, -1e-5)
    )
    assert "P125" not in codes(document(more=inside))
    assert "P125" in codes(document(more=outside))
    assert ledger.replay() == []
    assert "P125" not in {f.code for f in found}


def test_shear_grows_with_the_warp_off_the_outline_as_curvature_says() -> None:
    """On the bias of a ply of radius a the shear is close to K a^2 / 2."""
    laid, _, _, _ = run(document())
    ply = next(b for b in laid.bent if b.id == "OUT-R3")
    outline = next(p.outline for p in laid.plies if p.id == "OUT-R3")
    reach = 0.25 * (outline.extent(0.0) + outline.extent(0.5 * math.pi))
    assert ply.shear is not None
    assert float(ply.shear) == pytest.approx(0.5 * reach**2 / (0.6 * 2.0), rel=0.1)


def test_the_plug_stands_off_by_its_sagitta() -> None:
    """Half its width squared over twice the radius, and the limit just inside and just outside."""
    filled = run(document(second=None, said="single"))[1]
    assert filled.plug is not None
    assert filled.sagitta is not None
    half = 0.5 * filled.plug.outline.extent(0.5 * math.pi)
    assert float(filled.sagitta) == pytest.approx(half**2 / 1.2, rel=1e-2)
    old = 'sagitta_most = { value = "0.5 mm"'
    limit = float(filled.sagitta) * 1e3
    base = document(second=None, said="single")
    assert "K107" not in codes(base.replace(old, f'sagitta_most = {{ value = "{limit + 1e-6} mm"'))
    assert "K107" in codes(base.replace(old, f'sagitta_most = {{ value = "{limit - 1e-6} mm"'))
    twice = run(document())[1].sagitta
    saddle = run(document(bulges="inside"))[1].sagitta
    assert twice is not None
    assert saddle is not None
    assert float(saddle) > float(twice) >= float(filled.sagitta) - 1e-5


def test_plug_and_cap_keep_to_the_same_limits() -> None:
    filled = run(document())[1]
    most = 100.0 * max(float(b.strain) for b in filled.bent)
    allowed = 'darts = { value = true, place = "x 1" }\n'
    inside, outside = (f'strain_most = {{ value = "{most + d} %", place = "x 1" }}\n' for d in (1e-6, -1e-6))
    assert "K108" not in codes(document(more=inside + allowed))
    assert "K108" in codes(document(more=outside + allowed))


def test_distances_along_the_surface_stop_what_coordinates_let_pass() -> None:
    """The distance to the earlier repair falls short along the surface before it does by coordinates."""
    words = next(
        f.words for f in run(document())[2] if f.code == "P127" and "TAS-24-0092, outside" in f.words
    )
    found = re.search(r"([\d.]+) mm by coordinates, ([\d.]+) mm along", words)
    assert found is not None
    flat, along = float(found[1]), float(found[2])
    assert along < flat
    old = 'repair_distance = { value = "60 mm"'
    assert "P126" not in codes(document().replace(old, f'repair_distance = {{ value = "{along - 0.2} mm"'))
    assert "P126" in codes(document().replace(old, f'repair_distance = {{ value = "{along + 0.2} mm"'))


def test_darts_lie_in_the_piece_and_take_what_it_is_too_long_by() -> None:
    surface, piece = Torus(0.6, 2.0, 1, 0.3), rectangle((0.2, 0.1), 0.4, 0.4, 0.3)
    darts = darts_of(piece, (0.2, 0.1), surface, 0.01, 3)
    assert len(darts) == 6
    lost = 0.3 * (1.0 - math.cos(0.2 / 0.6)) * 0.4
    assert sum(d.width for d in darts) == pytest.approx(2.0 * lost, rel=1e-9)
    grown = rectangle((0.2, 0.1), 0.4 + 1e-6, 0.4 + 1e-6, 0.3)
    for dart in darts:
        assert dart.outline.area == pytest.approx(0.5 * dart.width * dart.depth)
        assert all(grown.contains((v.x, v.y)) for v in dart.outline.vertices)
        assert clearance(dart.outline, piece).overlaps
    place = {"outline": piece, "x": 0.2, "y": 0.1, "axis": 0.3, "radius": 0.6, "second": 2.0, "sense": 1}
    assert strain_left(**place, most=0.01, darts=3) <= 0.01 + 1e-12
    assert strain_left(**place, most=0.01, darts=0) == pytest.approx(lost / 0.4)


def test_faces_of_a_double_bend_are_carried_along_both_radii() -> None:
    """The far face is (R - t) / R of the near one in each direction, the other way on a saddle."""
    for bulges, sense in (("outside", 1), ("inside", -1)):
        laid, _, _, _ = run(document(bulges=bulges))
        near, far = laid.sides[0].cutout, laid.sides[1].cutout
        assert far.extent(0.5 * math.pi) / near.extent(0.5 * math.pi) == pytest.approx(
            1.0 - 13.05 / 600.0, abs=2e-4
        )
        assert far.extent(0.0) / near.extent(0.0) == pytest.approx(1.0 - sense * 13.05 / 2000.0, abs=2e-4)


def test_a_radius_that_leaves_no_inner_skin_is_refused() -> None:
    """The cowling is 13.05 mm thick, 12 mm of it core; a strip of it may be that narrow, never that bent."""
    narrow = {
        r'width = "900 mm", corner_radius = "50 mm"': 'width = "40 mm"',
        r'edge_band = "40 mm"': 'edge_band = "0 mm"',
        r'at = "-120, -410 mm"': 'at = "-120, -10 mm"',
    }
    with pytest.raises(DocumentError) as caught:
        parse(document(13.0, None, said="single", **narrow).encode())
    assert any("curved more tightly than the panel is thick" in f.sentence() for f in caught.value.faults)
    with pytest.raises(
        DocumentError
    ) as caught:  # the damage lies outside so narrow a strip, the bend is right
        parse(document(13.1, None, said="single", **narrow).encode())
    assert not any("bent" in f.sentence() for f in caught.value.faults)


def test_shapes_behind_and_beside_are_held_to_the_limb_in_plan() -> None:
    """A frame 380 mm either way of the axis, radius 600 mm: 60 degrees round is 519.6 mm."""
    tall = {r'width = "760 mm"': 'width = "1038 mm"'}
    made = _plan(600.0)
    parse(re.sub(*next(iter(tall.items())), made).encode())
    with pytest.raises(DocumentError, match=r"structure.*out of sight in plan"):
        parse(made.replace('width = "760 mm"', 'width = "1042 mm"').encode())


def test_coordinates_far_off_the_axis_line_stop_the_plan() -> None:
    """Silent before, or a caution: (r / R) (1 - cos(v / r)) passes 1 % at the repair's centre."""
    lower = {r'"40, -60 mm"': '"40, -120 mm"', r'"42, -58 mm"': '"42, -118 mm"'}
    laid = run(document(2000.0, 2000.0, **lower))[0]
    off = abs(laid.sides[0].centre[1]) * 1e3
    assert 110.0 < off < 130.0
    edge = off / math.acos(0.99)  # equal radii
    for bulges in ("outside", "inside"):
        assert "P133" not in codes(document(edge + 1.0, edge + 1.0, bulges, **lower))
        assert "P133" in codes(document(edge - 1.0, edge - 1.0, bulges, **lower))


def test_one_way_cloth_on_a_double_bend_is_told_by_its_weave() -> None:
    """Never told before: it went by ``one_way``, which only says that a warp may not be turned round."""
    old, new = 'weave = "satin"', 'weave = "unidirectional"\nhas_face = false'
    laid, _, found, _ = run(document().replace(old, new))
    assert {f.words.split(",")[0] for f in found if f.code == "P131"} >= {"OUT-R3"}
    assert next(b for b in laid.bent if b.id == "OUT-R3").shear is None
    assert next(b for b in laid.bent if b.id == "OUT-R3").cloth
    directed, _, found, _ = run(document().replace(old, old + "\none_way = true"))
    assert "P131" not in {f.code for f in found}
    assert next(b for b in directed.bent if b.id == "OUT-R3").shear is not None
    assert "P131" not in codes(document(second=None, said="single").replace(old, new))


def test_a_caul_or_pad_is_told_of_only_where_a_cure_names_one() -> None:
    """Told before for every curved panel, whatever the cures say."""
    made = document(second=None, said="single")
    told = [f for f in run(made)[2] if f.code == "P130"]
    assert len(told) == 2
    assert any("curved caul on the inside, radius 585 mm" in f.words for f in told)
    none = re.sub(r"pressure_aid = \{[^}]*\}\n", "", made)
    assert none != made
    assert "P130" not in codes(none)


def test_templates_to_mark_by_and_plugs_take_no_darts() -> None:
    """Said to be darted before, with wedges that were never drawn."""
    more = 'strain_most = { value = "0.05 %", place = "x 1" }\ndarts = { value = true, place = "x 1" }\n'
    laid, filled, found, _ = run(document(more=more))
    marked = [b for b in (*laid.bent, *filled.bent) if not b.cloth]
    assert {b.id for b in marked} == {"OUT-CUT", "IN-CUT", "PLUG", "CAP-1"}
    assert not any(b.darts for b in marked)
    assert any(b.darts for b in laid.bent)
    assert [f for f in found if f.code == "P124"]
    assert not any(b.id in f.words for b in marked for f in found if f.code == "P124")
    assert any("OUT-CUT" in f.words and "takes no darts" in f.words for f in found if f.code == "P123")


def test_strips_of_a_split_template_fit_and_one_fewer_does_not() -> None:
    for sense in (1, -1):
        place = {"x": 0.0, "y": 0.0, "axis": 0.2, "radius": 0.6, "second": 2.0, "sense": sense, "most": 0.002}
        piece = rectangle((0.0, 0.0), 0.4, 0.4, 0.2)
        count = strips_needed(outline=piece, **place)
        strain = [(0.2 / n) ** 2 / (2.0 * 0.6 * 2.0) for n in (count - 1, count)]
        assert strain[1] <= 0.002 < strain[0]
        assert strips_needed(outline=piece, **{**place, "most": 0.02}) == 1


def test_single_places_and_readings_are_held_to_the_limb_in_plan() -> None:
    """A hinge beyond the limb was refused without its line, one between 60 and 90 degrees was taken."""
    hinge = '[panel.hinge]\nstart = "0, {0} mm"\nend = "100, {0} mm"\n\n[[panel.structure]]'
    made = _plan(600.0)
    parse(made.replace("[[panel.structure]]", hinge.format(-519.6), 1).encode())
    for far in (-519.7, -700):
        with pytest.raises(DocumentError, match=r"panel.hinge.start.*out of sight in plan"):
            parse(made.replace("[[panel.structure]]", hinge.format(far), 1).encode())


def test_a_reading_near_the_limb_names_itself() -> None:
    """A range error without its place before."""
    sweep = (
        '[survey]\n[[survey.sweep]]\nkind = "tap"\nside = "outside"\nunit = "mm"\nreadings = [{}]\n\n[data]\n'
    )
    rows = [
        f"[{x}, {y}, {int(abs(x - 40) < 45 and abs(y + 60) < 35)}]"
        for x in range(-60, 141, 20)
        for y in range(-160, 41, 20)
    ]
    made = _plan(600.0)
    for far, refused in ((519.6, False), (519.7, True), (700.0, True)):
        whole = made.replace("[data]\n", sweep.format(", ".join([*rows, f"[0, {far}, 0]"])), 1)
        if refused:
            with pytest.raises(
                InputError, match=r"reading lies too near.*survey, outside|survey, outside.*too near"
            ):
                case_from(whole)
        else:
            case_from(whole)
