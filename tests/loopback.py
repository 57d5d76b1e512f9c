"""Peers of our own on this machine, for the tests of live sources."""

from __future__ import annotations

import socket


def free_port() -> int:
    """A port nobody listens on at the moment."""
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])
