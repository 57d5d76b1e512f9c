DOUBTED: frozenset[str] = frozenset()
