"""Photographs of known truth, rendered small: print read back, places, error bars, hidden ground."""

from __future__ import annotations

import math
from pathlib import Path

import cv2
import numpy as np
import pytest

from made_camera import Shot, random_shot
from made_panel import MARK_SIDE, Dot, Scene, scene
from made_photo import jpeg, render
from panelmend.errors import ReadingError
from panelmend.photo import MarksFile, Measured, Picture, decoded, measure, parse_places
from panelmend.photo.finding import find_marks
from panelmend.photo.ink import Doubt
from panelmend.photo.sheet import CARD
from panelmend.render.marks import marks_sheets


def places_of(s: Scene, rng: np.random.Generator | None = None, **more: object) -> MarksFile:
    """The file of a scene's marks, with the errors of a person with a ruler if ``rng`` is given."""
    lines = ['side = "outside"', 'seen_from = "outside"', f'mark_side = "{MARK_SIDE:g} mm"']
    lines += [f'{k} = "{v}"' for k, v in more.items()]
    if s.radius:
        lines += [
            "[surface]",
            f'radius = "{s.radius} mm"',
            f'axis = "{math.degrees(s.axis)} deg"',
            f'bulges = "{"outside" if s.towards > 0 else "inside"}"',
        ]
    for n, (x, y, _) in s.marks.items():
        if n == CARD:
            continue
        dx, dy = rng.normal(0, 0.5, 2) if rng is not None else (0.0, 0.0)
        lines += ["[[mark]]", f"number = {n}", f'at = "{x + dx} mm, {y + dy} mm"']
    return parse_places("\n".join(lines).encode())


def taken(s: Scene, shot: Shot, rng: np.random.Generator, family: str = "near") -> Picture:
    return decoded(jpeg(render(s, shot, rng, family), shot.quality), f"{family}.jpg")


def judged(m: Measured, s: Scene) -> tuple[np.ndarray, np.ndarray, list[int]]:
    """Errors [mm] of the dots found for sure, their 95 % radii, and the dots not found; none may be wrong."""
    truth = np.array([d.at for d in s.dots])
    errors, radii, left = [], [], set(range(len(truth)))
    for spot in m.spots:
        if spot.doubt or spot.outline:
            continue
        off = np.hypot(*(truth - 1e3 * np.array(spot.at)).T)
        i = int(off.argmin())
        assert off[i] < 4.0, f"{spot.id} at {spot.at}: there is no dot"
        assert s.dots[i].kind == spot.meaning
        assert i in left, f"{spot.id}: the same dot twice"
        left.discard(i)
        errors.append(off[i])
        radii.append(1e3 * spot.radius)
    return np.array(errors), np.array(radii), sorted(left)


@pytest.mark.parametrize(("family", "seed"), [("near", 3), ("far", 4)])
def test_dots_come_back_within_a_millimetre_and_their_error_bars_hold(family: str, seed: int) -> None:
    rng = np.random.default_rng(seed)
    s = scene(rng, family=family, paint="primer", count=8, scale=4, card=True, inks=("red", "blue", "red"))
    shot = random_shot(rng, family, mega=2.0)
    shot.glare = 0.0
    m = measure((taken(s, shot, rng, family),), places_of(s, rng), {})
    errors, radii, left = judged(m, s)
    assert not left
    assert np.sqrt(np.mean(errors**2)) < 1.0
    assert errors.max() < 2.5
    assert np.mean(errors < radii) > 0.9
    assert radii.max() < 3.0, "an error bar that holds because it is wide holds nothing"


