"""Limits: sizes after clean-up against what the approved data allows."""
