"""Practice sheets in a plan: the shop's value where the data gives none, marked; silent where it must be."""

from __future__ import annotations

import ast
import re
from datetime import date
from pathlib import Path

import pytest

from panelmend.app import service
from panelmend.app.shelf_hold import Planned, outdated
from panelmend.app.telling import findings_words
from panelmend.derive import Figure, Origin, Source
from panelmend.derive.figure import SHOP_PRACTICE, PracticeSheet
from panelmend.errors import InputError, Severity, all_codes
from panelmend.job import defaults
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.workings import Workings, workings_of
from panelmend.shelves.entry import read_entry
from panelmend.shelves.folder import Folder
from panelmend.shelves.practice import STAGES
from shelf_files import Shop, head

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
SAID = 'conditions = "c 1"\nby = "D. Aune"\non = 2026-11-24\nreason = "sheet 1"\nuntil = 2027-11-23\n'
ROWS = (
    ("bag.film_allowance", '"30 %"'),
    ("bag.adhesive_margin", '"0.25 in"'),
    ("core.ribbon_tolerance", '"6 deg"'),
    ("plies.tape_width", '"2 in"'),
    ("plies.trim", '"20 mm"'),
    ("surface.grit", "150"),
    ("bag.least_vacuum", '"20 inHg"'),
    ("bag.leak_time", '"1 min"'),
    ("kit.allowance", "0.12"),
    ("kit.no_such_figure", '"1 mm"'),
)
WITHOUT = ("tape_width", "grit", "least_vacuum", "leak_time")


def sheet(*rows: tuple[str, str]) -> str:
    body = "\n".join(f'[[practice]]\nfigure = "{f}"\nvalue = {v}\n{SAID}' for f, v in rows)
    return head("practice", "practice 2026") + body


def planned(folder: Path, *rows: tuple[str, str]) -> Plan:
    """The plan of the short job, its data without some values and with these rows on the practice sheet."""
    shop = Shop(folder)
    lines = shop.read("data", REPAIR_7).split("\n[entry.check]")[0].split("\n")
    shop.put("data", REPAIR_7, "\n".join(x for x in lines if not x.startswith(WITHOUT)) + "\n")
    shop.put("practice", "practice 2026", sheet(*rows))
    return make_plan(case_of(shop.load()))


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    return planned(tmp_path_factory.mktemp("shop"), *ROWS)


def codes(plan: Plan, key: str) -> set[str]:
    return {f.code for f in plan.findings if f.place == key}


def test_the_value_of_the_shop_is_used_and_says_so(plan: Plan) -> None:
    figure = plan.ledger["bag.film_allowance"]
    assert figure.value == pytest.approx(0.30)
    assert figure.is_default
    assert str(figure.source).startswith("shop practice, not approved, practice 2026")
    assert plan.ledger["kit.allowance"].value == pytest.approx(0.12)
    assert codes(plan, "bag.film_allowance") == set()
    assert Workings(plan.ledger, "mm", plan.findings).mark(figure) == "P", "beside the value on each page"
    assert Workings(plan.ledger, "mm", plan.findings).mark(plan.ledger["limits.edge_distance"]) == ""


def test_the_mark_stands_beside_every_value_that_a_sheet_speaks_for(plan: Plan) -> None:
    """Where it only repeats the usual value of plies or vacuum, too; D where its own was not taken."""
    shown = workings_of(plan)
    marks = {f.key: shown.mark(f) for f in plan.ledger.defaults()}
    assert marks == {
        "bag.adhesive_margin": "P",
        "plies.tape_width": "P",
        "core.ribbon_tolerance": "P",
        "bag.least_vacuum": "D",
        "bag.film_allowance": "P",
        "bag.leak_time": "P",
        "kit.wet_margin": "D",
        "kit.allowance": "P",
        "surface.grit": "P",
    }


