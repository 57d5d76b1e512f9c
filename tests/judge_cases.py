"""Every finding of the cure log, of its judgement and of the watch: an invented cure of straight lines just
inside the limit and just outside."""

from __future__ import annotations

import judge_cases_clock
import judge_cases_rules
import judge_cases_temperature
import judge_cases_vacuum
import judge_cases_watch
from judge_case import JUDGED, Judged

PARTS = (judge_cases_clock, judge_cases_temperature, judge_cases_vacuum, judge_cases_rules, judge_cases_watch)

__all__ = ["JUDGED", "PARTS", "Judged"]
