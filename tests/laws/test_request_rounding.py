"""A request never says that a damage is smaller than it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from examples_here import case
from panelmend.app import service
from panelmend.plan.make import make_plan
from panelmend.render.request import _blocks, questions_asked
from shelf_files import Shop, short


@pytest.mark.parametrize(("diameter", "said"), [("178.42", "damage of 250.1 cm2"), ("178.41", "")])
def test_an_area_just_over_its_limit_is_not_asked_about_as_the_limit(
    tmp_path: Path, diameter: str, said: str
) -> None:
    shop = Shop(tmp_path)
    text = short()
    outline = text[text.index("shape.outline") : text.index("depth =")]
    circle = f'shape.circle = {{ centre = "400, 400 mm", diameter = "{diameter} mm" }}\n'
    shop.text = text.replace(outline, circle)
    shop.load()
    asked = " ".join(questions_asked(service.plan(shop.job), ()))
    assert "damage of 250.0 cm2" not in asked
    assert said in asked
    assert ("cm2" in asked) == bool(said)


def test_a_request_has_the_size_of_each_skin() -> None:
    """The near skin is an ellipse of 70 by 48 mm turned by 20 degrees, 68 by 52 mm rounded up to the data's
    millimetre; the far one a circle of 66 mm."""
    tables = [b for b in _blocks(make_plan(case("cowling")), (), ()) if "far skin" in str(b)]
    rows = {row[0]: row[1] for row in tables[0]["rows"]}
    assert rows["size"].startswith("68.0 mm along")
    assert rows["size"].endswith("52.0 mm across")
    assert rows["far skin"] == "66.0 mm by 66.0 mm"
