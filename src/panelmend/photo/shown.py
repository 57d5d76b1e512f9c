"""What was found, drawn over the rectified picture, for a person to look at before anything is used."""

from __future__ import annotations

import numpy as np

from panelmend.photo.joined import FoundSpot, Measured
from panelmend.photo.library import vision

_COLOURS = {  # blue, green, red; dark outlines with a white rim are seen on any paint
    "dull": (30, 30, 220), "sound": (200, 90, 0), "line": (170, 0, 170), "unknown": (0, 140, 255),
    "hidden": (0, 200, 255),
}  # fmt: skip
_WIDEST = 2400


def picture_of(measured: Measured, k: int) -> bytes:
    """PNG of picture ``k`` laid flat with everything found, the panel's axes at its edge."""
    cv2 = vision()
    flat, sign = measured.flats[k], measured.sign
    scale = min(1.0, _WIDEST / max(flat.pixels.shape[:2]))
    shown = cv2.resize(flat.pixels, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    pad = 46
    canvas = cv2.copyMakeBorder(
        shown, pad, pad + 40, pad + 20, pad, cv2.BORDER_CONSTANT, value=(255, 255, 255)
    )
    off = np.array([pad + 20, pad])

    def at(x: float, y: float) -> tuple[int, int]:
        e = flat.element(np.array([[x, sign * y]]))[0] * scale + off
        return round(float(e[0])), round(float(e[1]))

    def words(text: str, p: tuple[int, int], colour: tuple[int, int, int], size: float = 0.5) -> None:
        cv2.putText(canvas, text, p, cv2.FONT_HERSHEY_SIMPLEX, size, (255, 255, 255), 4, cv2.LINE_AA)
        cv2.putText(canvas, text, p, cv2.FONT_HERSHEY_SIMPLEX, size, colour, 1, cv2.LINE_AA)

    _axes(canvas, measured, k, scale, off)
    fitted = measured.fitted
    for m in fitted.shots[k].marks:
        x, y, turn, _ = fitted.mark(m.number)
        h = 0.5 * fitted.side
        c, s = np.cos(turn), np.sin(turn)
        square = [
            at(x + c * a - s * b, sign * (y + s * a + c * b)) for a, b in ((-h, -h), (h, -h), (h, h), (-h, h))
        ]
        cv2.polylines(canvas, [np.array(square, np.int32)], True, (0, 160, 0), 2, cv2.LINE_AA)
        words(str(m.number), at(x, sign * y), (0, 110, 0), 0.8)
    for item in measured.items:
        for p in item.points:
            q = at(*p)
            cv2.drawMarker(canvas, q, (0, 110, 0), cv2.MARKER_TILTED_CROSS, 16, 2, cv2.LINE_AA)
            words(item.item.name, (q[0] + 10, q[1] - 8), (0, 110, 0), 0.6)
    for spot in measured.spots:
        _draw(canvas, spot, at, words, scale * flat.density)
    counts = {
        m: sum(1 for s in measured.spots if s.meaning == m and not s.doubt) for m in ("dull", "sound", "line")
    }
    doubts = len(measured.doubtful)
    words(
        f"{fitted.shots[k].name}: {counts['dull']} dull, {counts['sound']} sound, {counts['line']} lines, "
        f"{doubts} to look at. Circle: 95 %",
        (pad, canvas.shape[0] - 12),
        (60, 60, 60),
        0.6,
    )
    ok, data = cv2.imencode(".png", canvas)
    assert ok, "an 8-bit picture can always be written as PNG"
    return bytes(data.tobytes())


def _draw(canvas, spot: FoundSpot, at, words, density: float) -> None:  # type: ignore[no-untyped-def]
    cv2 = vision()
    colour = _COLOURS.get(spot.meaning, _COLOURS["unknown"])
    q = at(*spot.at)
    if spot.outline:
        line = np.array([at(*p) for p in spot.outline], np.int32)
        cv2.polylines(canvas, [line], True, (255, 255, 255), 4, cv2.LINE_AA)
        cv2.polylines(canvas, [line], True, colour, 2, cv2.LINE_AA)
    elif spot.meaning == "hidden":
        cv2.circle(canvas, q, max(6, round(0.5 * spot.across * density)), colour, 2, cv2.LINE_AA)
    else:
        r = max(5, round((0.5 * spot.across + 0.001) * density))
        cv2.circle(canvas, q, r, (255, 255, 255), 4, cv2.LINE_AA)
        cv2.circle(canvas, q, r, colour, 2, cv2.LINE_AA)
        cv2.circle(canvas, q, max(1, round(spot.radius * density)), (0, 0, 0), 1, cv2.LINE_AA)
    text = spot.id + ("?" if spot.doubt else "")
    if spot.meaning == "sound" and not spot.doubt:
        text = spot.id.removeprefix("sound-")
    words(text, (q[0] + 8, q[1] - 8), colour, 0.42)


def _axes(canvas, measured: Measured, k: int, scale: float, off: np.ndarray) -> None:  # type: ignore[no-untyped-def]
    """Ticks every 50 mm of the panel's axes along two edges."""
    cv2 = vision()
    flat, sign = measured.flats[k], measured.sign
    h, w = flat.pixels.shape[:2]
    right, bottom = flat.left + w / flat.density, flat.top - h / flat.density
    foot = round(h * scale + off[1])
    for v in np.arange(np.ceil(flat.left / 0.05), np.floor(right / 0.05) + 1) * 0.05:
        x = round(float((v - flat.left) * flat.density * scale + off[0]))
        cv2.line(canvas, (x, foot), (x, foot + 8), (0, 0, 0), 1)
        cv2.putText(
            canvas,
            f"{1e3 * v:.0f}",
            (x - 14, foot + 24),
            cv2.FONT_HERSHEY_SIMPLEX,
            0.45,
            (0, 0, 0),
            1,
            cv2.LINE_AA,
        )
    for v in np.arange(np.ceil(bottom / 0.05), np.floor(flat.top / 0.05) + 1) * 0.05:
        y = round(float((flat.top - v) * flat.density * scale + off[1]))
        cv2.line(canvas, (int(off[0]) - 8, y), (int(off[0]), y), (0, 0, 0), 1)
        cv2.putText(
            canvas,
            f"{sign * 1e3 * v:.0f}",
            (2, y + 5),
            cv2.FONT_HERSHEY_SIMPLEX,
            0.45,
            (0, 0, 0),
            1,
            cv2.LINE_AA,
        )
    cv2.putText(canvas, "x, y in mm", (2, 24), cv2.FONT_HERSHEY_SIMPLEX, 0.5, (0, 0, 0), 1, cv2.LINE_AA)
