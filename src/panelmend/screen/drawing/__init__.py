"""The panel as one drawing in true millimetres, layer by layer."""

from panelmend.screen.drawing.layers import DrawnLayer, layers
from panelmend.screen.drawing.markup import DrawnSheet, sheet

__all__ = ["DrawnLayer", "DrawnSheet", "layers", "sheet"]