def test_one_sheet_is_one_finding_and_its_other_figures_are_not_asked_about(plan: Plan) -> None:
    notes = [f for f in plan.findings if f.code == "X114"]
    for key in (
        "bag.film_allowance",
        "bag.adhesive_margin",
        "plies.tape_width",
        "bag.leak_time",
        "kit.allowance",
    ):
        assert f"{key} = " in " ".join(f.words for f in notes)
    assert len(notes) == 1, "one paper, one set of conditions: one finding"
    assert "no_such_figure" not in notes[0].words
    assert findings_words(plan).count("X114") == 1
    unknown = [f for f in plan.findings if f.code == "J003"]
    assert [f.words.split(" is ")[0] for f in unknown] == ["kit.no_such_figure"], "the slip alone"
    assert unknown[0].place == "use.practice"


@pytest.mark.parametrize(("key", "usual"), [("plies.trim", 0.0254), ("bag.least_vacuum", 22 * 3386.389)])
def test_of_plies_and_vacuum_a_sheet_sets_nothing(plan: Plan, key: str, usual: float) -> None:
    """It may repeat the usual value; another one stays open and the usual one stays in the plan."""
    if key not in plan.ledger:
        return
    assert float(plan.ledger[key]) == pytest.approx(usual, rel=1e-4)
    assert codes(plan, key) == {"X110"}
    assert plan.ledger[key].source.title != "shop practice, not approved"


def test_a_value_that_depends_on_the_rest_is_confirmed_only_as_it_is(plan: Plan) -> None:
    assert {c.severity for c in all_codes() if c.code == "X110"} == {Severity.CONFIRM}
    found = [f.words for f in plan.findings if f.code == "X110"]
    assert any(w.startswith("bag.least_vacuum = 22.0 inHg; D. Aune confirmed 20 inHg") for w in found), found


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ('"20 mm"', r"practice/practice 2026\.toml, line \d+: .*mm"),
        ('"2.01 "', "far from the usual one"),
        ("0.019", "far from the usual one"),
        ("-0.2", "far from the usual one"),
        ("2.0", "is not usual"),
        ("1.0", None),
        ("0.02", None),
    ],
)
def test_what_was_mistyped_on_a_sheet_is_refused(tmp_path: Path, value: str, words: str | None) -> None:
    """The usual allowance for pleats is 20 %: a tenth of it and ten times are the last that are taken, and of
    these what is usual for the field."""
    if words is None:
        made = planned(tmp_path, ("bag.film_allowance", value))
        assert made.ledger["bag.film_allowance"].value == pytest.approx(float(value))
        return
    shop = Shop(tmp_path)
    shop.put("practice", "practice 2026", sheet(("bag.film_allowance", value)))
    shop.load()
    with pytest.raises(InputError, match=words):
        service.plan(shop.job)


@pytest.mark.parametrize(
    ("figure", "value", "passes"),
    [
        ("core.ribbon_tolerance", "30 deg", True),
        ("core.ribbon_tolerance", "31 deg", False),
        ("bag.film_allowance", "100 %", True),
        ("bag.film_allowance", "101 %", False),
    ],
)
def test_a_sheet_says_nothing_that_the_data_would_be_asked_about(
    tmp_path: Path, figure: str, value: str, passes: bool
) -> None:
    """A ribbon turned by 45 degrees stood on a sheet without a question: its usual value is 5."""
    if passes:
        assert planned(tmp_path, (figure, f'"{value}"')).ledger[figure].is_shop_practice
        return
    with pytest.raises(InputError, match=f"the value of {figure} is not usual"):
        planned(tmp_path, (figure, f'"{value}"'))


def test_a_source_that_only_calls_itself_a_practice_sheet_is_none() -> None:
    """Anybody may type these words as the source of a material."""
    titled = [Figure("a", 1.0, "", Origin.TABLE, kind(SHOP_PRACTICE)) for kind in (Source, PracticeSheet)]
    assert [f.is_shop_practice for f in titled] == [False, True]


