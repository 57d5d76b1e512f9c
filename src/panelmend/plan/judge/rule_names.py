"""Rules on which something else is decided, by their names in report and verdict.

A decision asks the member, never the words: a name that is changed here changes in both places.
"""

from __future__ import annotations

from enum import StrEnum


class RuleName(StrEnum):
    """A rule that another one asks about, or that has a value of its own to be confirmed."""

    ENTRY = "entry into the band"
    BAND_TOP = "top of the band"
    LOST = "thermocouples lost"
    WORKING = "thermocouples that work"
    RELEASED = "hottest when vacuum is released"
    RELEASE = "release"
    VACUUM = "vacuum"
    GLASS = "glass transition of the slowest"
    OF_THIS_JOB = "log of this job"
    GAUGE_COUNTS = "how the vacuum gauge counts"
    USED_ONCE = "log used once"
    BY_A_WATCH = "dwell by a watch"
    STEP_SET = "step the logger was set to"
