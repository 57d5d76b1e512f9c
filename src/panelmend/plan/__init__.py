"""The plan of a repair and the verdict on its cure."""
