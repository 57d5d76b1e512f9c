"""Several damages in one job: planned one by one, joined by the data's rule, looked at side by side."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from examples_here import FOLDER
from panelmend.app.loading import load, read_all
from panelmend.document import parse
from panelmend.errors import DocumentError, InputError
from panelmend.job.case import case_of
from panelmend.job.several import pairs_of, with_others
from panelmend.plan.several import Several, found_beside, together
from two_damages import SECOND, SOUND, changed, codes, heat_taken_on, job, made_of_two, read, refused


@pytest.fixture(scope="module")
def made() -> Several:
    return made_of_two()


def test_each_is_a_document_of_its_own_with_its_letter_on_every_page() -> None:
    a, b = read(job())
    assert [x.document.repair.number for x in (a, b)] == ["TAS-26-0417-A", "TAS-26-0417-B"]
    assert a.document.repair.title.startswith("DAMAGE A of A, B: Main gear door")
    assert a.digest != b.digest
    assert a.damages == b.damages == ("A", "B")
    assert a.document.panel == b.document.panel
    assert a.document.damage != b.document.damage


def test_an_old_document_is_read_as_before() -> None:
    (only,) = read(SOUND)
    assert only == parse(SOUND.encode(), "job.toml")
    assert only.damages == ()
    (listed,) = read(SOUND.replace("[damage]", "[[damage]]"))
    assert listed.document == only.document
    assert parse(SOUND.replace("[damage]", "[[damage]]").encode(), "job.toml").document == only.document
    with pytest.raises(DocumentError, match="several damages, and this is done for one"):
        parse(job().encode(), "job.toml")


def test_a_job_on_shelves_may_have_several_too() -> None:
    file = FOLDER / "gear_door" / "short.toml"
    short = file.read_text("utf8")
    first = short[short.index("[damage]") :].partition("\n[")[0] + "\n"
    made = short.replace(first, first.replace("[damage]", "[[damage]]") + "\n" + SECOND)
    a, b = read_all(made.encode(), file)
    assert [x.document.damage.id for x in (a, b)] == ["A", "B"]
    assert a.shelved is not None
    line = next(i for i, row in enumerate(made.splitlines(), 1) if '"40 mm" }' in row)
    with pytest.raises(DocumentError, match=rf"line {line}, damage\.shape"):
        read_all(made.replace('"40 mm" }', '"40" }').encode(), file)


def test_one_of_them_is_named_behind_the_file(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text(job(), "utf8")
    assert load(tmp_path / "job.toml#B").document.damage.id == "B"
    with pytest.raises(InputError, match=r"several damages.*A, B.*job\.toml#A"):
        load(file)
    with pytest.raises(InputError, match="no damage C"):
        load(tmp_path / "job.toml#C")


def test_a_fault_stands_at_its_own_line() -> None:
    document = job(SECOND.replace('"40 mm"', '"40"'))
    line = next(i for i, row in enumerate(document.splitlines(), 1) if '"40" }' in row)
    assert re.search(rf"job\.toml, line {line}, damage\.shape", refused(document))
    assert (
        refused(job(SECOND.replace("[[damage]]", '[[damage]]\nid = "A"'))).count("two damages have one name")
        == 1
    )
    assert "not a short name" in refused(job(SECOND.replace("[[damage]]", '[[damage]]\nid = "big one"')))
    assert "not a list of damages" in refused(job(SECOND * 8))
    pinned = '[choice]\ncutout = { circle = { centre = "180, 620 mm", diameter = "60 mm" } }\n\n[bay]'
    assert "a pinned cut-out goes with one damage" in refused(job(SECOND, ("[bay]", pinned)))


def merging(apart: str) -> tuple[str, str]:
    return (
        'repair_distance = { value = "50 mm"',
        f'merge_distance = {{ value = "{apart}", place = "t 1" }}\nrepair_distance = {{ value = "50 mm"',
    )


def test_damages_nearer_than_the_data_says_are_planned_as_one() -> None:
    cases = [case_of(r) for r in read(job())]
    (pair,) = pairs_of(cases)
    far = 1e3 * pair.apart  # mm
    apart = read(job(SECOND, merging(f"{far - 0.01:.3f} mm")))
    assert [r.document.damage.id for r in apart] == ["A", "B"]
    (one,) = read(job(SECOND, merging(f"{far + 0.01:.3f} mm")))
    assert one.document.damage.id == "A+B"
    assert one.document.repair.number == "TAS-26-0417-A+B"
    assert one.document.damage.moisture == "found"  # the worse of both
    hull = case_of(one).geometry.damage
    assert hull is not None
    for case in cases:
        assert case.geometry.damage is not None
        assert all(hull.contains((v.x, v.y), 1e-6) for v in case.geometry.damage.vertices)


@pytest.mark.parametrize(
    ("moisture", "wet"), [('"found"\nwet_area = "1 in2"', 0.00464516), ('"found"', None)]
)
def test_what_is_wet_of_joined_damages_is_wet_of_all(moisture: str, wet: float | None) -> None:
    """40 cm2 of the first and a square inch of the second; where one gives none nobody knows."""
    second = SECOND.replace('"none found"', moisture)
    (one,) = read(job(second, merging("400 mm")))
    assert one.document.damage.wet_area == (None if wet is None else pytest.approx(wet))


def test_what_the_outline_round_joined_damages_reaches_is_joined_too() -> None:
    """The last is farther from each than the data says, and lies inside the outline round all of them."""

    def circle(x: float, y: float, depth: str = "skin and core") -> str:
        shape = f'shape = {{ circle = {{ centre = "{x:.1f}, {y:.1f} mm", diameter = "20 mm" }} }}'
        return f'[[damage]]\n{shape}\ndepth = "{depth}"\nside = "outside"\nmoisture = "none found"\n\n'

    def ring(n: int) -> tuple[float, float]:
        return 950 + 60 * math.cos(math.radians(50 * n)), 250 + 60 * math.sin(math.radians(50 * n))

    arc = "".join(circle(*ring(n)) for n in range(5))  # 31 mm from one to the next, 200 degrees round
    assert _names(arc, "35 mm") == ["A", "B+C+D+E+F"]
    assert _names(circle(950, 250), "35 mm") == ["A", "B"]
    assert _names(arc + circle(950, 250), "35 mm") == ["A", "B+C+D+E+F+G"], "40 mm from each of them"
    with pytest.raises(InputError, match="another depth"):
        _names(arc + circle(950, 250, "skin"), "35 mm")


def _names(second: str, merge: str) -> list[str]:
    return [r.document.damage.id for r in read(job(second, merging(merge)))]


def test_damages_that_count_as_one_and_are_unlike_are_refused_with_the_distance() -> None:
    unlike = SECOND.replace('"skin and core"', '"skin"')
    said = refused(job(unlike, merging("400 mm")))
    assert re.search(r"A and B count as one and cannot be joined: \d+\.\d mm apart.*400", said)
    assert "another depth" in said
    touching = unlike.replace("180, 620", "480, 390")
    assert "they overlap" in refused(job(touching))


def test_the_others_count_among_the_repairs_of_the_panel(made: Several) -> None:
    plan = made.plans[0]
    assert plan.ledger["limits.count_with_B"].value == 2
    assert plan.limits.disposition == "repair"


def test_plies_are_kept_apart_by_the_data(made: Several) -> None:
    """J220 and J221, just inside and just outside."""
    (row,) = made.between
    given = made.plans[0].case.document.data.limits.repair_distance
    assert given is not None
    assert row.holds
    assert "J220" not in codes(made)

    def with_distance(value: float | None) -> dict[str, str]:
        limit = None if value is None else given.model_copy(update={"value": value})
        return codes(found_beside(changed(made.plans, "limits", {"repair_distance": limit})))

    assert "J220" not in with_distance(row.apart - 1e-6)
    assert "mm apart, at least" in with_distance(row.apart + 1e-5)["J220"]
    assert "J221" not in with_distance(row.apart)
    assert "J221" in with_distance(None)


def test_repairs_that_share_ground_are_refused_with_the_distance_of_their_damages() -> None:
    """The plies meet, the damages do not: whoever asks the engineer needs how far they lie apart."""
    near = [case_of(r) for r in read(job(SECOND.replace("180, 620", "360, 390")))]
    (pair,) = pairs_of(near)
    far = 1000.0 * pair.apart
    assert 20.0 < far < 60.0
    words = codes(together(with_others(near), heat_taken_on))["J220"]
    told = re.search(
        r"A and B overlap; the damages are (\d+\.\d) mm apart, and the data requires at least 50\.0 mm", words
    )
    assert told is not None, words
    assert 0.0 <= far - float(told[1]) <= 0.1


def test_the_rule_of_merging_is_asked_for_and_what_is_joined_is_said(made: Several) -> None:
    """J222 and J223."""
    assert "J223" in codes(made)
    assert "J222" not in codes(made)
    limits = made.plans[0].case.document.data.limits
    given = limits.repair_distance
    ruled = found_beside(changed(made.plans, "limits", {"merge_distance": given}))
    assert "J223" not in codes(ruled)
    one = replace(made.plans[0], case=replace(made.plans[0].case, joined="A and B 3 mm apart"), findings=())
    assert codes(found_beside((one,))) == {"J222": "A and B 3 mm apart"}


def test_a_bag_that_reaches_over_another_damage_is_told(made: Several) -> None:
    """J224, and J226 for several alone."""
    assert "J226" in codes(made)
    assert "J226" not in codes(found_beside((replace(made.plans[0], findings=()),)))
    assert "its tape encloses part of the area of B" in codes(made)["J224"]
    a, b = made.plans
    assert b.work is not None
    far = tuple(
        replace(s, plies=tuple(replace(p, outline=p.outline.moved(-3.0, 0.0)) for p in s.plies))
        for s in b.work.plies.sides
    )
    away = replace(b, work=replace(b.work, plies=replace(b.work.plies, sides=far)), findings=())
    assert "J224" not in codes(found_beside((replace(a, findings=()), away)))
