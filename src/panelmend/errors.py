"""Everything panelmend can refuse, and the findings it can raise.

The error tree::

    PanelmendError                 anything panelmend refuses on purpose
    ├── InputError (ValueError)    something that was typed or read cannot be used
    │   ├── UnitError              a quantity without unit, with a wrong one, or not a number
    │   ├── DocumentError          one or more faults in a repair document, each with its line
    │   ├── ShapeError             an outline that encloses nothing, crosses itself, ...
    │   └── ReadingError           a survey, log or sound file that cannot be read
    ├── RangeError (ValueError)    a formula was asked outside what it can answer
    ├── SolverError (RuntimeError) a numerical method did not reach its tolerance
    ├── MissingError (LookupError) a material, figure or file that is named but not there
    ├── OutputError (OSError)      the pack could not be written; nothing was left half written
    └── Cancelled                  the user stopped long work

A message says what was read, what was expected and what to do. A :class:`Finding` is not an error: it
is something the plan found and reports with a permanent code.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class PanelmendError(Exception):
    """Anything panelmend refuses on purpose."""


class InputError(PanelmendError, ValueError):
    """Something typed or read cannot be used.

    ``where`` names the file, line or field; ``read`` what stood there; ``expected`` what was wanted;
    ``todo`` what to do about it.
    """

    def __init__(
        self, words: str, *, where: str = "", read: str = "", expected: str = "", todo: str = ""
    ) -> None:
        self.words, self.where, self.read, self.expected, self.todo = words, where, read, expected, todo
        super().__init__(self.sentence())

    def sentence(self) -> str:
        """The whole message in one line."""
        text = f"{self.where}: {self.words}" if self.where else self.words
        if self.read:
            text += f"; read {self.read}"
        if self.expected:
            text += f"; expected {self.expected}"
        if self.todo:
            text += f"; {self.todo}"
        return text


class UnitError(InputError):
    """A quantity without a unit, with one of the wrong kind, or that is no number."""


class ShapeError(InputError):
    """An outline that cannot be used: crosses itself, encloses nothing, radius too large, ..."""


class ReadingError(InputError):
    """A readings, log or sound file that cannot be read."""


class DocumentError(InputError):
    """One or more faults in a repair document; ``faults`` holds each as an :class:`InputError`."""

    def __init__(self, faults: list[InputError]) -> None:
        self.faults = faults
        super().__init__("\n".join(f.sentence() for f in faults))


class RangeError(PanelmendError, ValueError):
    """A formula was asked for something outside what it can answer."""


class SolverError(PanelmendError, RuntimeError):
    """A numerical method did not reach its tolerance."""


class MissingError(PanelmendError, LookupError):
    """A material, figure, stage or file that is named but is not there."""


class OutputError(PanelmendError, OSError):
    """Output could not be written; nothing was left half written."""


class Cancelled(PanelmendError):
    """The user stopped long work."""


class Severity(StrEnum):
    """How much a finding weighs, least first."""

    NOTE = "note"  # worth knowing
    CAUTION = "caution"  # look before going on
    CONFIRM = "confirm"  # a named person must confirm or replace a default: prints as DRAFT
    STOP = "stop"  # the repair cannot be done as planned: prints as DRAFT


@dataclass(frozen=True)
class Code:
    """A permanent finding code. The letter is the stage (S L C P K D N Q B H T J V R)."""

    code: str
    severity: Severity
    title: str
    todo: str

    def __call__(self, words: str, *, place: str = "", todo: str = "") -> Finding:
        """A finding of this code: ``words`` say what was found with its numbers, ``place`` where."""
        return Finding(self.code, self.severity, place, words, todo or self.todo)


@dataclass(frozen=True)
class Finding:
    """Something the plan found: code, severity, place (a path in the document or plan), words, what to do."""

    code: str
    severity: Severity
    place: str
    words: str
    todo: str


_CODES: dict[str, Code] = {}


def finding_code(code: str, severity: Severity, title: str, todo: str) -> Code:
    """Register a finding code once; a second use of the same code is a programming error."""
    made = Code(code, severity, title, todo)
    if _CODES.setdefault(code, made) != made:
        raise RuntimeError(f"finding code {code} is already taken by {_CODES[code].title!r}")
    return made


def stop_code(code: str, title: str, todo: str) -> Code:
    """A finding code after which the repair cannot be done as planned."""
    return finding_code(code, Severity.STOP, title, todo)


def confirm_code(code: str, title: str, todo: str) -> Code:
    """A finding code that a named person must confirm or replace."""
    return finding_code(code, Severity.CONFIRM, title, todo)


def caution_code(code: str, title: str, todo: str) -> Code:
    """A finding code that asks to look before going on."""
    return finding_code(code, Severity.CAUTION, title, todo)


def note_code(code: str, title: str, todo: str) -> Code:
    """A finding code that is worth knowing."""
    return finding_code(code, Severity.NOTE, title, todo)


def all_codes() -> tuple[Code, ...]:
    """Every registered finding code in order (of the stages imported so far)."""
    return tuple(_CODES[k] for k in sorted(_CODES))
