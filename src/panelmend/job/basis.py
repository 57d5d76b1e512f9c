"""The basis of a figure: approved data first, a usual value of the trade only where there is none."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from panelmend.derive import Figure, Ledger, Source
from panelmend.derive.figure import SHOP_PRACTICE, PracticeSheet, Value
from panelmend.document.approved import ApprovedData, Given
from panelmend.document.bounds import usual_of
from panelmend.errors import InputError, UnitError
from panelmend.job.case import Case
from panelmend.job.defaults import LIMITS, USUAL
from panelmend.materials import Material, Sourced
from panelmend.units import Limit, read, show

MISTYPED_FACTOR = 10.0  # a practice sheet that is further off than this was mistyped


class Basis:
    """Puts typed, approved, table and default values of a case into its ledger."""

    def __init__(self, case: Case, ledger: Ledger) -> None:
        self.case, self.ledger = case, ledger

    def typed(self, key: str, value: Value, kind: str = "", *, path: str, limit: Limit = "") -> Figure:
        """A figure from the document; ``path`` is the field it was typed in."""
        source = Source(self.case.typed_in(path), path)
        return self.ledger.typed(
            key,
            value,
            kind,
            source=source,
            limit=limit or LIMITS.get(key, ""),
            stands=self.case.stands_at(path),
        )

    def given(
        self, key: str, given: Given[Any], kind: str = "", *, value: Value | None = None, limit: Limit = ""
    ) -> Figure:
        """A figure from the approved data; ``value`` replaces what is not a single number or word."""
        manual = self.case.document.data.manual
        source = Source(f"{manual.number} rev {manual.revision}", given.place)
        taken = given.value if value is None else value
        return self.ledger.approved(
            key,
            taken,
            kind,
            source=source,
            limit=limit or LIMITS.get(key, ""),
            stands=self.case.stands(given),
        )

    def usual(self, key: str, given: Given[Any] | None) -> Figure:
        """The approved value if there is one, else the one usual value of this key, marked as such."""
        usual = USUAL[key]
        if given is not None:
            return self.given(key, given, usual.kind)
        return self.default(key)

    def default(self, key: str) -> Figure:
        """The usual value of this key: somebody must confirm it."""
        usual = USUAL[key]
        value, source = self._of_the_shop(key, usual.of(self.case.view), usual.kind, usual.source)
        return self.ledger.default(key, value, usual.kind, source=source, limit=LIMITS.get(key, ""))

    def _of_the_shop(self, key: str, value: Value, kind: str, source: Source) -> tuple[Value, Source]:
        """What a practice sheet puts in the place of a usual number, with what is printed beside it."""
        shelved = self.case.shelved
        given = shelved.practice.get(key) if shelved is not None else None
        if shelved is None or given is None or not kind or not isinstance(value, int | float):
            return value, source
        text, path, said = given
        where = shelved.stands.at(path)
        try:
            number = read(text, kind)
        except UnitError as error:
            raise InputError(error.words, where=where, read=error.read, expected=error.expected) from None
        if number < 0.0 or (value > 0 and not value / MISTYPED_FACTOR <= number <= value * MISTYPED_FACTOR):
            raise InputError(
                f"the value of {key} is far from the usual one",
                where=where,
                read=text,
                expected=f"between a tenth and ten times of {show(float(value), kind, self.case.view)}",
                todo="correct the practice sheet; what is meant so belongs into the approved data",
            )
        most = _usual(key)
        in_range = most is None or most[0] * (1 - 1e-9) <= number <= most[1] * (1 + 1e-9)
        if most is not None and not in_range and number != value:
            view = self.case.view
            raise InputError(
                f"the value of {key} is not usual",
                where=where,
                read=text,
                expected=f"{show(most[0], kind, view)} to {show(most[1], kind, view)}",
                todo="correct the practice sheet; what is meant so belongs into the approved data",
            )
        return number, PracticeSheet(SHOP_PRACTICE, said)

    def given_or(
        self, key: str, given: Given[Any] | None, default: Value, kind: str = "", *, source: Source
    ) -> Figure:
        """The same where what is usual depends on the rest of the document."""
        if given is not None:
            return self.given(key, given, kind)
        return self.ledger.default(key, default, kind, source=source, limit=LIMITS.get(key, ""))

    def table(self, key: str, sourced: Sourced[Any], kind: str, *, of: Material, limit: Limit = "") -> Figure:
        """A figure from a materials table."""
        return self.ledger.table(
            key,
            sourced.value,
            kind,
            source=Source(sourced.source or of.source, of.name),
            limit=limit,
            stands=self.case.stands(of),
        )


def _usual(key: str) -> tuple[float, float] | None:
    """The range [SI] that the field of the data has for which a usual value stands in; None for none."""
    section, _, name = key.partition(".")
    field = ApprovedData.model_fields.get(section)
    model = field.annotation if field is not None else None
    return usual_of(model, name) if isinstance(model, type) and issubclass(model, BaseModel) else None
