"""The words of fields are read from the source when asked for; a plan loads only what it needs."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from panelmend.document.approved import CutoutData
from panelmend.document.model import Document
from panelmend.document.schema import schema
from panelmend.materials.meanings import meaning_of

EXAMPLES = Path(__file__).parents[2] / "examples"
VERB = """
import json, sys
from panelmend.app.cli import main
try:
    main(sys.argv[1:])
except SystemExit as end:
    assert end.code in (0, 6), end.code  # 6: the plan has a STOP
print(json.dumps(sorted(sys.modules)))
"""
STATISTICS = {"scipy.stats", "scipy.interpolate", "contourpy"}
KERNELS = {"numba", "threadpoolctl", "spyrrow"}
PAGES = {"typst", "ezdxf", "xlsxwriter", "segno", "cv2", "panelmend.render"}
OTHER = {
    "panelmend.job.survey",
    "panelmend.job.strength",
    "panelmend.plan.judge",
    "panelmend.plan.strength_study",
    "panelmend.predict.predict",
    "panelmend.physics.heat",
    "panelmend.physics.plate",
    "panelmend.curelog",
    "panelmend.photo",
}


def test_a_field_has_the_words_under_it_and_an_unknown_one_none() -> None:
    assert meaning_of(Document, "panel") == "The panel."
    assert meaning_of(CutoutData, "forms")
    assert meaning_of(Document, "no such field") == ""


def test_every_field_of_the_schema_has_words() -> None:
    bare = [
        f"{name}.{field}"
        for name, table in schema()["$defs"].items()
        for field, body in table.get("properties", {}).items()
        if not body.get("description")
    ]
    assert bare == []


@pytest.mark.parametrize("name", ["flap_rib_bay", "gear_door"])
def test_a_plan_loads_neither_statistics_nor_kernels_nor_typesetting(name: str) -> None:
    assert not _loaded("plan", name) & (STATISTICS | KERNELS | PAGES | OTHER)


def test_a_check_loads_no_solver_and_no_stage() -> None:
    never = {
        "scipy",
        "shapely",
        "panelmend.job",
        "panelmend.nesting",
        "panelmend.predict",
        "panelmend.plan.plan",
    }
    assert not _loaded("check", "gear_door") & (never | STATISTICS | KERNELS | PAGES | OTHER)


def _loaded(verb: str, name: str) -> set[str]:
    """What a verb on a document without a survey has loaded at its end."""
    said = subprocess.run(
        [sys.executable, "-c", VERB, verb, str(EXAMPLES / name / "repair.toml")],
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    ).stdout
    return set(json.loads(said.splitlines()[-1]))
