"""Where each value of a resolved document was typed: which file, which line."""

from __future__ import annotations

from typing import Any

from panelmend.document.places import Path, Places
from panelmend.materials.quantities import Typed


class TypedPaths:
    """Paths of a resolved document with the file and path each was typed at; the longest one given counts."""

    def __init__(self) -> None:
        self._files: list[tuple[str, str]] = []
        self._places: dict[int, Places] = {}
        self._rules: dict[Path, tuple[int, Path, str]] = {}
        self._objects: dict[int, Path] = {}
        self._document: Any = None

    def file(self, name: str, text: str) -> int:
        """Take a file; its number from here on."""
        self._files.append((name, text))
        return len(self._files) - 1

    def rule(self, path: Path, file: int, at: Path, note: str = "") -> None:
        """What lies under ``path`` of the document was typed under ``at`` in a file."""
        self._rules[path] = (file, at, note)

    def of_document(self, document: Typed) -> None:
        """Take the document, so that its values can be asked for themselves."""
        self._document, self._objects = document, {}

    def place(self, path: Path) -> tuple[int, int, str]:
        """The file's turn, the line in it, and both in words."""
        for end in range(len(path), -1, -1):
            if path[:end] in self._rules:
                file, at, note = self._rules[path[:end]]
                break
        else:
            file, at, note, end = 0, (), "", 0
        name, text = self._files[file]
        if file not in self._places:
            self._places[file] = Places(text)
        line = self._places[file].line((*at, *path[end:]))
        return file, line, f"{name}, line {line}{note}"

    def at(self, path: Path) -> str:
        """File and line of the value at a path."""
        return self.place(path)[2]

    def file_of(self, path: Path) -> str:
        """The file alone, with what is to be said of the value."""
        for end in range(len(path), -1, -1):
            if path[:end] in self._rules:
                file, _, note = self._rules[path[:end]]
                return self._files[file][0] + note
        return self._files[0][0]

    def of(self, value: object) -> str:
        """File and line of a table of the document (an approved value, a material); "" of anything else."""
        if not self._objects and self._document is not None:
            self._walk(self._document, ())
        path = self._objects.get(id(value))
        return self.at(path) if path is not None else ""

    def _walk(self, value: Any, path: Path) -> None:
        if isinstance(value, Typed):
            self._objects[id(value)] = path
            for name in type(value).model_fields:
                self._walk(getattr(value, name), (*path, name))
        elif isinstance(value, tuple):
            for i, inner in enumerate(value):
                self._walk(inner, (*path, i))
