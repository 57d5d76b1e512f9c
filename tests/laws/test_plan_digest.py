"""The digest of a plan is that of its figures and findings as plain JSON, however its rows are made."""

from __future__ import annotations

import hashlib
import json

import pytest

from examples_here import FOLDER, names
from panelmend.app import service
from panelmend.derive import Figure, Ledger, Origin, Source
from panelmend.errors import Finding
from panelmend.plan.plan import digest_of, plain_value

SOURCE = Source('a "title" with ü', "page 5")


def plainly(digest: str, ledger: Ledger, findings: tuple[Finding, ...]) -> str:
    """The digest put together by the plain library alone."""
    rows = [
        {
            "key": f.key,
            "value": plain_value(f),
            "kind": f.kind,
            "origin": f.origin.value,
            "source": {"title": f.source.title, "place": f.source.place},
            "formula": f.formula,
            "inputs": dict(f.inputs),
            "flags": list(f.flags),
            "limit": f.limit,
        }
        for f in ledger
    ]
    text = json.dumps(
        [digest, rows, [[f.code, f.place, f.words] for f in findings]], sort_keys=True, ensure_ascii=False
    )
    return hashlib.sha256(text.encode("utf8")).hexdigest()


@pytest.mark.parametrize("name", names())
def test_the_digest_of_every_example_is_that_of_its_plain_rows(name: str) -> None:
    plan = service.plan(FOLDER / name / "repair.toml")
    assert plan.digest == plainly(plan.case.digest, plan.ledger, plan.findings)


@pytest.mark.parametrize(
    "value",
    [0.0, -0.0, 1.0, 1, 1e300, 1e-7, 0.1 + 0.2, 'words "quoted" \n ü', "", -3],
)
def test_every_kind_of_value_is_written_as_json_writes_it(value: float | int | str) -> None:
    made = {}
    for other in (value, 2.5, value):  # what was kept of the row before is not another value's
        ledger = Ledger()
        ledger.add(Figure("a.b", other, "length", Origin.TYPED, SOURCE, "", (("x", "y"),), ("mind",), "most"))
        made[repr(other)] = digest_of("d", ledger, ())
        assert made[repr(other)] == plainly("d", ledger, ())
    assert digest_of("d", Ledger(), ()) == plainly("d", Ledger(), ())
    assert len(set(made.values())) == 2
