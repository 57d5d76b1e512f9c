"""Pictures for the README: pages of the demo repair's pack, as PNG."""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

from PIL import Image

from panelmend.app import log_answers, logs, service
from panelmend.plan.strength_study import study_strength
from panelmend.render.card import card_sheets
from panelmend.render.cure_plan import cure_plan_sheets
from panelmend.render.cure_report import cure_sheets
from panelmend.render.papers import A4
from panelmend.render.pieces import heading_of, templates_of
from panelmend.render.strength_report import strength_sheets
from panelmend.render.templates import templates_sheets

ROOT = Path(__file__).parents[1]
OUT = ROOT / "docs" / "pictures"


def _row(pages: list[bytes], height: int, name: str) -> None:
    images = [Image.open(io.BytesIO(p)).convert("RGB") for p in pages]
    images = [
        i.resize((round(i.width * height / i.height), height), Image.Resampling.LANCZOS) for i in images
    ]
    gap = 14
    whole = Image.new("RGB", (sum(i.width + gap for i in images) + gap, height + 2 * gap), "#d8dee4")
    x = gap
    for image in images:
        whole.paste(image, (x, gap))
        x += image.width + gap
    whole.quantize(220).save(OUT / name, optimize=True)
    print(f"docs/pictures/{name}")


def _screen() -> None:
    """The panel's page in both themes, in Debian's Chromium."""
    sys.path.insert(0, str(ROOT / "tests"))
    from screen_made import chromium, served

    shots = []
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder)) as running,
        chromium(1380, 1010) as driver,
    ):
        driver.get(running.for_the_browser)
        for theme in ("bright", "dark"):
            driver.add_cookie({"name": "panelmend-theme", "value": theme, "path": "/"})
            driver.get(f"http://127.0.0.1:{running.port}/repairs/TAS-26-0417")
            if theme == "dark":
                driver.find_element("css selector", "[data-mode=survey]").click()
            time.sleep(2.0)
            shots.append(driver.get_screenshot_as_png())
    _row(shots, 620, "screen.png")


def _rooms() -> None:
    """Stack, heat and cutting, in Debian's Chromium."""
    sys.path.insert(0, str(ROOT / "tests"))
    from screen_made import chromium, served

    shots = []
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder)) as running,
        chromium(1100, 1060) as driver,
    ):
        driver.get(running.for_the_browser)
        for room, theme, at in (
            ("stack", "bright", "[data-stack]:nth-of-type(3)"),
            ("heat", "dark", "#cure-1 details:nth-of-type(2)"),
            ("nest", "bright", "figure:nth-of-type(1)"),
        ):
            driver.add_cookie({"name": "panelmend-theme", "value": theme, "path": "/"})
            driver.get(f"http://127.0.0.1:{running.port}/repairs/TAS-26-0417/{room}")
            time.sleep(1.0)
            driver.execute_script(
                "for (const d of document.querySelectorAll('.leaf details')) d.open = true;"
                "(document.querySelector(arguments[0]) ?? document.body).scrollIntoView()",
                at,
            )
            time.sleep(1.0)
            shots.append(driver.get_screenshot_as_png())
    _row(shots, 560, "rooms.png")


def main() -> None:
    """Draw them all."""
    OUT.mkdir(parents=True, exist_ok=True)
    _screen()
    _rooms()
    plan = service.plan(ROOT / "examples" / "gear_door" / "repair.toml")
    card = card_sheets(plan).png()
    _row(list(card[:3]), 760, "card.png")
    _row([card[12], card[14], card[15]], 760, "card-steps.png")
    templates = templates_sheets(heading_of(plan), templates_of(plan), A4).png(80.0)
    _row([templates[0], templates[1], templates[4], templates[5]], 640, "templates.png")
    demo = ROOT / "examples" / "gear_door"
    log = demo / "cure-repair-plies.csv"
    with tempfile.TemporaryDirectory() as folder:  # a judgement that conforms is noted beside the document
        copy = Path(shutil.copy(demo / "repair.toml", folder))
        request = log_answers.Request(
            "Repair plies",
            "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25",
            "2026-11-25 08:10",
            "2026-11-25 14:30",
            by="the demonstration",
        )
        judged = logs.judge_log(copy, log, request, date(2026, 11, 25))
    _row(list(cure_plan_sheets(plan).png()[:3]), 760, "cure-plan.png")
    strength = strength_sheets(study_strength(plan)).png()
    cured = cure_sheets(judged.report, judged.document).png()
    _row([cured[0], strength[0], strength[3]], 760, "cure-and-strength.png")


main()
