"""What each field of a model means: the words under it in the source, read only when somebody asks.

The library can read them while it builds a model, which costs a third of a second of every start; only help,
refusals and the schema need them.
"""

from __future__ import annotations

import ast
import inspect
import sys
from functools import cache
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema


def meaning_of(model: type[BaseModel], name: str) -> str:
    """The words under a field, from the class that declares it; "" where there are none or no such field."""
    given = model.model_fields[name].description if name in model.model_fields else None
    if given:
        return given
    for owner in model.__mro__:
        origin = getattr(owner, "__pydantic_generic_metadata__", {}).get("origin") or owner
        words = _under(origin.__module__).get(origin.__qualname__, {}).get(name)
        if words:
            return words
    return ""


class WithMeanings(GenerateJsonSchema):
    """Schema in which every field carries its words."""

    def model_schema(self, schema: Any) -> Any:
        """The schema of one model, its fields with their words."""
        made = super().model_schema(schema)
        for name, field in made.get("properties", {}).items():
            words = meaning_of(schema["cls"], name)
            if words:
                field["description"] = words
        return made


@cache
def _under(module: str) -> dict[str, dict[str, str]]:
    """Of a module: class, field, the words under it."""
    found: dict[str, dict[str, str]] = {}
    source = inspect.getsource(sys.modules[module]) if module.startswith(__name__.split(".")[0]) else ""

    def walk(body: list[ast.stmt], prefix: str) -> None:
        for at, node in enumerate(body):
            if isinstance(node, ast.ClassDef):
                walk(node.body, f"{prefix}{node.name}.")
            after = body[at + 1] if at + 1 < len(body) else None
            if (
                isinstance(node, ast.AnnAssign)
                and isinstance(node.target, ast.Name)
                and isinstance(after, ast.Expr)
                and isinstance(after.value, ast.Constant)
                and isinstance(after.value.value, str)
            ):
                found.setdefault(prefix.rstrip("."), {})[node.target.id] = inspect.cleandoc(after.value.value)

    walk(ast.parse(source).body, "")
    return found
