"""Plies: every ply of the repair with its outline, margins, least overlap, warp and template."""
