"""Cut-out: the smallest permitted shape that covers the damage with its margin."""
