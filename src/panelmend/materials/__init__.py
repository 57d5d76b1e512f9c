"""Materials: cloths, resins, adhesives, cores and bagging, each number with its source."""

from panelmend.materials.catalogue import Catalogue, builtin
from panelmend.materials.model import (
    Adhesive,
    Bagging,
    Cloth,
    Consumable,
    Core,
    Material,
    MaterialSet,
    Resin,
    Sourced,
    Structural,
)

__all__ = [
    "Adhesive",
    "Bagging",
    "Catalogue",
    "Cloth",
    "Consumable",
    "Core",
    "Material",
    "MaterialSet",
    "Resin",
    "Sourced",
    "Structural",
    "builtin",
]
