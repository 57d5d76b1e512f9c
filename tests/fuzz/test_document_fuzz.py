"""Whatever the bytes: reading ends in a document or in a DocumentError with its places, never otherwise."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from panelmend.document import Document, parse
from panelmend.document.places import Places
from panelmend.errors import DocumentError

ROOT = Path(__file__).parents[2]
TEXTS = [p.read_text("utf8") for p in sorted((ROOT / "examples").glob("*/repair.toml"))]
LINES = [text.splitlines() for text in TEXTS]
FIELDS = sorted({line.split(" =")[0].strip() for lines in LINES for line in lines if " = " in line})
SHARES = st.floats(0, 1, exclude_max=True)
JARGON = ("input should", "pydantic", "traceback", "given[", "annotated")


def limits(examples: int) -> Any:
    return settings(
        derandomize=True,
        database=None,
        deadline=None,
        max_examples=examples,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )


def read(data: bytes) -> None:
    try:
        loaded = parse(data, "fuzz.toml")
    except DocumentError as error:
        refusal = error
    else:
        assert isinstance(loaded.document, Document)
        return
    assert refusal.faults
    for fault in refusal.faults:
        assert fault.where.startswith("fuzz.toml")
        assert fault.words
        assert len(fault.sentence()) < 6000
        assert not any(word in fault.words.lower() for word in JARGON), fault.sentence()


@limits(150)
@given(data=st.binary(max_size=300))
def test_any_bytes(data: bytes) -> None:
    read(data)
    read(b"panelmend = 1\n" + data)


@limits(250)
@given(
    which=st.integers(0, len(TEXTS) - 1),
    edits=st.lists(
        st.tuples(st.floats(0, 1), st.integers(0, 12), st.binary(max_size=6)), min_size=1, max_size=3
    ),
)
def test_spoiled_bytes_of_the_examples(which: int, edits: list[tuple[float, int, bytes]]) -> None:
    data = TEXTS[which].encode()
    for where, removed, put in edits:
        at = int(where * len(data))
        data = data[:at] + put + data[at + removed :]
    read(data)


VALUES = [
    '""',
    '"3mm"',
    '"3"',
    '"-3in"',
    '"1,250mm"',
    '"500C"',
    '"90rad"',
    '"\\u0000"',
    "0",
    "-1",
    "1e999",
    "nan",
    "true",
    "[]",
    "{}",
    "[[1]]",
    '[{},"a"]',
    "2026-11-25",
    "2026-11-25T10:00:00Z",
    "10:00:00",
    '{value="1mm"}',
    '{place="x"}',
    "{circle={}}",
]
WORDS = st.sampled_from(["", *VALUES, "0x" + "f" * 40, "9" * 30, '"' + "x" * 5000 + '"'])


@limits(250)
@given(
    which=st.integers(0, len(TEXTS) - 1),
    edits=st.lists(st.tuples(SHARES, WORDS), min_size=1, max_size=4),
)
def test_other_values_in_the_examples(which: int, edits: list[tuple[float, str]]) -> None:
    lines = list(LINES[which])
    for where, value in edits:
        at = int(where * len(lines))
        name, equals, _ = lines[at].partition(" = ")
        lines[at] = f"{name}{equals}{value}" if equals else value
    read("\n".join(lines).encode())


@limits(120)
@given(
    which=st.integers(0, len(TEXTS) - 1),
    moves=st.lists(
        st.tuples(st.floats(0, 1, exclude_max=True), st.floats(0, 1, exclude_max=True)),
        min_size=1,
        max_size=6,
    ),
)
def test_lines_in_other_places(which: int, moves: list[tuple[float, float]]) -> None:
    lines = list(LINES[which])
    for start, end in moves:
        lines.insert(int(end * len(lines)), lines.pop(int(start * len(lines))))
    read("\n".join(lines).encode())


SCALARS = st.one_of(
    st.integers(), st.floats(), st.booleans(), st.text(max_size=12), st.dates(), st.datetimes(), st.times()
)
TREES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(FIELDS), inner, max_size=4),
    max_leaves=12,
)


def toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{quoted(k)} = {toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(toml(v) for v in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, int | float):
        return repr(value)
    return str(value.isoformat())


def quoted(text: str) -> str:
    inside = "".join(c if c.isprintable() and c not in '"\\' else f"\\U{ord(c):08X}" for c in text)
    return f'"{inside}"'


@limits(120)  # what 2.5 % of such trees meet is met in 95 of 100 sets
@given(
    sections=st.dictionaries(st.sampled_from(sorted(Document.model_fields)), TREES, max_size=6),
    which=st.integers(0, len(TEXTS) - 1),
)
def test_random_trees_under_the_documents_own_names(sections: dict[str, Any], which: int) -> None:
    raw = {**tomllib.loads(TEXTS[which]), **sections, "panelmend": 1}
    text = "panelmend = 1\n" + "".join(f"{k} = {toml(v)}\n" for k, v in raw.items() if k != "panelmend")
    read(text.encode("utf8", "replace"))


@limits(150)
@given(tree=st.dictionaries(st.text(max_size=6), TREES, max_size=5))
def test_every_value_has_its_line(tree: dict[str, Any]) -> None:
    """One pair on each line: the place found for a value is the line it was written on."""
    names = list(tree)
    text = "".join(f"{quoted(name)} = {toml(tree[name])}\n" for name in names)
    try:
        again = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, ValueError):
        return
    places = Places(text)
    for i, name in enumerate(names):
        assert name in again
        assert places.line((name,)) == i + 1
        if isinstance(tree[name], dict):
            for inner in tree[name]:
                assert places.line((name, inner)) == i + 1
