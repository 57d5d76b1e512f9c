"""From the constants of a material to its law of cure."""

from __future__ import annotations

from typing import assert_never

from panelmend.materials.model import Kinetics
from panelmend.physics.cure_chemistry.laws import RateLaw, autocatalytic, from_reference, n_order, two_stage

SWITCH = 0.3  # degree of cure where the second stage begins: Lee, Loos and Springer (1982)


def law_of(kinetics: Kinetics) -> RateLaw:
    """The law of cure of typed constants.

    Raises:
        InputError: a constant of the wrong sign or size.
    """
    k = kinetics

    def number(value: float | None) -> float:
        assert value is not None, "the constants were checked when they were read"
        return value

    if k.law == "nth order":
        return n_order(number(k.a1), number(k.e1), number(k.n))
    if k.law == "autocatalytic":
        return autocatalytic(number(k.a1), number(k.e1), number(k.a2), number(k.e2), number(k.m), number(k.n))
    if k.law == "two stage":
        prefactors = (number(k.a1), number(k.a2), number(k.a3))
        return two_stage(prefactors, (number(k.e1), number(k.e2), number(k.e3)), number(k.b), SWITCH)
    if k.law != "reference time":
        assert_never(k.law)
    return from_reference(
        number(k.reference_time),
        number(k.reference_temperature),
        number(k.reference_degree),
        number(k.e1),
        k.n if k.n is not None else 1.0,
    )


def glass_of(kinetics: Kinetics) -> tuple[float, float, float] | None:
    """Glass transition uncured and cured [K] and its constant [1] (DiBenedetto); None where not given."""
    k = kinetics
    if k.tg0 is None or k.tg_full is None or k.tg_lambda is None:
        return None
    return k.tg0, k.tg_full, k.tg_lambda
