"""How the data says its plies are sized and laid: each way is asked to its end, none stands for another."""

from __future__ import annotations

from typing import Literal, assert_never

MarginsAre = Literal["per side", "in total"]
Corners = Literal["trimmed", "rounded"]
LayingOrder = Literal["smallest first", "largest first"]


def each_side(margins_are: MarginsAre) -> bool:
    """Whether a margin of the data stands for each side; if not, it is the sum of two opposite sides.

    Raises:
        AssertionError: a way of giving margins that nobody knows; it must not halve the overlap.
    """
    match margins_are:
        case "per side":
            return True
        case "in total":
            return False
        case _:
            assert_never(margins_are)


def corners_rounded(corners: Corners) -> bool:
    """Whether plies over a rectangle keep corners as round as its own; if not, they are trimmed straight.

    Raises:
        AssertionError: a form of corners that nobody knows.
    """
    match corners:
        case "rounded":
            return True
        case "trimmed":
            return False
        case _:
            assert_never(corners)


def largest_first(order: LayingOrder) -> bool:
    """Whether the largest repair ply goes down first; if not, the smallest does.

    Raises:
        AssertionError: an order that nobody knows.
    """
    match order:
        case "largest first":
            return True
        case "smallest first":
            return False
        case _:
            assert_never(order)
