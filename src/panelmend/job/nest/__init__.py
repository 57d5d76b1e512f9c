"""Nest: every cloth piece on its roll, its warp along the roll."""
