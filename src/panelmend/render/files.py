"""All files of a pack, by path inside it."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor, wait
from functools import partial
from typing import Any

from panelmend.job.kit.part import KitLine
from panelmend.long_work import Tell, silent
from panelmend.machine import cores
from panelmend.plan.plan import Plan
from panelmend.render.amounts import handed_out, kind_printed, pick_words, unit_printed
from panelmend.render.beside import Beside
from panelmend.render.card import card_sheets
from panelmend.render.card_workings import workings_sheets
from panelmend.render.cure_plan import cure_plan_sheets
from panelmend.render.dxf import layout_dxf, templates_dxf
from panelmend.render.kept_study import kept_study
from panelmend.render.labels import labels_sheets
from panelmend.render.nest import nest_drawing, sheet_of
from panelmend.render.papers import A3, A4, LETTER_PAPER, roll
from panelmend.render.pieces import heading_of, slug, templates_of
from panelmend.render.planjson import plan_json
from panelmend.render.strength_report import strength_json, strength_sheets
from panelmend.render.svg import to_svg
from panelmend.render.tables import Cell, Column, ListTable, to_csv, to_xlsx
from panelmend.render.template import Heading, Template, drawn_whole
from panelmend.render.templates import templates_sheets
from panelmend.render.typesetting import Sheets, compile_png, template
from panelmend.render.views import far_survey_view, survey_view
from panelmend.render.workings import workings_of
from panelmend.shapes import Outline
from panelmend.trade import trade_word

PAPERS = (A4, LETTER_PAPER, A3, roll())


def pack_files(plan: Plan, document: str, tell: Tell = silent) -> dict[str, bytes]:
    """Every file of the pack; the same plan and document give the same bytes.

    Pages are set in threads while the next ones are gathered: setting them touches nothing of Python's. The
    strength study, which takes longer than all the rest, runs beside it in a process of its own.

    Args:
        plan: what to print.
        document: text of the repair document, which is kept in the pack.
        tell: told which file is being made; what it raises ends the work.

    Returns:
        Contents by path inside the pack.
    """
    files: dict[str, bytes] = {"document.toml": document.encode("utf8")}
    study = Beside(partial(_study, plan)) if plan.work is not None else None  # before there are threads
    press = Press()
    try:
        tell("job card")
        shown = workings_of(plan)
        press.put("job-card.pdf", card_sheets(plan, shown=shown))
        tell("workings")
        press.put("workings.pdf", workings_sheets(plan, shown))
        if plan.work is not None and plan.work.cure.operations:
            tell("cure plan")
            press.put("cure-plan.pdf", cure_plan_sheets(plan))
        if study is not None:
            files |= _worked_files(plan, press, tell)
        files["plan.json"] = plan_file(plan)
        files |= survey_files(plan)
        if study is not None:
            tell("strength report")
            sheets, files["strength.json"] = study.result(tell, "strength report")
            press.put("strength-report.pdf", sheets)
        tell("setting pages")
        return files | press.files(tell)
    finally:
        press.close()
        if study is not None:
            study.close()


class Press:
    """Sets pages in threads of its own; the order in which they are done changes nothing."""

    def __init__(self) -> None:
        self._threads = ThreadPoolExecutor(max_workers=min(4, cores()))
        self._set: dict[str, Future[bytes]] = {}

    def put(self, name: str, sheets: Sheets) -> None:
        """Begin with the pages of a file."""
        self._set[name] = self._threads.submit(sheets.pdf)

    def files(self, tell: Tell = silent) -> dict[str, bytes]:
        """Every file, as soon as all are done. Raises OutputError for pages that cannot be set."""
        for future in self._set.values():
            while not wait([future], timeout=0.1).done:
                tell("setting pages")
        return {name: future.result() for name, future in self._set.items()}

    def close(self) -> None:
        """Begin with nothing more, and wait for nobody."""
        self._threads.shutdown(wait=False, cancel_futures=True)


def survey_files(plan: Plan) -> dict[str, bytes]:
    """Pictures of the survey and of the far side, where there is one."""
    files: dict[str, bytes] = {}
    if plan.survey is not None:
        drawn = survey_view(plan.case, plan.survey, plan.work, (260.0, 180.0))
        files["survey/survey.svg"] = to_svg(
            drawn.flats, title=drawn.title, box=drawn.window, note=drawn.words, mark=plan.mark
        )
        files["survey/survey.png"] = compile_png(template("view"), drawn.data())[0]
    other = far_survey_view(plan.case, plan.work, (260.0, 180.0))
    if other is not None:
        files["survey/far-side.svg"] = to_svg(
            other.flats, title=other.title, box=other.window, note=other.words, mark=plan.mark
        )
        files["survey/far-side.png"] = compile_png(template("view"), other.data())[0]
    return files


def _worked_files(plan: Plan, press: Press, tell: Tell) -> dict[str, bytes]:
    """What only a repair that lays something has but its strength: templates, cutter files, labels, lists."""
    files: dict[str, bytes] = {}
    heading, templates = heading_of(plan), templates_of(plan)
    dated = plan.case.document.repair.work_date
    for paper in PAPERS:
        tell(f"templates on {paper.named(heading.view)}")
        sheets = templates_sheets(heading, templates, paper, dated=dated)
        press.put(f"templates/templates-{paper.name}.pdf", sheets)
    tell("labels")
    cut = [t for t in templates if t.operation in ("cut cloth", "cut core")]
    page = A4 if plan.case.view == "mm" else LETTER_PAPER
    press.put("labels.pdf", labels_sheets(heading, cut, paper=page, dated=dated))
    tell("cutter files")
    files |= cutter_files(plan, heading, templates)
    tell("lists")
    tables = kit_tables(plan)
    files["kit/kit-list.csv"] = to_csv(tables[0])
    files["kit/kit-list.xlsx"] = to_xlsx(tables, title=f"Kit list, repair {heading.repair}")
    return files


def _study(plan: Plan) -> tuple[Sheets, bytes]:
    """The pages of the strength report, to be set, and the study as JSON."""
    compared = kept_study(plan)
    return strength_sheets(compared), strength_json(compared)


def plan_file(plan: Plan) -> bytes:
    """The plan as JSON: every figure and how it was reached, every part and finding."""
    parts: dict[str, object] = {"limits": plan.limits}
    if plan.survey is not None:
        parts["survey"] = plan.survey
    if plan.work is not None:
        work = plan.work
        names = ("cutout", "plies", "core", "drying", "nest", "bag", "cure", "kit")
        parts |= {name: getattr(work, name) for name in names}
    parts["card"] = plan.card
    about: dict[str, Any] = {
        "repair": plan.case.document.repair.number,
        "plan_digest": plan.digest,
        "document_digest": plan.case.digest,
        "draft": plan.is_draft,
        "standing": plan.standing.value,
        "stop_reasons": [f.code for f in plan.stop_reasons],
        "draft_reasons": [f.code for f in plan.draft_reasons],
    }
    if plan.case.shelved is not None:
        about["entries"] = [
            {"shelf": e.shelf, "name": e.name, "revision": e.revision, "file": e.file, "digest": e.digest}
            for e in plan.case.shelved.entries
            if e.taken
        ]
    return plan_json(
        about=about, figures=plan.ledger, parts=parts, findings=plan.findings, view=plan.case.view
    )


def cutter_files(plan: Plan, heading: Heading, templates: tuple[Template, ...]) -> dict[str, bytes]:
    """Templates and cut layouts for a knife, a plotter or a browser, by path inside the pack."""
    assert plan.work is not None, "nothing to cut"
    files: dict[str, bytes] = {}
    groups: dict[str, list[Template]] = {}
    for t in templates:
        name = {"cut cloth": t.material, "cut core": "core", "cut skin": "skin", "mark": "tape line"}[
            t.operation
        ]
        groups.setdefault(f"{t.operation.split(' ')[-1]}-{slug(name)}", []).append(t)
    for name, group in groups.items():
        files[f"cut/{name}.dxf"] = templates_dxf(heading, group)
    for t in templates:
        files[f"cut/svg/{slug(t.id)}.svg"] = to_svg(
            drawn_whole(t, heading),
            title=f"{t.id}, {t.title}",
            note=f"repair {heading.repair}, plan {heading.digest}",
            mark=heading.mark,
        )
    shapes: dict[str, Outline] = {p.id: p.template for p in (*plan.work.plies.plies, *plan.work.core.cap)}
    for item in plan.work.nest.cloths:
        for layout in item.nest.layouts:
            name = f"nest/{slug(item.problem.name)}-{slug(layout.strip.id)}"
            files[f"{name}.dxf"] = layout_dxf(heading, layout, shapes)
            sheet = sheet_of(plan.work.kit.sheets, item, layout)
            drawn = nest_drawing(layout, shapes, view=plan.case.view, sheet=sheet)
            title = f"{item.problem.name} on {layout.strip.id}"
            files[f"{name}.svg"] = to_svg(drawn.flat(), title=title, mark=heading.mark)
    return files


def kit_tables(plan: Plan) -> tuple[ListTable, ...]:
    """The kit list and the mixes as tables; amounts are numbers in the reader's units."""
    assert plan.work is not None, "nothing to gather"
    case, kit = plan.case, plan.work.kit
    above = (
        ("Repair", case.document.repair.number),
        ("Panel", case.document.panel.name),
        ("Plan", plan.short_digest + (f" {plan.mark}" if plan.mark else "")),
    )
    columns = (
        Column("Group", 12),
        Column("Material", 40),
        Column("Purpose", 28),
        Column("Amount", 11, 2),
        Column("Unit", 8),
        Column("Lots", 40),
        Column("Short", 11, 2),
        Column("Caution", 44),
    )
    rows = tuple(_kit_row(line, case.view) for line in kit.lines)
    fine = 2 if any(m.resin.kind == "fine mass" for m in kit.mixes) else 1  # as the card has it
    mixes = ListTable(
        "Mixes",
        above,
        (
            Column("Mix", 36),
            Column("Resin in all g", 11, fine),
            Column("Hardener in all g", 11, fine),
            Column("Filler in all g", 11, fine),
            Column("Batches", 9),
        ),
        tuple(
            (
                m.id,
                1e3 * float(m.resin),
                1e3 * float(m.hardener),
                1e3 * float(m.filler) if m.filler is not None else None,
                len(m.pots),
            )
            for m in kit.mixes
        ),
    )
    return ListTable("Kit", above, columns, rows), mixes


def _kit_row(line: KitLine, view: str) -> tuple[Cell, ...]:
    amount: Cell = None
    unit = ""
    if line.amount is not None:
        kind = line.amount.kind
        value = float(line.amount)
        unit = unit_printed(value, kind, view) if kind else "pieces"
        amount = handed_out(value, kind, view, unit) if kind else int(value)
    short: Cell = None
    if line.short is not None and line.short.kind:
        short = handed_out(float(line.short), kind_printed(line, line.short), view, unit)
    lots = "; ".join(pick_words(line, p, view) for p in line.picks)
    if not lots and not line.stocked:
        lots = "not listed in the stores"
    return (line.group, line.name, trade_word(line.purpose), amount, unit, lots, short, line.caution)
