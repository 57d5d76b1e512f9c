"""The job, stage by stage in working order; each stage is a package with part, make, formulas and checks."""

STAGES = ("limits", "cutout", "plies", "core", "drying", "nest", "bag", "cure", "kit", "strength", "card")
