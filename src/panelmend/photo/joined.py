"""From the pictures to points in the panel's axes, each with its uncertainty; several pictures made one."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from panelmend.errors import InputError
from panelmend.photo.camera import Array, Face
from panelmend.photo.colours import Pen, named_pen, pens_on_card, pens_told_apart, white_of
from panelmend.photo.finding import find_marks
from panelmend.photo.first_camera import Setup, Shot
from panelmend.photo.fit import Fitted
from panelmend.photo.ink import Doubt, InkMark
from panelmend.photo.inks import find_inks
from panelmend.photo.judge import DOUBTED, RADIUS_TOLD, agreed, few, largest_radius, radius_95, ratios, unseen
from panelmend.photo.pictures import Picture
from panelmend.photo.places import Item, MarksFile
from panelmend.photo.rectify import Rectified, rectified
from panelmend.photo.sheet import CARD, POINTER

SAME_DOT = 0.003  # [m] dots nearer than this in two pictures are the same
LOOKED_AT_BEYOND = 0.035  # [m] beyond the marks that is looked at and drawn
PIXEL_ERROR = 0.3  # [picture elements] of a dot's middle


@dataclass(frozen=True)
class FoundSpot:
    """Something found, in the panel's axes [m].

    ``radius`` holds 95 % [m]; ``outline`` of a line that goes round; ``pictures`` in how many it was seen.
    """

    id: str
    meaning: str
    at: tuple[float, float]
    across: float
    radius: float
    doubt: Doubt = Doubt.NONE
    outline: tuple[tuple[float, float], ...] = ()
    pictures: int = 1


@dataclass(frozen=True)
class Sat:
    """Where an item really sits: its points in the panel's axes with the radius that holds 95 % [m]."""

    item: Item
    points: tuple[tuple[float, float], ...]
    radii: tuple[float, ...]
    missing: tuple[int, ...]


@dataclass(frozen=True)
class Measured:
    """What the pictures gave. ``spots`` and ``items`` in the panel's axes; ``flats`` as looked at."""

    places: MarksFile
    fitted: Fitted
    pens: dict[str, Pen]
    spots: tuple[FoundSpot, ...]
    items: tuple[Sat, ...]
    flats: tuple[Rectified, ...]
    notes: tuple[str, ...]

    @property
    def sign(self) -> float:
        """-1 where the panel's axes look mirrored on the face that was photographed."""
        return turned_over(self.places)

    @property
    def doubtful(self) -> tuple[FoundSpot, ...]:
        """What must be looked at before anything is used."""
        return tuple(s for s in self.spots if s.doubt)


def turned_over(places: MarksFile) -> float:
    """-1 where axes drawn from one side are looked at from the other: y is turned over for the fit."""
    return 1.0 if places.side == places.seen_from else -1.0


def setup_of(places: MarksFile) -> Setup:
    """The file of marks in the axes of the face as looked at."""
    sign = turned_over(places)
    face = Face()
    if places.surface is not None:
        s = places.surface
        face = Face(s.radius, sign * s.axis, 1.0 if s.bulges == places.side else -1.0)
    return Setup(
        face,
        {m.number: (m.at[0], sign * m.at[1]) for m in places.mark},
        tuple(n for i in places.item for n in i.numbers),
        places.mark_side,
        places.place_error,
        places.flatness,
    )


