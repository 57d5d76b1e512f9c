"""Strength: repair against sound panel, as the strength report prints it, never softer."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from panelmend.render.strength_report import strength_data
from panelmend.screen.page import THEMES, Theme
from panelmend.screen.sheets import errand_runs, errands, keys_of, leaf, opened, study_of

router = APIRouter(include_in_schema=False)


@router.get("/repairs/{name}/strength")
def strength(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """The strength report of exactly this plan; before it is made, that it is not."""
    plan = opened(request, name).made.plan
    study = study_of(request, name, plan)
    data = strength_data(study) if study is not None else None
    return leaf(
        request, name, "strength", theme,
        data=data,
        lays=plan.work is not None,
        findings=[] if study is None else sorted(study.findings, key=lambda f: f.code),
        keys=keys_of(data["workings"]) if data is not None else {},
        running=errand_runs(errands(request).of(name, "strength")),
    )  # fmt: skip
