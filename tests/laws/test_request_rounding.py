"""A request never says that a damage is smaller than it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelmend.app import service
from panelmend.render.request import questions_asked
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
