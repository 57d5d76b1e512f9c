"""The judge: a cure log against its approved recipe."""