def measure(
    pictures: tuple[Picture, ...], places: MarksFile, pens: dict[str, str], look_for_inks: bool = True
) -> Measured:
    """Everything the pictures hold.

    Args:
        pictures: one or more of the same face with the same marks.
        places: where the marks are.
        pens: colour names by meaning (dull, sound, line) for pens that are not on the card.
        look_for_inks: whether dots and lines are wanted, or the items alone.

    Raises:
        InputError: no pens known, or pens that look alike.
        ReadingError: marks or camera not good enough.
    """
    twice = [p.name for i, p in enumerate(pictures) if any(p.digest == q.digest for q in pictures[:i])]
    if twice:
        raise InputError("the same picture is given twice", read=twice[0])
    setup = setup_of(places)
    known = set(setup.placed) | set(setup.free) | {CARD}
    shots, notes = [], []
    for p in pictures:
        marks = find_marks(p)
        strange = [m.number for m in marks if m.number not in known and m.number not in places.other]
        if strange:
            raise InputError(
                "marks are in the picture that the file of marks does not name: another panel?",
                where=p.name,
                read=", ".join(map(str, strange)),
                todo="cover them, or name them in the file (mark, item or other)",
            )
        shots.append(Shot(p.name, tuple(m for m in marks if m.number in known), *p.size, p.from_camera))
        if not p.from_camera:
            notes.append(
                f"{p.name}: the file names no camera: a screenshot or a picture that was sent on? "
                "The camera's own file measures better"
            )
    fitted = agreed(setup, tuple(shots))
    seen = {m.number for s in shots for m in s.marks}
    lost = sorted(set(setup.placed) - seen)
    if lost:
        notes.append(f"not found in any picture: mark {', '.join(map(str, lost))}")
    for n, ratio in ratios(fitted).items():
        if ratio > DOUBTED:
            far = 1e3 * fitted.left_out[n][0]
            notes.append(f"mark {n} lies {far:.1f} mm from where the others put it: measure it again")
    if few(fitted):
        notes.append(
            f"four measured marks: one measured up to {1e3 * unseen(fitted):.0f} mm wrongly may be missed, "
            "and moves points by as much; five or more name it"
        )
    wide = largest_radius(fitted)
    if wide > RADIUS_TOLD:
        notes.append(f"at the worst place of the field a point is known to {1e3 * wide:.1f} mm only (95 %)")
    # placed on the face as looked at
    at = np.array(list(setup.placed.values()))
    low, high = at.min(0) - LOOKED_AT_BEYOND, at.max(0) + LOOKED_AT_BEYOND
    flats = tuple(rectified(p, fitted.view(k), setup.face, low, high) for k, p in enumerate(pictures))
    found: list[list[InkMark]] = []
    used: dict[str, Pen] = {}
    if look_for_inks:
        whites = [white_of(p, fitted, k) for k, p in enumerate(pictures)]
        for p, w in zip(pictures, whites, strict=True):
            if not w.known:
                notes.append(f"{p.name}: white paper over- or underexposed; the camera's own white was used")
        cards = [pens_on_card(p, fitted, k, whites[k]) for k, p in enumerate(pictures)]
        shared = {k: v for c in cards for k, v in c.items()}
        for k in range(len(pictures)):
            mine = {m: named_pen(m, name) for m, name in pens.items()} | shared | cards[k]
            if not {"dull", "sound", "line"} & set(mine):
                raise InputError(
                    "no pen is known",
                    where=pictures[k].name,
                    expected="each pen tried in its box on the card, or its colour named",
                )
            mine = pens_told_apart(mine)
            used |= mine
            found.append(list(find_inks(flats[k], fitted, whites[k], mine)))
    spots = _joined(fitted, found)
    sign = turned_over(places)
    return Measured(
        places,
        fitted,
        used,
        tuple(_numbered([_mirrored(s, sign) for s in spots])),
        tuple(_sat(i, fitted, sign) for i in places.item),
        flats,
        tuple(notes),
    )


def _mirrored(s: FoundSpot, sign: float) -> FoundSpot:
    if sign > 0:
        return s
    return replace(s, at=(s.at[0], -s.at[1]), outline=tuple((x, -y) for x, y in s.outline))


def _numbered(spots: list[FoundSpot]) -> list[FoundSpot]:
    """Ids by meaning, row by row from the top."""
    order = sorted(spots, key=lambda s: (s.meaning, -round(s.at[1] / 0.02), s.at[0]))
    counts: dict[str, int] = {}
    made = []
    for s in order:
        counts[s.meaning] = counts.get(s.meaning, 0) + 1
        made.append(replace(s, id=f"{s.meaning}-{counts[s.meaning]}"))
    return made


def _sat(item: Item, fitted: Fitted, sign: float) -> Sat:
    points, radii, missing = [], [], []
    for n in item.numbers:
        if n not in fitted.numbers:
            missing.append(n)
            continue
        at, c = fitted.tip(n, (0.0, POINTER))
        points.append((float(at[0]), sign * float(at[1])))
        radii.append(float(radius_95(c[None])[0]))
    return Sat(item, tuple(points), tuple(radii), tuple(missing))


