"""The eight-node cell: what its shape functions reproduce exactly, and where a place lies in a cell."""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.physics.laminate.lamina import Lamina
from panelmend.physics.plate.fitted import NODES, FittedMesh, shapes

X, Y = np.array(NODES, float).T
AT = (np.array([0.3, -0.71, 0.9]), np.array([-0.45, 0.2, 0.6]))
# Name, the function, its derivatives by xi and eta: the eight terms of a serendipity cell, all reproduced.
TERMS = {
    "1": (lambda x, y: 1.0 + 0 * x, lambda x, y: 0 * x, lambda x, y: 0 * x),
    "x": (lambda x, y: x, lambda x, y: 1.0 + 0 * x, lambda x, y: 0 * x),
    "y": (lambda x, y: y, lambda x, y: 0 * x, lambda x, y: 1.0 + 0 * x),
    "xx": (lambda x, y: x * x, lambda x, y: 2 * x, lambda x, y: 0 * x),
    "xy": (lambda x, y: x * y, lambda x, y: y, lambda x, y: x),
    "yy": (lambda x, y: y * y, lambda x, y: 0 * x, lambda x, y: 2 * y),
    "xxy": (lambda x, y: x * x * y, lambda x, y: 2 * x * y, lambda x, y: x * x),
    "xyy": (lambda x, y: x * y * y, lambda x, y: y * y, lambda x, y: 2 * x * y),
}


@pytest.mark.parametrize("term", TERMS)
def test_a_cell_reproduces_each_of_its_terms_and_their_slopes(term: str) -> None:
    f, by_xi, by_eta = TERMS[term]
    n, by = shapes(*AT)
    at_nodes = f(X, Y)
    assert n @ at_nodes == pytest.approx(f(*AT), abs=1e-14)
    assert by[:, 0] @ at_nodes == pytest.approx(by_xi(*AT), abs=1e-14)
    assert by[:, 1] @ at_nodes == pytest.approx(by_eta(*AT), abs=1e-14)


def bent_cell() -> FittedMesh:
    """One cell whose sides are straight and unequal: x = 2 xi + 0.5 xi eta, y = eta + 0.2 xi [m]."""
    points = np.column_stack([2 * X + 0.5 * X * Y, Y + 0.2 * X])
    return FittedMesh(points, np.arange(8)[None], np.zeros(1, np.int64), {})


def test_a_place_reads_a_field_that_is_bilinear_in_the_cell_exactly() -> None:
    mesh = bent_cell()
    xi, eta = AT
    at = np.column_stack([2 * xi + 0.5 * xi * eta, eta + 0.2 * xi])
    cell, weights = mesh.locate(at)
    assert list(cell) == [0, 0, 0]
    root = 1 / np.sqrt(3.0)
    at_points = np.array([3 + a - 2 * b + 5 * a * b for a, b in root * np.array(NODES[:4])])
    assert weights @ at_points == pytest.approx(3 + xi - 2 * eta + 5 * xi * eta, abs=1e-12)


def test_a_place_beside_the_mesh_reads_its_edge() -> None:
    cell, weights = bent_cell().locate(np.array([[9.0, 0.2 * 1.0]]))
    root = 1 / np.sqrt(3.0)
    assert list(cell) == [0]
    assert weights @ (root * np.array(NODES[:4])[:, 0]) == pytest.approx([1.0], abs=1e-12)  # xi = 1


def test_one_ply_has_no_coupling_of_stretch_and_shear_at_all() -> None:
    q = Lamina(E1=130e9, E2=9e9, nu12=0.3, G12=5e9).Q()
    assert [q[0, 2], q[1, 2], q[2, 0], q[2, 1]] == [0.0, 0.0, 0.0, 0.0]
