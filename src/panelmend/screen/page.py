"""One page of HTML from its template."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from functools import cache
from importlib import resources
from typing import Annotated, Any

from fastapi import Cookie
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from panelmend import __version__
from panelmend.screen.identity import signed_in
from panelmend.screen.uploads import picture_kind
from panelmend.screen.words import for_scripts, say, spoken_language

THEMES = ("bright", "dark")
Theme = Annotated[str, Cookie(alias="panelmend-theme")]


@cache
def environment() -> Environment:
    """The templates: everything is escaped, and a name that is missing is a fault."""
    made = Environment(
        loader=PackageLoader("panelmend.screen"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["picture"] = picture_kind
    made.globals.update(
        say=say, asset=asset, language=spoken_language, version=__version__, signed_in=signed_in
    )
    return made


@cache
def asset(name: str) -> str:
    """The address of a static file, with a mark that changes with its content."""
    data = resources.files("panelmend.screen").joinpath(f"static/{name}").read_bytes()
    return f"/static/{name}?{hashlib.sha256(data).hexdigest()[:12]}"


def page(template: str, theme: str, room: str, status: int = 200, **values: Any) -> HTMLResponse:
    """One page as HTML."""
    values.setdefault("words", json.dumps(for_scripts()))
    values["now"] = datetime.now(UTC).isoformat()
    theme = theme if theme in THEMES else THEMES[0]
    made = environment().get_template(template).render(theme=theme, room=room, **values)
    return HTMLResponse(made, status)


def sign_in_page(theme: str, status: int) -> HTMLResponse:
    """Where a person signs in, at whatever address was asked for."""
    return page("sign_in.html", theme, "sign-in", status)
