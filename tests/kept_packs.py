"""Packs as text: pages before they are set, files for a knife and lists read back, what the plan found."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Mapping
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any
from unittest.mock import patch
from xml.etree import ElementTree

import ezdxf
from openpyxl import load_workbook

import card_plans
from kept_text import LINE, NUMBER, beside, lines_of, places
from panelmend.app import service
from panelmend.plan.plan import Plan
from panelmend.render import files, labels
from panelmend.render.request import beyond, request_sheets
from panelmend.render.several import several_sheets, shared_files
from panelmend.render.strokes import Label
from panelmend.render.typesetting import Sheets, data_text
from two_damages import made_of_two

EXAMPLES = Path(__file__).parents[1] / "examples"
Lines = list[str]


def example(name: str, document: str = "repair") -> Callable[[], Plan]:
    """The plan of an example with the layouts and the prediction that are kept beside it."""
    return lambda: service.plan(EXAMPLES / name / f"{document}.toml")


# Between them: both units, both skins, shelves, heat predicted and not, a bent panel, a damage that does not
# fit the data, a survey, a cap on a plate, cures of a room with and without a bag, an edge, insert, dent.
PLANS: dict[str, Callable[[], Plan]] = {
    "gear_door": example("gear_door"),
    "surveyed_door": example("gear_door", "surveyed"),
    "cowling": example("cowling"),
    "root_fairing": example("root_fairing"),
    "flap_rib_bay": example("flap_rib_bay"),
    "access_door_no_fit": example("access_door_no_fit"),
    "cap_on_a_plate": lambda: card_plans.planned("cap on a plate"),
    "room_temperature": lambda: card_plans.planned("room temperature"),
    "edge_in_the_air": card_plans.in_the_air,
    "insert": lambda: card_plans.planned("insert"),
    "dent": lambda: card_plans.planned("dent"),
}
WHOLE = ("gear_door", "root_fairing", "edge_in_the_air")  # with strength: one of each unit, one small
REACHED = ("gear_door",)  # with how each number was reached
CUT = ("gear_door", "cowling", "root_fairing")  # with templates and files for a knife
DRAWN = {
    "gear_door": "",
    "surveyed_door": "survey/",
}  # with drawings for a browser, in which folder of the pack
FEWER = ("access_door_no_fit", "flap_rib_bay", "dent")  # without steps, labels and lists
LIKE = "gear_door"  # of documents made from it, and of every other card, what differs is kept
MADE_FROM = ("surveyed_door", "cap_on_a_plate", "room_temperature")


class _Taken:
    """Takes pages where they would go to be set."""

    def __init__(self) -> None:
        self.sheets: dict[str, Sheets] = {}

    def put(self, name: str, sheets: Sheets) -> None:
        self.sheets[name] = sheets

    def files(self, tell: Any = None) -> dict[str, bytes]:
        return {}

    def close(self) -> None:
        pass


class _Here:
    """The strength study in this process, or none."""

    def __init__(self, work: Callable[[], tuple[Sheets, bytes]]) -> None:
        self._work = work

    def result(self, *told: Any) -> tuple[Sheets, bytes]:
        return self._work()

    def close(self) -> None:
        pass


def data_of(sheets: Sheets) -> dict[str, Any]:
    """What a page is set from, as the library gets it."""
    made: dict[str, Any] = json.loads(data_text(sheets.data))
    return made


@cache
def _first() -> dict[str, Lines]:
    return pages_of(LIKE)


def kept_pages(name: str) -> dict[str, Lines]:
    """The pages of a document as they are kept."""
    pages = _first() if name == LIKE else pages_of(name)
    like = [] if name == LIKE else [*pages] if name in MADE_FROM else ["job-card"]
    return {**pages, **{page: beside(pages[page], _first().get(page, []), LIKE) for page in like}}


def pages_of(name: str) -> dict[str, Lines]:
    """Everything of a pack by page and kind of file."""
    plan, press = PLANS[name](), _Taken()
    none = (Sheets("strength", {}), b"{}")
    with (
        patch.object(files, "Press", lambda: press),
        patch.object(files, "Beside", _Here),
        patch.object(files, "_study", files._study if name in WHOLE else lambda plan: none),
        patch.object(files, "compile_png", lambda *given: (b"",)),
        patch.object(labels, "code_stroke", lambda text, side: Label(0.0, 0.0, text, side)),
    ):
        made = files.pack_files(plan, "")
        pages = {name: data_of(sheets) for name, sheets in press.sheets.items()}
    kept = {"findings": finding_lines(plan)}
    if beyond(plan):
        kept["request"] = lines_of(data_of(request_sheets(plan, (), ())), "request")
    paper = "templates-a4" if plan.case.view == "mm" else "templates-letter"
    for file, data in pages.items():
        page = Path(file).stem
        if page.startswith("templates") and (page != paper or name not in CUT):
            continue
        reached = data.pop("workings", []) if name in REACHED and page == "workings" else []
        without = ("workings", "papers", *(["steps"] if name in FEWER else []))
        without = (*without, "sheets") if page == "templates-letter" else without
        kept[page] = lines_of({k: v for k, v in data.items() if reached or k not in without}, page)
        kept["reached"] = [*kept.get("reached", []), *(line for w in reached for line in _reached(w))]
    kept["kit-list"] = list_lines(made, "kit/kit-list", cells=name in WHOLE)
    kept["cutter"] = cutter_lines(made) if name in CUT else []
    kept["drawn"] = drawn_lines(made, DRAWN[name]) if name in DRAWN else []
    left_out = ("labels", "workings", "kit-list") if name in FEWER else ()
    return {page: lines for page, lines in kept.items() if lines and page not in left_out}


def _reached(row: Mapping[str, Any]) -> Lines:
    """A number of the workings with the numbers it was reached from."""
    put_in = (f"{i['name']} {i['value']}" + (f" [{i['n']}]" if i["n"] else "") for i in row["inputs"])
    flags = " ".join(map(str, row["flags"]))
    said = f"[{row['n']}] {row['key']} = {row['value']} {row['mark']}".rstrip()
    return [
        f"{said} ({row['origin']}; {row['source']}) {flags}".rstrip(),
        *_of(row["formula"], "; ".join(put_in)),
    ]


def _of(formula: str, put_in: str) -> Lines:
    return [f"  {formula}: {put_in}"] if formula or put_in else []


def finding_lines(plan: Plan) -> Lines:
    """What the plan found, and where it stands."""
    said = [f"standing {plan.standing.value}"]
    for f in plan.findings:
        said += [f"{f.code} {f.severity.value} at {f.place}", f"  {f.words}"]
    return said


def pages_of_several() -> dict[str, Lines]:
    """What the pack of two damages has of both, and the findings of each."""
    both = made_of_two()
    pages = {"damages": lines_of(data_of(several_sheets(both)), "damages")}
    shared = shared_files(both)
    pages["kit-list"] = list_lines(shared, "kit-list")
    pages["cutter"] = cutter_lines(shared)
    for n, plan in enumerate(both.plans, 1):
        pages[f"findings-{n}"] = finding_lines(plan)
    return {page: lines for page, lines in pages.items() if lines}


def list_lines(made: Mapping[str, bytes], name: str, *, cells: bool = True) -> Lines:
    """A list as CSV and the cells of its workbook with how they are shown; none where there is no list."""
    if f"{name}.csv" not in made:
        return []
    said = [" | ".join(row) for row in csv.reader(io.StringIO(made[f"{name}.csv"].decode("utf-8-sig")))]
    if not cells:
        return said
    for sheet in load_workbook(io.BytesIO(made[f"{name}.xlsx"])):
        said.append(f"sheet {sheet.title}")
        for row in sheet.iter_rows():
            cells = [(c.value, c.number_format) for c in row if c.value is not None]
            shown = (str(v) if isinstance(v, str) else f"{v!r} as {form}" for v, form in cells)
            said.append("  " + " | ".join(shown))
    return said


def cutter_lines(made: Mapping[str, bytes]) -> Lines:
    """What stands in the files for a knife, layer by layer."""
    said = Lines()
    for name in sorted(n for n in made if n.endswith(".dxf")):
        drawn = ezdxf.read(io.StringIO(made[name].decode("utf8")))
        said.append(f"{name}, units {drawn.units}")
        found = [_entity(e) for e in drawn.modelspace()]
        said += [f"{LINE}  {line}" for line in sorted(found)]
    return said


def _entity(e: Any) -> str:
    kind, layer = e.dxftype(), e.dxf.layer
    if kind == "TEXT":
        return f"{layer} text {e.dxf.text!r} at {places([*e.dxf.insert])}, {e.dxf.height:.2f} high"
    if kind == "LWPOLYLINE":
        return (
            f"{layer} {'closed ' if e.closed else ''}outline {places([list(p) for p in e.get_points('xyb')])}"
        )
    ends = [e.dxf.get(a) for a in ("start", "end", "center") if e.dxf.hasattr(a)]
    more = [e.dxf.get(a) for a in ("radius", "start_angle", "end_angle") if e.dxf.hasattr(a)]
    return f"{layer} {kind.lower()} {places([[*p] for p in ends] + more)}"


def drawn_lines(made: Mapping[str, bytes], below: str = "") -> Lines:
    """What stands in the drawings for a browser, of those in a folder of the pack."""
    said = Lines()
    for name in sorted(n for n in made if n.startswith(below) and n.endswith(".svg")):
        root = ElementTree.fromstring(made[name])
        said.append(f"{name}, {_svg(root)}")
        for how, run in groupby(root, _style):
            parts = list(run)
            words = " ".join("".join(p.itertext()).strip() for p in parts)
            at = [float(n) for p in parts for k in PLACES for n in NUMBER.findall(p.get(k, ""))]
            said.append(f"{LINE} {len(parts)} {how} {words!r} {places(at)}")
    return said


PLACES = ("d", "x", "y", "cx", "cy", "r", "width", "height", "transform")


def _style(part: ElementTree.Element) -> str:
    if part.tag.endswith("text"):  # each in a line of its own
        return f"text {_svg(part)} {part.text!r}"
    return f"{part.tag.partition('}')[2]} {_svg(part)}"


def _svg(part: ElementTree.Element) -> str:
    return ", ".join(f"{k} {v}" for k, v in part.attrib.items() if k not in (*PLACES, "viewBox"))
