"""Moves from one shape of the database to the next, run by Alembic in one transaction."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from panelmend.records.refusals import SETTINGS


def _scripts() -> tuple[Config, ScriptDirectory]:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config, ScriptDirectory.from_config(config)


@cache
def newest() -> str:
    """The shape this release works with."""
    found = _scripts()[1].get_current_head()
    assert found is not None
    return found


def shape_of(connection: sa.Connection) -> str:
    """The shape a database has; "" for an empty one."""
    return MigrationContext.configure(connection).get_current_revision() or ""


def move_up(connection: sa.Connection) -> bool:
    """Bring a database to the newest shape within the caller's transaction; whether anything moved.

    Raises:
        Refused: a shape this release does not know.
    """
    config, scripts = _scripts()
    known = {s.revision for s in scripts.walk_revisions()}
    now = shape_of(connection)
    if now and now not in known:
        raise SETTINGS(f"the database has shape {now}, made by a newer release; this one knows {newest()}")
    if now == newest():
        return False

    def steps(rev: Any, context: Any) -> Any:
        return scripts._upgrade_revs("head", rev)

    with EnvironmentContext(config, scripts, fn=steps) as environment:
        environment.configure(connection=connection, transaction_per_migration=False)
        environment.run_migrations()
    return True
