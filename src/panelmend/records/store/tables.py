"""The tables as statements see them; their making is a matter of ``moves``."""

from __future__ import annotations

import sqlalchemy as sa

META = sa.MetaData()
ENTRIES = sa.Table(
    "entries",
    META,
    sa.Column("number", sa.BigInteger, primary_key=True, autoincrement=False),
    sa.Column("before", sa.String(64), nullable=False, unique=True),
    sa.Column("hash", sa.String(64), nullable=False, unique=True),
    sa.Column("text", sa.Text, nullable=False),
)
PAPERS = sa.Table(
    "papers",
    META,
    sa.Column("digest", sa.String(64), primary_key=True),
    sa.Column("data", sa.LargeBinary, nullable=False),
)
"""Documents, plans, pages, logs, photographs: by digest; entries name them."""
SECRETS = sa.Table(
    "secrets",
    META,
    sa.Column("digest", sa.String(64), primary_key=True),
    sa.Column("hash", sa.Text, nullable=False),
)
"""argon2id hashes by digest; they never leave with a package."""
KEPT = (ENTRIES, PAPERS, SECRETS)
