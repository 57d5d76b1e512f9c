"""Cure: recipe, blanket and circuit, and the prediction of heat where there is one."""
