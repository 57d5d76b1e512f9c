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
PLAN = """
import sys
from panelmend.app import service
service.plan(__import__("pathlib").Path(sys.argv[1]))
import json
print(json.dumps(sorted(sys.modules)))
"""


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
    said = subprocess.run(
        [sys.executable, "-c", PLAN, str(EXAMPLES / name / "repair.toml")],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    loaded = set(json.loads(said.splitlines()[-1]))
    never = {"scipy.stats", "scipy.interpolate", "typst", "numba", "ezdxf", "xlsxwriter", "segno", "cv2"}
    assert not loaded & never
