"""Shelves: what a shop types once, checked by two people, and every job names."""