def test_a_confirmation_of_the_job_goes_before_the_sheet(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.text += (
        '\n[[confirm]]\nfigure = "kit.allowance"\nby = "J. Hale"\non = 2026-11-24\nvalue = "11 %"\n'
        "until = 2026-11-25\n"
    )
    made = make_plan(case_of(shop.load()))
    (finding,) = [f for f in made.findings if f.place == "kit.allowance"]
    assert finding.code == "X110", "the plan has 10 %"
    assert "(practice" not in finding.words
    with pytest.raises(InputError, match="ended before the day of the work"):
        shop.load(("until = 2026-11-25", "until = 2026-11-24"))


def test_no_sheet_settles_what_a_named_person_must(tmp_path: Path) -> None:
    """Plies that fall short of the skin and values nobody usually has are confirmed for one repair alone."""
    shop = Shop(tmp_path)
    text = shop.read("data", REPAIR_7).split("\n[entry.check]")[0]
    last = '  { cloth = "demo-glass-8h", warp = "0 deg" },\n'
    assert last in text
    text = text.replace(last, "")
    shop.put("data", REPAIR_7, text)
    open_ = {f.place for f in make_plan(case_of(shop.load())).findings if f.code in ("J150", "J152")}
    assert open_
    keys = [k for k in open_ if k.split(".")[0] in STAGES]
    assert keys
    shop.put("practice", "practice 2026", sheet(*((k, '"1 mm"') for k in keys)))
    still = {f.place for f in make_plan(case_of(shop.load())).findings if f.code in ("J150", "J152")}
    assert still == open_


def _with_only(folder: Path, only: str) -> Shop:
    shop = Shop(folder)
    row = sheet(("kit.allowance", "0.12")).replace('conditions = "c 1"', f'conditions = "c 1"\n{only}')
    shop.put("practice", "practice 2026", row)
    return shop


@pytest.mark.parametrize(
    ("only", "holds", "words"),
    [
        ('only = { bays = ["door cell"] }', True, ""),
        ('only = { bays = ["engine cell"] }', False, "it is for engine cell; the bay is door cell"),
        ('only = { data = ["M3-SRM rev 11 / Repair 7"] }', True, ""),
        ('only = { data = ["M3-SRM rev 12 / Repair 7"] }', False, "the data is M3-SRM rev 11 / Repair 7"),
        ('only = { materials = { core = ["demo-aramid-48"] } }', True, ""),
        ('only = { materials = { core = ["demo-aramid-64"] } }', False, "the job uses demo-aramid-48"),
        ('only = { materials = { resin = ["demo-laminating-resin", "other"] } }', True, ""),
        ('only = { air = { low = "18 C", high = "26 C" } }', True, ""),  # it is 18 C
        ('only = { air = { low = "64.4 F" } }', True, ""),
        ('only = { air = { low = "18.1 C" } }', False, "18.1 C to any, air of the bay; here it is 18.0 C"),
        ('only = { air = { high = "17.9 C" } }', False, "here it is 18.0 C"),
        ('only = { cure = { low = "60 C", high = "82 C" } }', True, ""),  # 66 and 82 C
        ('only = { cure = { high = "81 C" } }', False, "any to 81.0 C, the cures; here it is 82.0 C"),
        (
            'only = { bays = ["door cell"], materials = { cloth = ["demo-glass-8h"] } }',
            False,
            "the job uses demo-glass-8h, demo-glass-plain",
        ),
    ],
)
def test_a_row_that_names_its_conditions_holds_only_where_the_job_meets_them(
    tmp_path: Path, only: str, holds: bool, words: str
) -> None:
    shop = _with_only(tmp_path, only)
    assert shop.codes() == ([] if holds else ["X101", "X390"] if "X101" in shop.codes() else ["X390"])
    made = make_plan(case_of(shop.load()))
    assert made.ledger["kit.allowance"].value == pytest.approx(0.12 if holds else 0.1)
    assert [f.words for f in made.findings if f.code == "X391"] == []
    told = [f for f in made.findings if f.code == "X390"]
    assert len(told) == (0 if holds else 1)
    if told:
        assert words in told[0].words
        assert told[0].severity is Severity.CONFIRM
        assert "J001" in codes(made, "kit.allowance"), "the usual value, and it waits for somebody"


def test_conditions_in_words_alone_are_shown_beside_the_value_and_said_to_be_unread(tmp_path: Path) -> None:
    """Alone they let a plan be READY: nothing saw whether this job is one that their writer meant."""
    made = planned(tmp_path, ("kit.allowance", "0.12"))
    assert str(made.ledger["kit.allowance"].source).endswith("for c 1")
    (told,) = [f for f in made.findings if f.code == "X391"]
    assert (told.words, told.severity) == ("practice 2026: c 1 (kit.allowance)", Severity.CONFIRM)
    shop = Shop(tmp_path)
    shop.put("practice", "practice 2026", sheet(("kit.allowance", "0.12")))
    shop.text += '\n[[confirm]]\nfigure = "kit.allowance"\nby = "J. Hale"\non = 2026-11-24\nvalue = "10 %"\n'
    own = make_plan(case_of(shop.load()))
    assert {f.code for f in own.findings if f.code == "X391" or f.place == "kit.allowance"} == {"J002"}


@pytest.mark.parametrize(
    ("only", "words"),
    [
        ("only = { }", "it names nothing to compare"),
        ("only = { air = { } }", "no range of temperature"),
        ('only = { air = { low = "26 C", high = "18 C" } }', "no range of temperature"),
        ('only = { air = { low = "18" } }', "unit"),
        ('only = { materials = { glue = ["x"] } }', "no kind of material"),
    ],
)
def test_conditions_that_compare_nothing_are_refused(tmp_path: Path, only: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        _with_only(tmp_path, only).load()


def test_every_key_that_the_stages_give_a_default_may_stand_on_a_sheet() -> None:
    keys = set()
    for path in Path(defaults.__file__).parent.rglob("*.py"):
        for call in ast.walk(ast.parse(path.read_text("utf8"))):
            if not (isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and call.args):
                continue
            key = call.args[0]
            if call.func.attr in ("usual", "default", "given_or") and isinstance(key, ast.Constant):
                keys.add(str(key.value))
    assert {"cutout.lie", "bag.film_allowance", "plies.strain_most"} <= keys
    assert [k for k in sorted(keys) if k.split(".")[0] in STAGES and not defaults.is_default(k)] == []
    assert not defaults.is_default("kit.no_such_figure")


def test_a_bay_whose_air_nobody_typed_meets_no_condition_on_it(tmp_path: Path) -> None:
    shop = _with_only(tmp_path, 'only = { air = { low = "10 C" } }')
    assert "X390" not in shop.codes()
    shop.edit("bays", "door cell", ('air_temperature = "18 C"', ""))
    assert "X390" in shop.codes()


@pytest.mark.parametrize(("today", "told"), [("2026-11-27", 0), ("2026-11-28", 1)])
def test_a_confirmation_that_ended_since_the_day_of_the_work_is_told_before_it_is_begun(
    tmp_path: Path, today: str, told: int
) -> None:
    """The day of the work was inside, the day of the signature was not."""
    shop = Shop(tmp_path)
    row = re.sub(r"until = \S+", "until = 2026-11-27", sheet(("kit.allowance", "0.12")))
    shop.put("practice", "practice 2026", row)
    loaded = shop.load()
    assert loaded.shelved is not None
    taken = tuple(
        read_entry(e.data, e.file, "practice") for e in loaded.shelved.entries if e.shelf == "practice"
    )
    planned_ = Planned(taken, frozenset(), date(2026, 11, 25))
    found = list(outdated(planned_, Folder(shop.folder / "shelves"), date.fromisoformat(today)))
    assert len(found) == told
    assert ["kit.allowance until 2026-11-27" in f for f in found] == [True] * told
