"""The longest files first, so that no worker is left alone at the end; the same examples in every run."""

from __future__ import annotations

import gc
import os
import shutil
from importlib import import_module
from pathlib import Path
from tempfile import mkdtemp

import pytest
from hypothesis import HealthCheck, settings

import kept_pages
from panelmend import keeping

SLOW = (HealthCheck.too_slow,)
settings.register_profile(
    "steady", derandomize=True, database=None, deadline=None, suppress_health_check=SLOW
)
settings.load_profile("steady")
# Numbers of our own modules are drawn too, but which are loaded hangs on the order of files in a worker.
_drawn = import_module("hypothesis.internal.conjecture.providers")
if hasattr(_drawn, "is_local_module_file"):
    _drawn.is_local_module_file = lambda path: False

# Whole packs, ensembles, browsers: tens of seconds each, the longest first. A browser is waited for, so its
# files stand beside those that only compute.
LONG = (
    "test_packs.py",
    "test_screen_whole_job.py",
    "test_ensemble.py",
    "test_page_setters.py",
    "test_several_standing.py",
    "test_screen_sheets.py",
    "test_screen_card_pages.py",
    "test_screen_api_generated.py",
    "test_sweep.py",
    "test_screen_worst_days.py",
    "test_wrong_documents.py",
    "test_screen_log.py",
    "test_records_typed.py",
    "test_screen_pages.py",
    "test_plan_fuzz.py",
    "test_screen_lan_pages.py",
    "test_strength_study.py",
    "test_solved_before.py",
    "test_stand_by.py",
    "test_photo.py",
    "test_screen_card.py",
    "test_screen_bench.py",
    "test_photo_refusals.py",
    "test_card_pages.py",
    "test_screen_microphone.py",
    "test_card_head.py",
    "test_kept_packs.py",
    "test_live_watch.py",
    "test_screen_cure.py",
    "test_survey_outline.py",
    "test_heat_outlook.py",
    "test_cure_plan_pages.py",
    "test_finding_documents.py",
    "test_planted_sample.py",
    "test_document_fuzz.py",
    "test_curelog_second_family.py",
    "test_nest_search.py",
    "test_records_crash.py",
    "test_predict_placing.py",
    "test_spread.py",
    "test_curved_panels.py",
    "test_screen_labels.py",
    "test_predict_mapping.py",
    "test_predict_laws.py",
    "test_predict_limits.py",
    "test_hand_figures.py",
    "test_stage_laws.py",
    "test_render_templates.py",
)


def pytest_configure(config: pytest.Config) -> None:
    """Keep the order below where files are shared out to workers; pages of the same content are set once."""
    gc.disable()  # collecting makes nothing but what stays
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False
    if kept_pages.FOLDER not in os.environ:  # a worker has it from whoever started it
        os.environ[kept_pages.FOLDER] = folder = mkdtemp(prefix="pages")
        config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))
    if not str(os.environ.get(keeping.FOLDER, "")).startswith(os.environ[kept_pages.FOLDER]):
        os.environ[keeping.FOLDER] = str(Path(os.environ[kept_pages.FOLDER]) / "computed")
    os.environ["PANELMEND_STAND_BY"] = ""  # nor may another process of this user answer for it
    os.environ["PANELMEND_ANSWERS"] = ""  # what a test sees printed is what the code prints as it patched it
    kept_pages.keep()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The long files first, everything else as it was."""
    rank = {name: n for n, name in enumerate(LONG)}
    items.sort(key=lambda item: rank.get(Path(item.path).name, len(rank)))


def pytest_collection_finish() -> None:
    """Rubbish is looked for more seldom, and not among what every test needs: a tenth of a plan's time."""
    gc.collect()
    gc.freeze()
    gc.enable()
    gc.set_threshold(50_000, 10, 10)