def _joined(fitted: Fitted, found: list[list[InkMark]]) -> list[FoundSpot]:
    """Dots of several pictures matched; what one picture hides another may show."""
    spots: list[tuple[FoundSpot, list[tuple[int, InkMark, Array]]]] = []
    hidden = [[f for f in inks if f.meaning == "hidden"] for inks in found]
    for k, inks in enumerate(found):
        points = [f for f in inks if f.meaning != "hidden"]
        if not points:
            continue
        at = np.array([f.at for f in points])
        own = np.array([f.error for f in points])
        covariances = fitted.errors(k, at, PIXEL_ERROR) + own[:, None, None] ** 2 * np.eye(2)
        for f, c in zip(points, covariances, strict=True):
            reach = (
                SAME_DOT
                + 2.0 * float(np.sqrt(np.linalg.eigvalsh(c)[1]))
                + (0.5 * f.across if f.outline else 0.0)
            )
            best = min(
                (g for g in spots if bool(g[0].outline) == bool(f.outline) and all(m[0] != k for m in g[1])),
                key=lambda g: np.hypot(g[0].at[0] - f.at[0], g[0].at[1] - f.at[1]),
                default=None,
            )
            if best is not None and np.hypot(best[0].at[0] - f.at[0], best[0].at[1] - f.at[1]) <= reach:
                best[1].append((k, f, c))
            else:
                spots.append((FoundSpot("", f.meaning, f.at, f.across, 0.0, f.doubt, f.outline), [(k, f, c)]))
    made = [_one(s, members, hidden, len(found)) for s, members in spots]
    for k, areas in enumerate(hidden):
        for f in areas:
            others = [j for j in range(len(found)) if j != k]
            if any(not _hides(hidden[j], f.at, 0.5 * f.across) for j in others):
                continue  # another picture shows this ground
            if k and any(
                np.hypot(s.at[0] - f.at[0], s.at[1] - f.at[1]) < 0.5 * f.across
                for s in made
                if s.meaning == "hidden"
            ):
                continue
            made.append(FoundSpot("", "hidden", f.at, f.across, 0.0, f.doubt))
    return made


def _hides(areas: list[InkMark], at: tuple[float, float], reach: float) -> bool:
    return any(np.hypot(a.at[0] - at[0], a.at[1] - at[1]) < 0.5 * a.across + reach for a in areas)


def _one(
    spot: FoundSpot, members: list[tuple[int, InkMark, Array]], hidden: list[list[InkMark]], pictures: int
) -> FoundSpot:
    inverses = [np.linalg.inv(c) for _, _, c in members]
    total = np.linalg.inv(np.sum(inverses, axis=0))
    at = total @ np.sum([i @ np.array(f.at) for i, (_, f, _) in zip(inverses, members, strict=True)], axis=0)
    # the marks' measured places are shared by all pictures: more of them are not taken to shrink the error
    least = min((c for _, _, c in members), key=lambda c: float(np.trace(c)))
    meanings = {f.meaning for _, f, _ in members if f.meaning != "unknown"}
    doubts = [f.doubt for _, f, _ in members]
    doubt = (
        Doubt.NONE if Doubt.NONE in doubts and Doubt.COLOUR not in doubts else next(d for d in doubts if d)
    )
    if len(meanings) > 1:
        meaning, doubt = "unknown", Doubt.COLOUR
    else:
        meaning = next(iter(meanings), "unknown")
    seen = {k for k, _, _ in members}
    blind = [k for k in range(pictures) if k not in seen and not _hides(hidden[k], spot.at, 0.004)]
    if blind and not doubt:
        doubt = Doubt.ONE
    best = min(members, key=lambda m: float(np.trace(m[2])))[1]
    return replace(
        spot,
        meaning=meaning,
        at=(float(at[0]), float(at[1])),
        across=best.across,
        radius=float(radius_95(least[None])[0]),
        doubt=doubt,
        outline=best.outline,
        pictures=len(members),
    )
