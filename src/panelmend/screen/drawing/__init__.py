"""The panel as one drawing in true millimetres, layer by layer."""

from panelmend.screen.drawing.layers import Layer, layers
from panelmend.screen.drawing.markup import Sheet, sheet

__all__ = ["Layer", "Sheet", "layers", "sheet"]
