"""Scripts of the screen, its pages and the printed pages decide on codes: a scan of what they compare."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "src" / "panelmend"
SCRIPTS, PAGES, PRINTED = (
    (ROOT / "screen/static", "*.js"),
    (ROOT / "screen/templates", "*.html"),
    (ROOT / "render/typst", "*.typ"),
)
# Names of fields that hold words for people, or ids and answers that people choose.
WORDS = {
    "what", "words", "title", "name", "id", "label", "text", "why", "note", "todo", "said", "place", "reason",
    "reasons", "textContent", "innerText", "innerHTML", "value", "person", "lot", "serial", "material", "by",
    "operation", "head",
}  # fmt: skip
NOTE = {"*.js": r"(?m)^\s*//.*$|\s//\s.*$", "*.typ": r"(?m)//.*$", "*.html": r"\{#.*?#\}"}
TEXT = r"""(?:"[^"\n]+"|'[^'\n]+')"""
COMPARED = re.compile(rf"([\w.$?-]*?\b(\w+))\s*(?:[!=]==?|\bnot in|\bin)\s*\(?({TEXT}(?:,\s*{TEXT})*)")
ASKED = re.compile(
    r"[\w.$?\])]*[.](?:startsWith|endsWith|includes|indexOf|match|search|test|contains|localeCompare)\([^)\n]*"
)
SELECTED = re.compile(r"\[[\w-]+=[\"']?\$\{([^}]+)\}")
CODE = "a code of our own, one of a few"
FIELD = "the name of a field of our own form"
KEY = "a key of the keyboard"
ADDRESS = "an address or a name in the browser's storage, of our own making"
COMPARES = {
    ("bench.js", 'form.decision.value === "do again"'): CODE,
    ("card.html", "plan.standing.value != 'READY'"): CODE,
    ("mover.js", 'this.what === "blanket"'): CODE,
    ("mover.js", 'this.what === "cutout"'): CODE,
    ("mover.js", 'this.what === "damage"'): CODE,
    ("mover.js", 'this.what === "thermocouple"'): CODE,
    ("people.js", 'field.name === "secret"'): FIELD,
    ("photo.js", 'what === "picture"'): CODE,
    ("step.js", 'blank.dataset.person !== "true"'): "a flag",
    ("stores.html", "f.name == 'lot'"): FIELD,
    ("stores.js", 'field.name === "secret"'): FIELD,
    **{("survey.js", f'name === "{k}"'): KEY for k in "dDsSnN"},
}
ASKS = {
    ("inputs.js", "k.startsWith(`${list}.`"): "keys of fields of our own",
    ("keep.js", "ANOTHERS.includes(error.problem.type"): CODE,
    ("keep.js", "ANOTHERS.includes(error.problem?.type"): CODE,
    ("keep.js", "e.key?.startsWith(this.prefix"): ADDRESS,
    ("keep.js", "k.startsWith(this.prefix"): ADDRESS,
    ("panel.js", "].includes(mode"): CODE,
    ("panel.js", ").includes(a.dataset.damage"): "short names of damages: capitals and digits alone",
    ("pending.js", "k.startsWith(this.prefix"): ADDRESS,
    ("scan.js", ")).includes(KIND"): CODE,
    ("step.js", "e.detail.path.startsWith(`${api}/`"): ADDRESS,
    ("step.js", "i.path.startsWith(`${api}/`"): ADDRESS,
    ("step.js", "item.path.match(/steps\\/(\\d+"): ADDRESS,
    ("survey.js", ").match(/-?[\\d.]+/g"): "numbers of a transformation",
    ("why.js", 'address.includes("?"'): ADDRESS,
}
PICKED = {
    "key",
    "part",
    "KEY",
    "what",
    "number",
    "n",
    "p",
    "meaning",
    "e.detail.body.blank",
}  # codes and numbers


def _of(where: tuple[Path, str]) -> dict[str, str]:
    folder, ending = where
    return {p.name: re.sub(NOTE[ending], "", p.read_text("utf8")) for p in sorted(folder.glob(ending))}


def _compared(text: str) -> set[str]:
    return {m[0].lstrip("-.") for m in COMPARED.finditer(text) if m[2] in WORDS}


def _asked(text: str) -> set[str]:
    status = re.compile(r"includes\((?:error\.problem\.)?status")  # numbers of HTTP
    return {m[0] for m in ASKED.finditer(text) if not status.search(m[0]) and "activeElement" not in m[0]}


def test_no_script_and_no_page_compares_words() -> None:
    files = _of(SCRIPTS) | _of(PAGES) | _of(PRINTED)
    assert len(files) > 90
    found = {(name, c) for name, text in files.items() for c in _compared(text)}
    assert found == set(COMPARES), "compare a code, a flag or a number, or say here why"


def test_no_script_asks_what_stands_in_words() -> None:
    files = _of(SCRIPTS) | _of(PAGES) | _of(PRINTED)
    assert {(name, c) for name, text in files.items() for c in _asked(text)} == set(ASKS)


def test_nothing_people_call_things_is_put_into_a_selector_as_it_is() -> None:
    """A thermocouple called T"1 could not be moved."""
    picked = {m[1] for text in _of(SCRIPTS).values() for m in SELECTED.finditer(text)}
    assert {p for p in picked if not p.startswith("CSS.escape(")} <= PICKED


def test_fields_kept_on_a_device_are_those_of_one_repair_and_one_page() -> None:
    """What was typed on the fields of X went to the panel of a repair that was called X-inputs."""
    made = re.findall(r"new Pending\((.*?)\);", "".join(_of(SCRIPTS).values()))
    assert sorted(made) == ["board.dataset.repair", 'name, "inputs"']


@pytest.mark.parametrize(
    "source",
    [
        'if (f.words === "STOP") hide()', "{% if f.title == 'READY' %}", '#if l.what != "none" []',
        "{% if x.lot in ('none') %}", "if (b.textContent !== 'x') y()", '#if b.place in ("a", "b") []',
    ],
)  # fmt: skip
def test_words_that_are_compared_are_seen(source: str) -> None:
    assert _compared(source)


def test_words_that_are_asked_are_seen_and_codes_are_not() -> None:
    assert _asked('if (f.words.startsWith("OUT")) x()')
    assert _asked("if (t.includes('STOP')) x()")
    assert not _compared('if (f.kind === "stop") x()')
    assert not _compared('if (f.words === "") x()')
