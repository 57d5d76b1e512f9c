"""Where a screen is served: its hosts, its cookie, and whether other machines reach it."""

from __future__ import annotations

from dataclasses import dataclass

HERE = "127.0.0.1"


@dataclass(frozen=True)
class Site:
    """A served screen. ``secure``: other machines reach it, by TLS alone, and everybody signs in.

    ``names`` are the addresses and names it answers to, as a browser writes them in the Host header.
    """

    port: int
    names: tuple[str, ...]
    secure: bool = False

    @property
    def scheme(self) -> str:
        """http on this machine alone, else https."""
        return "https" if self.secure else "http"

    @property
    def hosts(self) -> frozenset[str]:
        """What the Host header may say."""
        return frozenset(f"{n}:{self.port}" for n in self.names)

    @property
    def cookie(self) -> str:
        """The session's cookie: browsers do not part cookies by port. The prefix makes a browser refuse one
        that was not set by this very host over TLS."""
        return f"__Host-panelmend-{self.port}" if self.secure else f"panelmend-{self.port}"


def site_here(port: int) -> Site:
    """A screen for this machine alone."""
    return Site(port, (HERE, "localhost"))