def test_what_glare_hides_is_said_and_a_second_picture_shows_it() -> None:
    rng = np.random.default_rng(11)
    s = scene(rng, paint="grey", count=6, scale=4, dots=25, inks=("red", "blue", "red"))
    at = (s.dots[0].at[0] / 600, s.dots[0].at[1] / 400)
    one = Shot(tilt=15, width=1600, height=1200, glare=3.0, glare_at=at, glare_size=14)
    other = Shot(tilt=20, round=140, width=1600, height=1200)
    first, second = taken(s, one, rng), taken(s, other, rng)
    pens = {"dull": "red", "sound": "blue"}
    m = measure((first,), places_of(s), pens)
    _, _, left = judged(m, s)
    assert 0 in left
    hidden = [f for f in m.spots if f.doubt is Doubt.GLARE]
    assert any(math.dist(f.at, np.array(s.dots[0].at) / 1e3) < 0.5 * f.across + 0.005 for f in hidden)
    both = measure((first, second), places_of(s), pens)
    _, _, left = judged(both, s)
    assert not left
    assert not both.doubtful


def test_dots_that_go_on_under_a_mark_s_paper_are_asked_for() -> None:
    """Centres from 2 mm under the paper's edge to 20 mm clear: none that is cut is taken as it looks."""
    bare = scene(np.random.default_rng(1), count=6, dots=0, curl=0.3, scale=4)
    given = []
    for (x, y, turn), far in zip(bare.marks.values(), (-2.0, -1.0, 0.0, 1.0, 2.0, 20.0), strict=True):
        c, si = math.cos(turn), math.sin(turn)
        u, v = (30.0 + far) * (1 if x < 300 else -1), 8.0 * (1 if y < 200 else -1)
        given.append(Dot("dull", (x + c * u - si * v, y + si * u + c * v)))
    s = scene(np.random.default_rng(1), count=6, dots=0, curl=0.3, scale=4, given=given)
    shot = Shot(tilt=20, round=60, width=2000, height=1500)
    m = measure((taken(s, shot, np.random.default_rng(2)),), places_of(s), {"dull": "red", "sound": "blue"})
    for dot, clear in zip(s.dots, (False,) * 5 + (True,), strict=True):
        spot = min(m.spots, key=lambda f: math.dist(f.at, np.array(dot.at) / 1e3))
        off = math.dist(spot.at, np.array(dot.at) / 1e3)
        assert off < max(0.001, spot.radius)
        assert bool(spot.doubt) != clear


def test_a_veil_of_light_that_saturates_nothing_is_named() -> None:
    rng = np.random.default_rng(5)
    s = scene(rng, count=6, paint="grey", scale=4, inks=("red", "blue", "red"))
    shot = Shot(
        tilt=20,
        round=60,
        width=1600,
        height=1200,
        glare=0.6,
        glare_size=100,
        exposure=0.5,
        glare_at=(0.5, 0.5),
    )
    picture = taken(s, shot, rng)
    m = measure((picture,), places_of(s), {"dull": "red", "sound": "blue"})
    _, _, left = judged(m, s)
    assert left
    asked = [(np.array(f.at) * 1e3, 6.0 + 500.0 * f.across) for f in m.doubtful]
    for i in left:
        assert any(math.dist(at, s.dots[i].at) < reach for at, reach in asked), s.dots[i]


@pytest.mark.parametrize(("tilt", "taken_"), [(46.0, True), (54.0, False)])
def test_a_picture_taken_too_steeply_is_refused(tilt: float, taken_: bool) -> None:
    rng = np.random.default_rng(9)
    s = scene(rng, count=6, scale=4, dots=4, inks=("red", "blue", "red"))
    picture = taken(s, Shot(tilt=tilt, round=80, width=2000, height=1500), rng)
    if taken_:
        assert measure((picture,), places_of(s), {"dull": "red", "sound": "blue"}).spots
    else:
        with pytest.raises(ReadingError, match="degrees from square on"):
            measure((picture,), places_of(s), {"dull": "red", "sound": "blue"})


