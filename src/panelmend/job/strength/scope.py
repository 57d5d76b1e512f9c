"""What the strength study leaves out: one list, printed on the report's first page and on the method page."""

from __future__ import annotations

NOT_COVERED: tuple[str, ...] = (
    "Fatigue, damage tolerance, impact, and the growth of disbonds or voids.",
    "Peel at the patch's tip, and flatwise pull on the skin-to-core bond beneath it.",
    "Thermal mismatch between repair and parent, from the cure down to service.",
    "Secondary bending at the edge of a one-sided repair beyond what the linear plate model holds.",
    "The adhesive of the core splice.",
    "Shear between the plies and failure inside a ply at the end of a step.",
    "Shear along a strip's edge: strips carry pull or push along their own direction.",
    "Stepped repairs let in flush: steps are taken as laid over the skin.",
    "The solid edge band, solid areas, inserts and fasteners: the plate is sandwich all over.",
    "Curvature, and outlines other than the rectangle round the panel.",
    "Buckling of the whole panel, and large deflections.",
    "Creep of the adhesive, and what moisture does to it beyond its hot and wet factor.",
)
