"""The cure report as a PDF: its data comes from the frozen report, its look from the template ``cure``."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import Any

from panelmend.document import Document
from panelmend.plan.judge import CureReport, Outcome, Reason
from panelmend.plan.judge.log import ChannelRole
from panelmend.plan.judge.verdict import cured, told_apart
from panelmend.render.card import PAPERS
from panelmend.render.cure_chart import report_chart
from panelmend.render.strokes import page_data
from panelmend.render.typesetting import Sheets
from panelmend.units import KINDS, show


def cure_sheets(report: CureReport, document: Document) -> Sheets:
    """The cure report, ready to be set; the same report and document give the same bytes."""
    return Sheets("cure", cure_data(report, document), document.repair.work_date)


def cure_data(report: CureReport, document: Document) -> dict[str, Any]:
    """Everything the page template shows."""
    view, verdict, repair = document.repair.units, report.verdict, document.repair
    manual = document.data.manual
    degree = _degree(verdict.degree)
    glass = _value(verdict.glass, "temperature", view) or "not computed"
    facts = [
        ["Repair", repair.number],
        ["Panel", document.panel.name],
        ["Approved data", f"{manual.number} rev {manual.revision}"],
        ["Cure cycle", report.title],
        ["Log begins", report.started.replace("T", " ") or "no clock in the file"],
        ["Length", f"{report.length / 60.0:.0f} min, {report.samples} samples"],
        ["Panel part number", document.panel.part_number or "not given"],
        ["Panel serial number", document.panel.serial or "not given"],
        ["Aircraft, registration", f"{repair.aircraft}, {repair.registration or 'not given'}"],
        ["Judged on", report.provenance.judged_on or "not said"],
        ["Degree of cure, slowest", degree],
        ["Glass transition, slowest", glass],
    ]
    return {
        "paper": PAPERS[view],
        "title": f"{report.title}, repair {repair.number}",
        "operator": repair.operator,
        "invented": repair.invented,
        "digest": report.digest[:12],
        "whole-digest": report.digest,
        "facts": facts,
        "outcome": verdict.outcome.value,
        "rests": list(verdict.rests_on()),
        "against": [_reason(r, view) for r in verdict.against()],
        "chart": page_data(report_chart(report, view)),
        "segments": [
            {
                "name": s.name,
                "start": _moment(s.start, report.started),
                "end": _moment(s.end, report.started),
                "least": _value(s.least, "temperature", view),
                "most": _value(s.most, "temperature", view),
                "slowest": s.slowest,
                "held": _value(s.held, "time", view) if s.kind == "dwell" else "",
                "outcome": str(s.outcome),
            }
            for s in verdict.segments
        ],
        "interruptions": [i.words for i in verdict.interruptions],
        "reasons": [_reason(r, view) for r in sorted(verdict.reasons, key=_weight)],
        "findings": [
            {"code": f.code, "severity": f.severity.value, "words": f.words, "todo": f.todo}
            for f in verdict.findings
        ],
        "channels": [
            {
                "name": c.name,
                "role": _taken_as(report, c.name, c.role),
                "least": _channel(c.least, c.role, view),
                "most": _channel(c.most, c.role, view),
                "missing": str(c.missing),
                "lost": _moment(c.lost_at, report.started),
            }
            for c in report.channels
        ],
        "notes": list(report.notes),
        "not-judged": list(report.not_judged),
        "provenance": _provenance(report),
        "usual": sorted({r.rule for r in verdict.reasons if r.default}),
    }


def _degree(value: float) -> str:
    """A degree of cure [1] in tenths of a percent, rounded down: no resin is ever cured wholly."""
    return "not computed" if math.isnan(value) else f"{100.0 * cured(value):.1f} %"


def _provenance(report: CureReport) -> list[list[str]]:
    """Where the log came from and by what it was judged."""
    p = report.provenance
    return [
        ["Log file", p.file or "not said"],
        ["SHA-256", report.digest],
        ["Encoding", p.encoding or "not said"],
        ["Time zone as written", p.zone or "not said"],
        ["Reading answered by", p.answered_by or "not said"],
        ["Air pressure", p.air or "not known"],
        ["Leak test as typed", p.leak or "not given"],
        ["Times of the job", p.window or "not said"],
        ["Logger and gauges", p.logger or "not said"],
        ["Judged by", f"panelmend {p.version}" if p.version else "not said"],
    ]


def _weight(reason: Reason) -> int:
    return [Outcome.DOES_NOT, Outcome.UNKNOWN, Outcome.CONFORMS].index(reason.outcome)


# as many digits as the words beside have: 0.55 K/min beside a least of 0.5 are not the same
DIGITS = {"temperature": 1, "temperature rate": 2, "time": 1, "vacuum": 1}


def _value(value: float, kind: str, view: str, more: int = 0) -> str:
    """A number in the reader's units, "" where there is none."""
    if math.isnan(value):
        return ""
    if kind not in KINDS:
        return ""
    digits = DIGITS.get(kind)
    unit = "min" if kind == "time" else ""
    return show(value, kind, view, unit=unit, decimals=digits + more if digits is not None else None)


# kinds of what is printed of a channel; "" prints nothing
CHANNEL_KIND: dict[ChannelRole, str] = {
    ChannelRole.THERMOCOUPLE: "temperature",
    ChannelRole.AIR: "temperature",
    ChannelRole.SET_POINT: "temperature",
    ChannelRole.VACUUM: "vacuum",
    ChannelRole.POWER: "",
    ChannelRole.OTHER: "",
}


def _channel(value: float, role: str, view: str) -> str:
    return _value(value, CHANNEL_KIND[ChannelRole(role)], view)


def _taken_as(report: CureReport, name: str, role: str) -> str:
    """Role, unit and sense of a channel as answered."""
    for column, _, unit, sense in report.provenance.columns:
        if column == name:
            return ", ".join(x for x in (role, unit, sense) if x)
    return role


def _moment(seconds: float, started: str) -> str:
    """A time [s] into a log by its clock, hh:mm:ss; minutes into the log where it has no clock."""
    if math.isnan(seconds):
        return ""
    if not started:
        return f"{seconds / 60.0:.1f} min"
    begun = datetime.fromisoformat(f"2000-01-01{started}" if started.startswith("T") else started)
    at = begun + timedelta(seconds=round(seconds))
    days = (at.date() - begun.date()).days
    return at.strftime("%H:%M:%S") + (f" (+{days} d)" if days else "")


def _said_once(reason: Reason) -> str:
    """The words of a rule with its segment and thermocouple, without its name, which stands beside them."""
    words = reason.words.removeprefix(f"{reason.rule}: ")
    sensor = "" if reason.sensor in words else reason.sensor
    return ", ".join(x for x in (reason.segment, " ".join(x for x in (sensor, words) if x)) if x)


def _reason(reason: Reason, view: str) -> dict[str, Any]:
    kind = "vacuum" if reason.kind == "pressure" else reason.kind
    clock = reason.clock or _moment(reason.time, "")
    value, limit = told_apart(
        reason.outcome is Outcome.DOES_NOT,
        lambda finer: _value(reason.value, kind, view, finer),
        lambda finer: _value(reason.limit, kind, view, finer),
    )
    if reason.kind == "ratio" and not math.isnan(reason.value):
        value = _value(cured(reason.value), kind, view)
    return {
        "outcome": reason.outcome.value,
        "rule": reason.rule,
        "words": _said_once(reason),
        "value": value,
        "limit": limit,
        "clock": f"{clock}, line {reason.line}" if reason.line > 0 else clock,
        "place": reason.place,
        "default": reason.default,
    }
