"""Kit: what is needed, what it is mixed from, and what the stores are short of."""
