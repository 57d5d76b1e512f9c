"""Every typed number has its bounds beside it, or a reason why not; each bound bites on both sides."""

from __future__ import annotations

from typing import Any

import pytest

from panelmend.document.bounds import bounded, bounds_of, faults_below, kind_of
from panelmend.document.fields import plain_kind, quantity_kind, wrapper
from panelmend.document.glossary import documented_tables
from panelmend.materials.bounds import Bounds
from panelmend.units import read

SHAPE = "a shape is judged against the panel"
TURNED = "an angle may be any; what looks like radians is refused"
OTHER = "bounds that hang on another field, in document/faults"
LAW = "judged by the law the constants make"
FREE = {
    "revision": "a count of plans, 1 to 99 by its own rule",
    **dict.fromkeys(("diameter", "length", "width", "corner_radius"), SHAPE),
    **dict.fromkeys(("angle", "warp", "ribbon", "axis", "turn"), TURNED),
    **dict.fromkeys(("plies", "thermocouples_least", "may_fail", "number", "count"), "a count with its own"),
    **dict.fromkeys(
        ("temperature", "duration", "rate_most", "content", "least", "power", "low", "high"), OTHER
    ),
    **dict.fromkeys(("k_in_plane", "k_through", "moisture_d0", "moisture_ea", "moisture_saturation"), OTHER),
    **dict.fromkeys(("a1", "a2", "a3", "tg_lambda"), LAW),
}
FIELDS = [
    (path, model, name, field, bounds_of(field))
    for path, model in documented_tables()
    for name, field in model.model_fields.items()
]
BOUNDED = [(f"{p}.{n}", m, n, f, b) for p, m, n, f, b in FIELDS if b is not None]


def _is_number(field: Any) -> bool:
    wrapped = wrapper(field.annotation)
    inside = wrapped.model_fields["value"] if wrapped is not None else field
    kind = quantity_kind(inside) or plain_kind(inside.annotation)
    return kind not in ("", "day", "point", "text", "yes or no")


def test_every_number_has_bounds_or_a_reason() -> None:
    lacking = {n for _, _, n, f, b in FIELDS if b is None and _is_number(f)}
    assert lacking - set(FREE) == set(), "give these bounds beside the field, or a reason here"
    assert set(FREE) - lacking == set(), "these have bounds now"
    assert len(BOUNDED) > 200


def test_bounds_are_in_order_and_what_is_usual_can_be() -> None:
    for name, _, _, field, b in BOUNDED:
        kind = kind_of(field)
        ends = [read(t, kind) if kind else float(t) for t in (*b.can, *(b.usual or ()))]
        assert ends[0] < ends[1], name
        if b.usual is not None:
            assert ends[0] <= ends[2] < ends[3] <= ends[1], name
        assert b.source, name


@pytest.mark.parametrize("side", [0, 1])
def test_each_bound_bites(side: int) -> None:
    """A hair inside is taken, a hundredth of it outside is refused or asked about."""
    for name, model, field_name, field, b in BOUNDED:
        for pair, refused in ((b.can, True), (b.usual, False)):
            if pair is not None:
                _bites(name, model, field_name, kind_of(field), b, pair, side, refused=refused)


def _bites(
    name: str,
    model: Any,
    field: str,
    kind: str,
    b: Bounds,
    pair: tuple[str, str],
    side: int,
    *,
    refused: bool,
) -> None:
    end = read(pair[side], kind) if kind else float(pair[side])
    step = (0.01 * abs(end) or 0.01) * (1 if side else -1)

    def seen(value: float) -> bool:
        made = model.model_construct(**{field: value})
        if refused:
            return bool(list(faults_below(made)))
        return any(x.unusual for x in bounded(made))

    assert not seen(end), name
    assert seen(end + step), name
