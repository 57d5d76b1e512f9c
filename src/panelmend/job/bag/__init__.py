"""Bag: each cure operation's stack, layer by layer, with the cut size of each."""
