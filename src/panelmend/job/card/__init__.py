"""Card: every step in working order with its numbers, cautions, readings and hold points."""
