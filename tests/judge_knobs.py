"""Coarse logs, recipes and what goes with them, each changed in one number so that something lies exactly on
a limit of the judge. Nothing here was measured."""

from __future__ import annotations

import dataclasses
from datetime import timedelta
from functools import cache
from typing import Any

from coarse_logs import coarse
from panelmend.plan.judge import ChannelRole, CureLog, CureRecipe
from panelmend.plan.judge.recipe import RecipeLimit

Knob = tuple[Any, ...]  # what is turned, where, and by how much [SI]


@cache
def _made(number: int) -> tuple[CureLog, dict[str, Any]]:
    return coarse(number)


def _moved(thing: Any, path: str, by: float) -> Any:
    """A recipe or what it is made of with one of its numbers changed."""
    head, _, rest = path.partition(".")
    if isinstance(thing, tuple):
        i = int(head)
        return (*thing[:i], _moved(thing[i], rest, by), *thing[i + 1 :])
    value = getattr(thing, head)
    if rest:
        return dataclasses.replace(thing, **{head: _moved(value, rest, by)})
    if isinstance(value, RecipeLimit):
        return dataclasses.replace(thing, **{head: dataclasses.replace(value, value=value.value + by)})
    return dataclasses.replace(thing, **{head: value + by})


def _shifted(log: CureLog, names: tuple[str, ...], begin: int, end: int, by: float) -> CureLog:
    """A log with some rows of some channels moved."""
    channels = []
    for c in log.channels:
        if c.name in names:
            values = c.values.copy()
            values[begin:end] += by
            c = dataclasses.replace(c, values=values)
        channels.append(c)
    return dataclasses.replace(log, channels=tuple(channels))


def turned(number: int, knobs: tuple[Knob, ...]) -> tuple[CureRecipe, CureLog, dict[str, Any]]:
    """The recipe, the log and what else is said to the judge, by the number of the log and what is turned."""
    log, given = _made(number)
    how = dict(given)
    of = how.pop("recipe")
    for kind, *where, by in knobs:
        match kind:
            case "channel":
                log = _shifted(log, (where[0],), where[1], where[2], by)
            case "all":
                every = tuple(c.name for c in log.of_role(ChannelRole.THERMOCOUPLE))
                log = _shifted(log, every, where[0], where[1], by)
            case "times":
                times = log.times.copy()
                times[where[0] :] += by
                log = dataclasses.replace(log, times=times)
            case "recipe":
                of = _moved(of, where[0], by)
            case "leak":
                how["leak"] = _moved(how["leak"], where[0], by)
            case "leak at":
                how["leak"] = dataclasses.replace(how["leak"], at=how["leak"].at + timedelta(seconds=by))
            case "job":
                at = getattr(how["job"], where[0]) + timedelta(seconds=by)
                how["job"] = dataclasses.replace(how["job"], **{where[0]: at})
            case "how":
                how[where[0]] += by
            case _:
                raise ValueError(kind)
    return of, log, how
