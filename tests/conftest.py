"""The longest files first, so that no worker is left alone at the end; the same examples in every run."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

SLOW = (HealthCheck.too_slow,)
settings.register_profile(
    "steady", derandomize=True, database=None, deadline=None, suppress_health_check=SLOW
)
settings.load_profile("steady")
# Numbers of our own modules are drawn too, but which are loaded hangs on the order of files in a worker.
_drawn = import_module("hypothesis.internal.conjecture.providers")
if hasattr(_drawn, "is_local_module_file"):
    _drawn.is_local_module_file = lambda path: False

# Whole packs, ensembles, fuzzing: tens of seconds each, the longest first.
LONG = (
    "test_packs.py",
    "test_ensemble.py",
    "test_sweep.py",
    "test_strength_study.py",
    "test_plan_fuzz.py",
    "test_survey_outline.py",
    "test_photo.py",
    "test_predict_laws.py",
    "test_finding_documents.py",
    "test_predict_limits.py",
    "test_heat_outlook.py",
    "test_predict_mapping.py",
    "test_curved_panels.py",
    "test_card_pages.py",
    "test_cure_plan_pages.py",
    "test_spread.py",
    "test_live_watch.py",
    "test_screen_pages.py",
)


def pytest_configure(config: pytest.Config) -> None:
    """Keep the order below where files are shared out to workers."""
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The long files first, everything else as it was."""
    rank = {name: n for n, name in enumerate(LONG)}
    items.sort(key=lambda item: rank.get(Path(item.path).name, len(rank)))
