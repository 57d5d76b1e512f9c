"""Docs cannot rot: pages made from the code are current, every stage and verb has its words."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from finding_limits import tried
from panelmend.app.cli import main
from panelmend.app.exits import WORDS, Exit
from panelmend.app.pages import PAGES, findings_page
from panelmend.job import STAGES

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("name", PAGES)
def test_pages_made_from_the_code_are_current(name: str) -> None:
    kept, make = (ROOT / "docs" / name).read_text("utf8"), PAGES[name]
    now = findings_page(tried()) if make is findings_page else make()
    assert kept == now, f"docs/{name} is old: run scripts/docs"


def test_the_walk_through_the_house_leads_past_what_is_there() -> None:
    """Each row names a file and something that is defined in it, and the way back is what the tool prints."""
    page = (ROOT / "docs" / "house.md").read_text("utf8")
    rows = re.findall(r"(?m)^\| [^|]+ \| `([\w/]+\.py)` \| `(\w+)` \|", page)
    assert len(rows) >= 12
    for file, name in rows:
        tree = ast.parse((ROOT / "src" / "panelmend" / file).read_text("utf8"))
        named = {n.name for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.ClassDef)}
        named |= {
            n.target.id
            for n in ast.walk(tree)
            if isinstance(n, ast.AnnAssign) and isinstance(n.target, ast.Name)
        }
        assert name in named, f"docs/house.md: {file} has no {name}"


def test_every_file_of_published_values_stands_in_the_validation_page() -> None:
    page = (ROOT / "docs" / "validation.md").read_text("utf8")
    headings = set(re.findall(r"^## (.+)$", page, re.M))
    for file in sorted((ROOT / "tests" / "published").glob("test_*.py")):
        words = file.stem.removeprefix("test_").replace("_", " ").capitalize()
        assert words in headings, f"{file.name}: run scripts/validation"


def step_numbers() -> dict[str, set[int]]:
    """Numbers of the card's steps by their letter, as its sources make them."""
    found: dict[str, set[int]] = {}
    for path in (ROOT / "src" / "panelmend" / "job" / "card").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf8"))):
            text = node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
            if step := re.fullmatch(r"([A-EO])(\d{1,2})", text):
                found.setdefault(step[1], set()).add(int(step[2]))
    return found


def test_the_page_of_the_card_names_every_step_there_is() -> None:
    page = (ROOT / "docs" / "method" / "card.md").read_text("utf8")
    shown = {a: (int(b), int(c)) for a, b, c in re.findall(r"(?m)^\| ([A-Z])(\d+)-\1(\d+) \|", page)}
    steps = step_numbers()
    assert set(steps) == set("ABCDEO")
    assert shown == {letter: (min(n), max(n)) for letter, n in steps.items()}
    assert all(n == set(range(1, max(n) + 1)) for n in steps.values())


def test_the_page_of_the_house_names_the_stages_without_a_file_of_formulas() -> None:
    page = " ".join((ROOT / "docs" / "house.md").read_text("utf8").split())
    told = re.search(r"`formulas\.py` \(the numbers with their sources\), but for ([^:]+): ", page)
    assert told is not None
    job = ROOT / "src" / "panelmend" / "job"
    stages = {*STAGES, "survey"}
    for stage in stages:
        assert {f.name for f in (job / stage).glob("*.py")} >= {"part.py", "make.py", "checks.py"}, stage
    without = {s for s in stages if not (job / s / "formulas.py").exists()}
    assert set(re.findall(r"`(\w+)`", told[1])) == without


def test_the_page_of_the_house_names_every_file_that_stages_share() -> None:
    page = (ROOT / "docs" / "house.md").read_text("utf8")
    rows = "".join(line for line in page.splitlines() if line.startswith("| `"))
    files = {f.name for f in (ROOT / "src" / "panelmend" / "job").glob("*.py")} - {"__init__.py"}
    assert len(files) > 20
    assert {f for f in files if f"`{f}`" not in rows} == set()


def test_no_page_counts_the_codes_beside_the_page_that_lists_them() -> None:
    """A count that is written down is old with the next code; a dated one says its day."""
    for page in sorted((ROOT / "docs").rglob("*.md")):
        counted = re.findall(r"\b\d{3} codes\b(?! rewritten)", page.read_text("utf8"))
        assert counted == [], page.name


@pytest.mark.parametrize("stage", STAGES)
def test_every_stage_has_a_method_page(stage: str) -> None:
    page = (ROOT / "docs" / "method" / f"{stage}.md").read_text("utf8")
    assert len(page) > 800, f"docs/method/{stage}.md says too little"


def test_every_verb_stands_in_the_start_page_with_its_options() -> None:
    page = (ROOT / "docs" / "start.md").read_text("utf8")
    for name, command in main.commands.items():
        assert f"panelmend {name}" in page, f"docs/start.md does not show {name}"
        for option in command.params:
            for word in option.opts:
                if word.startswith("--"):
                    assert word in page, f"docs/start.md does not tell of {name} {word}"


def test_exit_codes_have_one_table_that_page_and_help_show() -> None:
    page = (ROOT / "docs" / "start.md").read_text("utf8")
    shown = re.findall(r"(?m)^\| (\d+) \| (.+) \|$", page)
    assert [(int(c), w.replace("`", "")) for c, w in shown] == [(c.value, w) for c, w in WORDS.items()]
    assert set(WORDS) == set(Exit)
    assert main.epilog is not None
    assert all(words in main.epilog for words in WORDS.values())


def test_pictures_and_pages_that_are_linked_are_there() -> None:
    pages = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
    for page in pages:
        for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text("utf8")):
            if "://" not in target:
                assert (page.parent / target).exists(), f"{page.name} links to {target}"


def test_nothing_unfinished_or_of_this_machine_is_committed() -> None:
    words = re.compile(
        "|".join(["TO" + "DO", "FIX" + "ME", "Not" + "ImplementedError", "/wo" + "rk/", "/ro" + "ot/"])
    )
    rooms = ("src", "tests", "docs", "scripts", "examples", "benchmarks", "requirements", ".ci")
    files = [p for room in rooms for p in (ROOT / room).rglob("*")]
    files += [p for p in ROOT.glob("*") if p.suffix in (".md", ".toml")]
    assert len(files) > 400
    for path in files:
        binary = path.suffix in (".otf", ".ttf", ".png", ".wav", ".xlsx", ".woff2", ".pyc", ".nbi", ".nbc")
        if binary or "__pycache__" in path.parts or ".egg-info" in str(path) or not path.is_file():
            continue
        found = words.search(path.read_text("utf8", errors="replace"))
        assert found is None, f"{path.name}: {found[0] if found else ''}"
