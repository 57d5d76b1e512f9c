"""What is told of several damages: bags over damage that stays open, and nothing of all of them twice."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from examples_here import text
from panelmend.app.loading import read_all
from panelmend.app.telling import common_findings, summaries
from panelmend.job.case import case_of
from panelmend.job.several import with_others
from panelmend.plan.make import make_plan
from panelmend.plan.several import Several, found_beside, together
from panelmend.shapes import Outline

SOUND = text("gear_door")
SECOND = """[[damage]]
shape = { circle = { centre = "180, 620 mm", diameter = "40 mm" } }
depth = "skin and core"
side = "outside"
moisture = "none found"

"""


@pytest.fixture(scope="module")
def made() -> Several:
    """The gear door with a second damage."""
    at = SOUND.index("[data]\n")
    document = (SOUND[:at] + SECOND + SOUND[at:]).replace("[damage]\n", "[[damage]]\n")
    return together(
        with_others([case_of(r) for r in read_all(document.encode(), Path("job.toml"))]), make_plan
    )


def test_a_bag_over_a_damage_that_gets_no_plies_is_told(made: Several) -> None:
    """J224 where the other damage is refused, or needs no repair: it stays open under the bag."""
    a, b = (replace(p, findings=()) for p in made.plans)
    assert a.work is not None
    hurt = a.work.plies.sides[0].largest.outline
    none = replace(b, work=None)

    def told(damage: Outline, **typed: str) -> str:
        document = none.case.document
        new = document.model_copy(update={"damage": document.damage.model_copy(update=typed)})
        case = replace(none.case, document=new, geometry=replace(none.case.geometry, damage=damage))
        return next(
            (
                f.words
                for f in found_beside((a, replace(none, case=case))).plans[0].findings
                if f.code == "J224"
            ),
            "",
        )

    assert "its tape encloses the damage of B, which gets no plies here: seal it off" in told(hurt)
    assert told(hurt.moved(-3.0, 0.0)) == ""
    assert told(hurt, depth="surface") == ""
    assert told(hurt, side="inside") == ""
    assert told(hurt, side="inside", depth="through")


def test_what_is_found_of_every_damage_is_printed_once(made: Several) -> None:
    """No finding is lost, none stands twice, and none leaves the damage it is of alone."""
    plans = made.plans
    common = common_findings(plans)
    assert {"J226", "J223"} <= {f.code for f in common}
    told = summaries(plans)
    each, under = told.split("Of every damage (A, B):\n")
    for plan in plans:
        for finding in plan.findings:
            assert told.count(finding.words) >= 1, finding
    for finding in common:
        assert finding.words in under
    assert told.count("J226 caution") == 1
    alone = next(f for f in plans[0].findings if f.code == "J224")
    assert alone not in common
    assert alone.words in each
    assert common_findings(plans[:1]) == ()
    one = (replace(plans[0], findings=common), replace(plans[1], findings=common))
    assert summaries(one).count("No findings but those of every damage, below.") == 2
