"""Elimination order of a grid's nodes: nested dissection.

A line of nodes across the shorter way splits the grid; both halves come first, the line last (George, SIAM J.
Numerical Analysis 10 (1973) 345). On a grid it fills in less than an order found from the matrix, and costs
nothing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Index = NDArray[np.int64]


def dissect(rows: int, columns: int, leaf: int = 16) -> Index:
    """Node numbers j columns + i of a rows x columns grid in elimination order.

    Args:
        rows: nodes along y.
        columns: nodes along x.
        leaf: blocks of at most so many nodes are taken as they stand.
    """
    number = np.arange(rows * columns).reshape(rows, columns)
    parts: list[Index] = []
    _split(number, leaf, parts)
    return np.concatenate(parts)


def _split(block: Index, leaf: int, parts: list[Index]) -> None:
    rows, columns = block.shape
    if block.size == 0:
        return
    if block.size <= leaf:
        parts.append(block.ravel())
    elif columns >= rows:
        m = columns // 2
        _split(block[:, :m], leaf, parts)
        _split(block[:, m + 1 :], leaf, parts)
        parts.append(block[:, m])
    else:
        m = rows // 2
        _split(block[:m], leaf, parts)
        _split(block[m + 1 :], leaf, parts)
        parts.append(block[m])
