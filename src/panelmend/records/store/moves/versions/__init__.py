"""One file a move."""