def test_a_line_round_the_damage_comes_back_as_its_middle() -> None:
    rng = np.random.default_rng(21)
    s = scene(rng, paint="white", count=6, scale=4, dots=12, line=True, inks=("red", "blue", "red"))
    shot = Shot(tilt=25, width=1600, height=1200, shade=0.5)
    m = measure((taken(s, shot, rng),), places_of(s), {"dull": "red", "sound": "blue"})
    assert s.line is not None
    line = next(f for f in m.spots if f.meaning == "line")
    assert not line.doubt
    dense = np.vstack([np.linspace(a, b, 20) for a, b in zip(s.line, np.roll(s.line, -1, 0), strict=True)])
    off = [np.min(np.hypot(*(dense - 1e3 * np.array(p)).T)) for p in line.outline]
    assert max(off) < 1.0


@pytest.mark.parametrize(("radius", "towards"), [(700.0, 1.0), (1200.0, -1.0)])
def test_a_curved_panel_is_developed(radius: float, towards: float) -> None:
    rng = np.random.default_rng(int(radius))
    s = scene(
        rng, count=8, scale=4, dots=20, radius=radius, axis=0.4, towards=towards, inks=("red", "blue", "red")
    )
    m = measure(
        (taken(s, Shot(tilt=12, width=1600, height=1200), rng),),
        places_of(s, rng),
        {"dull": "red", "sound": "blue"},
    )
    errors, _, left = judged(m, s)
    assert not left
    assert np.sqrt(np.mean(errors**2)) < 1.2
    assert errors.max() < 2.5


def test_a_flat_fit_of_a_curved_panel_is_refused() -> None:
    """The marks of a bent panel told as flat contradict each other."""
    rng = np.random.default_rng(5)
    s = scene(rng, count=8, scale=4, dots=5, radius=500.0, axis=0.0, inks=("red", "blue", "red"))
    picture = taken(s, Shot(tilt=20, round=80, width=1600, height=1200), rng)
    s.radius = 0.0
    with pytest.raises(ReadingError, match=r"contradict|lies|swapped"):
        measure((picture,), places_of(s), {"dull": "red", "sound": "blue"})


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_printed_marks_are_read_back_at_their_size(paper: str, tmp_path: Path) -> None:
    from panelmend.render.marks import PAPERS

    ppi = 200.0
    pages = marks_sheets(range(1, 9), [101, 102], 0.04, PAPERS[paper]).png(ppi)
    read = {}
    for page in pages:
        shown = cv2.imdecode(np.frombuffer(page, np.uint8), cv2.IMREAD_COLOR)
        data = cv2.imencode(".png", shown)[1].tobytes()
        for m in find_marks(decoded(data, "page.png")):
            read[m.number] = m
    assert sorted(read) == [0, *range(1, 9), 101, 102]
    for m in read.values():
        sides = np.linalg.norm(m.corners - np.roll(m.corners, 1, axis=0), axis=1) * 25.4 / ppi
        assert sides == pytest.approx(40.0, abs=0.2)
        assert m.corners[0, 1] < m.corners[3, 1], "it stands upright on the page"


def test_a_mark_seen_at_28_degrees_comes_back_square() -> None:
    """A square seen at 28 degrees looks 44 x 50: laid flat it is square again (checks: a forum's case)."""
    rng = np.random.default_rng(8)
    s = scene(rng, count=6, scale=4, dots=2, curl=0.0, inks=("red", "blue", "red"))
    m = measure(
        (taken(s, Shot(tilt=28, round=90, width=1600, height=1200), rng),),
        places_of(s),
        {"dull": "red", "sound": "blue"},
    )
    view, face = m.fitted.view(0), m.fitted.setup.face
    narrow = []
    for mark in m.fitted.shots[0].marks:
        q = 1e3 * view.onto(face, mark.corners, m.fitted.mark(mark.number)[:2])
        sides = np.linalg.norm(q - np.roll(q, 1, axis=0), axis=1)
        seen = np.linalg.norm(mark.corners - np.roll(mark.corners, 1, axis=0), axis=1)
        narrow.append(seen.min() / seen.max())
        assert sides == pytest.approx(MARK_SIDE, abs=0.5)
    assert min(narrow) < 0.93
