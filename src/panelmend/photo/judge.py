"""Whether the marks agree, and which one does not; whether the camera stood well."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
from threadpoolctl import threadpool_limits

from panelmend.errors import InputError, ReadingError
from panelmend.photo.camera import Array
from panelmend.photo.first_camera import Setup, Shot, first_camera
from panelmend.photo.fit import LEAST_PLACE, Fitted, fit
from panelmend.units import show

STEEPEST = np.radians(50.0)  # between sight and normal at the middle of the field
FAR_OFF, DOUBTED = 5.0, 3.0  # standard deviations of a mark from its place: refused from, said from
LEAST_MARKS = 5  # measured marks from which a wrong one can be named; with fewer, what is said is refused
HIDING_DEVIATIONS = 2.0  # standard deviations by which the other errors may hide one
MOST_NOISE = 0.04  # of a mark's side: corners that fit worse belong to no panel that was described
RADIUS_REFUSED = 0.005  # [m] 95 % radius in the field above which another picture is asked for
RADIUS_TOLD = 0.0025  # [m] above which it is said
MOST_SWAPS = 3  # pairs that a quick look finds likeliest
# smaller axis over larger, and the circle that holds 95 % over the larger axis: integrated, 4 digits
_HOLDS_95 = (
    (0.0, 0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 1.0),
    (1.96, 1.9625, 1.9765, 2.0051, 2.0359, 2.0813, 2.1858, 2.3318, 2.4477),
)
LATER = "if it was moved after it was measured, measure it again or take it out of the file"


def agreed(setup: Setup, shots: tuple[Shot, ...]) -> Fitted:
    """The fit, refused with words where the marks or the cameras are not good enough.

    Raises:
        ReadingError: marks that contradict each other (named where it can be told), a camera too steep,
            too large an uncertainty in the field.
    """
    with threadpool_limits(1):  # small matrices: threads only wait for each other
        return _agreed(setup, shots)


def _agreed(setup: Setup, shots: tuple[Shot, ...]) -> Fitted:
    made = fit(setup, shots)
    if worst_ratio(made) > refused_from(made):
        raise _contradiction(made)
    for k, shot in enumerate(shots):
        slant = float(made.view(k).slants(setup.face, middle(setup)[None, :])[0])
        if slant > STEEPEST:
            raise ReadingError(
                "the camera stood too steep",
                where=shot.name,
                read=f"{np.degrees(slant):.0f} degrees from square on",
                expected=f"at most {np.degrees(STEEPEST):.0f}",
                todo="stand more square to the panel",
            )
    worst = largest_radius(made)
    if worst > RADIUS_REFUSED:
        raise ReadingError(
            "the pictures do not fix points well enough",
            read=f"95 % of points within {show(worst, 'length')} at the worst place of the field",
            expected=f"at most {show(RADIUS_REFUSED, 'length')}",
            todo="take one more picture from another side, or stick and measure more marks",
        )
    return made


def refused_from(made: Fitted) -> float:
    """How many standard deviations a mark may lie from where all else puts it, before it is refused."""
    return FAR_OFF if _marks_measured(made) >= LEAST_MARKS else DOUBTED


def unseen(made: Fitted) -> float:
    """How far a single mark may have been measured wrongly without being refused [m]."""
    spread = max((s for _, s in made.left_out.values()), default=0.0)
    return float((refused_from(made) + HIDING_DEVIATIONS) * spread / np.sqrt(2.0))


def few(made: Fitted) -> bool:
    """Whether so few marks were measured and seen that a wrong one cannot be named."""
    return _marks_measured(made) < LEAST_MARKS


def _marks_measured(made: Fitted) -> int:
    return sum(n in made.setup.placed for n in made.numbers)


def middle(setup: Setup) -> Array:
    """The middle of the measured marks, as looked at [m]."""
    return np.asarray(np.mean(list(setup.placed.values()), axis=0))


def worst_ratio(fitted: Fitted) -> float:
    """The greatest distance of a measured mark from where all else puts it, over its expected one, or of a
    corner that does not fit."""
    apart = ratios(fitted)
    sides = [m.side for s in fitted.shots for m in s.marks]
    if fitted.noise > max(1.5, MOST_NOISE * float(np.median(sides))):
        return float("inf")
    return max(apart.values(), default=0.0)


def ratios(fitted: Fitted) -> dict[int, float]:
    """For each measured mark its distance from where all else puts it, over the expected one."""
    return {n: d / max(s, 1e-9) * np.sqrt(2.0) for n, (d, s) in fitted.left_out.items()}


def largest_radius(fitted: Fitted) -> float:
    """The radius that holds 95 % of points in the worst place of the field [m]; the best picture counts."""
    places = np.array(list(fitted.setup.placed.values()))
    low, high = places.min(0), places.max(0)
    x, y = np.meshgrid(np.linspace(low[0], high[0], 7), np.linspace(low[1], high[1], 7))
    points = np.column_stack([x.ravel(), y.ravel()])
    radii = [radius_95(fitted.errors(k, points, 0.5)) for k in range(len(fitted.shots))]
    return float(np.max(np.nan_to_num(np.min(radii, axis=0), nan=9.9)))


def radius_95(covariances: Array) -> Array:
    """Radius that holds 95 % of a normal error in two directions."""
    axes = np.sqrt(np.maximum(np.linalg.eigvalsh(covariances), 0.0))
    narrow = axes[:, 0] / np.maximum(axes[:, 1], 1e-12)
    return np.asarray(axes[:, 1] * np.interp(narrow, *_HOLDS_95))


def _contradiction(made: Fitted) -> ReadingError:
    setup, shots = made.setup, made.shots
    places = setup.placed
    where = ", ".join(s.name for s in shots)
    found: list[tuple[float, int, float]] = []
    if len(places) > 4:
        for n in sorted(places, key=lambda n: -made.left_out.get(n, (0.0, 1.0))[0])[:12]:
            other = _tried(replace(setup, placed={k: v for k, v in places.items() if k != n}), shots)
            if other is None or n not in other.numbers or worst_ratio(other) > FAR_OFF:
                continue
            off = float(np.linalg.norm(other.mark(n)[:2] - np.array(places[n])))
            found.append((worst_ratio(other), n, off))
    if len(found) == 1:
        _, n, off = found[0]
        return ReadingError(
            f"mark {n} lies {show(off, 'length')} from where the file says; the others agree",
            where=where,
            read=f"mark {n}",
            todo=LATER,
        )
    seen = [n for n in made.numbers if n in places]
    pairs = sorted(combinations(seen, 2), key=lambda p: _quick(_swapped(setup, p), shots))[:MOST_SWAPS]
    swapped = []
    for a, b in pairs:
        other = _tried(_swapped(setup, (a, b)), shots)
        if other is not None and worst_ratio(other) <= FAR_OFF:
            swapped.append((worst_ratio(other), a, b))
    if swapped:
        _, a, b = min(swapped)
        return ReadingError(
            f"the places of marks {a} and {b} look swapped",
            where=where,
            todo="look at the numbers on the panel and put the file right",
        )
    apart = "; ".join(
        f"mark {n} by {show(d, 'length')}"
        for n, (d, s) in sorted(made.left_out.items(), key=lambda i: -i[1][0])[:4]
        if d > 2.0 * max(s, LEAST_PLACE)
    )
    return ReadingError(
        "the marks contradict each other, and it cannot be told which is wrong",
        where=where,
        read=f"off by: {apart}" if apart else "",
        todo="measure all again; was one moved? With five or more the wrong one can be named",
    )


def _swapped(setup: Setup, pair: tuple[int, int]) -> Setup:
    a, b = pair
    return replace(setup, placed={**setup.placed, a: setup.placed[b], b: setup.placed[a]})


def _quick(setup: Setup, shots: tuple[Shot, ...]) -> float:
    """How badly the marks' middles fit the best simple camera [picture elements]."""
    try:
        return sum(first_camera(setup, s)[1] for s in shots)
    except InputError:
        return float("inf")


def _tried(setup: Setup, shots: tuple[Shot, ...]) -> Fitted | None:
    try:
        return fit(setup, shots)
    except (InputError, np.linalg.LinAlgError):
        return None
