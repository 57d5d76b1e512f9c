"""What the strength study leaves out: one list, printed on the report's first page and on the method page."""

from __future__ import annotations

NOT_COVERED: tuple[str, ...] = (
    "Fatigue, damage tolerance, impact, and the growth of disbonds or voids.",
    "Service below room temperature: thermal mismatch is computed only from the cure down to room "
    "temperature, and only in the bond's shear, not in the plies, the peel or the panel's shape.",
    "Shear between the plies and failure inside a ply at the end of a step; flow of the adhesive in peel.",
    "The corner of a ply's end, where elasticity gives no finite stress: peel is that in the middle of "
    "the adhesive.",
    "Peel where the load comes as shear along an edge or turns a corner of the patch, and beside a fill"
    " ply that butts on the cut plies without a gap.",
    "Shear along a strip's edge: strips carry pull or push along their own direction.",
    "Steps let in flush with the skin: every table takes them as laid over it; their effect on the "
    'bond\'s shear is under "What would change it", their peel and the butted ends of plies are not '
    "covered.",
    "Narrow strips, and corners of plies beyond what the plate model shows round the patch (the width "
    "of the panel itself is in the plate model).",
    "The solid edge band, solid areas, inserts and fasteners: the plate is sandwich all over.",
    "Curvature, and outlines other than the rectangle round the panel.",
    "Buckling of the panel in shear or under loads both ways, and large deflections.",
    "Creep of the adhesive, and what moisture does to it beyond its hot and wet factor.",
    "The parent's own bond between skin and core: the repair's core adhesive stands in for it.",
)
