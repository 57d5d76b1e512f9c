"""Several damages in one job: planned one by one, joined by the data's rule, looked at side by side."""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from examples_here import FOLDER, text
from panelmend.app.loading import load, read_all
from panelmend.document import Loaded, parse
from panelmend.errors import DocumentError, Finding, InputError, Severity
from panelmend.job.card.beside import at_the_bench, cut_once, one_cure, own_batch
from panelmend.job.case import Case, case_of
from panelmend.job.nest.legality import faults
from panelmend.job.several import pairs_of, with_others
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.several import Several, beside, together
from panelmend.render.several import several_sheets, shared_files, standing_of

SOUND = text("gear_door")
FIRST = SOUND[SOUND.index("[damage]") : SOUND.index("[data]\n")]
SECOND = """[[damage]]
shape = { circle = { centre = "180, 620 mm", diameter = "40 mm" } }
depth = "skin and core"
side = "outside"
moisture = "none found"

"""


def job(second: str = SECOND, *changed: tuple[str, str]) -> str:
    made = SOUND.replace(FIRST, FIRST.replace("[damage]", "[[damage]]") + second)
    for old, new in changed:
        assert made.count(old) == 1, old
        made = made.replace(old, new)
    return made


def read(document: str) -> tuple[Loaded, ...]:
    return read_all(document.encode(), Path("job.toml"))


def refused(document: str) -> str:
    with pytest.raises((DocumentError, InputError)) as caught:
        read(document)
    return str(caught.value)


@pytest.fixture(scope="module")
def made() -> Several:
    cases = with_others([case_of(r) for r in read(job())])
    return together(cases, _heat_taken_on)


def _heat_taken_on(case: Case, *args: Any, **kwargs: Any) -> Plan:
    """A plan whose heat somebody took on: what is shared is looked at here, not what is predicted."""
    plan = make_plan(case, *args, **kwargs)
    return replace(plan, findings=tuple(f for f in plan.findings if f.code not in {"H140", "H602"}))


def codes(several: Several, name: str = "A") -> dict[str, str]:
    plan = next(p for p in several.plans if p.case.document.damage.id == name)
    return {f.code: f.words for f in plan.findings}


def changed(plans: tuple[Plan, ...], part: str, update: dict[str, Any]) -> tuple[Plan, ...]:
    """The same plans of a document whose limits or stores say something else; nothing is planned anew."""
    out = []
    for plan in plans:
        document = plan.case.document
        if part == "limits":
            limits = document.data.limits.model_copy(update=update)
            data = document.data.model_copy(update={"limits": limits})
            document = document.model_copy(update={"data": data})
        else:
            document = document.model_copy(update={"stores": document.stores.model_copy(update=update)})
        own = tuple(f for f in plan.findings if not f.code.startswith("J22"))
        out.append(replace(plan, case=replace(plan.case, document=document), findings=own))
    return tuple(out)


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
    assert "they share ground" in refused(job(touching))


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
        return codes(beside(changed(made.plans, "limits", {"repair_distance": limit})))

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
    words = codes(together(with_others(near), _heat_taken_on))["J220"]
    told = re.search(
        r"A and B share ground; the damages lie (\d+\.\d) mm apart, and 50\.0 mm at least", words
    )
    assert told is not None, words
    assert 0.0 <= far - float(told[1]) <= 0.1


def test_the_rule_of_merging_is_asked_for_and_what_is_joined_is_said(made: Several) -> None:
    """J222 and J223."""
    assert "J223" in codes(made)
    assert "J222" not in codes(made)
    limits = made.plans[0].case.document.data.limits
    given = limits.repair_distance
    ruled = beside(changed(made.plans, "limits", {"merge_distance": given}))
    assert "J223" not in codes(ruled)
    one = replace(made.plans[0], case=replace(made.plans[0].case, joined="A and B 3 mm apart"), findings=())
    assert codes(beside((one,))) == {"J222": "A and B 3 mm apart"}


def test_a_bag_that_reaches_over_another_damage_is_told(made: Several) -> None:
    """J224, and J226 for several alone."""
    assert "J226" in codes(made)
    assert "J226" not in codes(beside((replace(made.plans[0], findings=()),)))
    assert "within its tape lies ground of B" in codes(made)["J224"]
    a, b = made.plans
    assert b.work is not None
    far = tuple(
        replace(s, plies=tuple(replace(p, outline=p.outline.moved(-3.0, 0.0)) for p in s.plies))
        for s in b.work.plies.sides
    )
    away = replace(b, work=replace(b.work, plies=replace(b.work.plies, sides=far)), findings=())
    assert "J224" not in codes(beside((replace(a, findings=()), away)))


def test_stores_are_counted_for_all_and_a_remnant_is_cut_once(made: Several) -> None:
    """J225 at the last gram."""
    draw = next(d for d in made.draws if d.store == "L-81")
    assert len(draw.taken) == 2
    assert "J225" not in codes(made)
    lots = made.plans[0].case.document.stores.lot

    def with_mass(mass: float) -> dict[str, str]:
        new = tuple(x.model_copy(update={"mass": mass}) if x.id == "L-81" else x for x in lots)
        return codes(beside(changed(made.plans, "stores", {"lot": new})))

    assert "J225" not in with_mass(draw.total)
    assert "L-81: A 1" in with_mass(draw.total - 1e-6)["J225"]
    cut = [
        {layout.strip.id for c in p.work.nest.cloths for layout in c.nest.layouts if layout.strip.remnant}
        for p in made.plans
        if p.work is not None
    ]
    assert cut[0] == {"R-118/a"}
    assert not cut[0] & cut[1]


def cut_dry(several: Several) -> Several:
    """The same plans where cloth is cut dry and wetted afterwards; nothing is planned anew."""
    out = []
    for plan in several.plans:
        assert plan.work is not None
        kit = replace(plan.work.kit, wet_out="cut then wet")
        own = tuple(f for f in plan.findings if not f.code.startswith("J22"))
        out.append(replace(plan, work=replace(plan.work, kit=kit), findings=own))
    return beside(tuple(out))


def test_dry_cloth_is_cut_from_one_layout_and_wetted_cloth_is_not(made: Several) -> None:
    assert made.cuts == ()
    assert {a.operation for a in made.apart} == {"Core and cap", "Repair plies"}
    assert all("its resin gels" in a.why for a in made.apart)
    dry = cut_dry(made)
    assert dry.apart == ()
    for cut in dry.cuts:
        assert faults(cut.made.problem, cut.made.nest) == ()
        laid = sorted(p.piece for layout in cut.made.nest.layouts for p in layout.placements)
        assert laid == sorted(name for name, _ in cut.shapes)
        assert {name.partition(".")[0] for name in laid} == {"A", "B"}
        assert cut.together <= cut.alone
    pieces = [
        f"{p.case.document.damage.id}.{x.id}"
        for p in made.plans
        if p.work is not None
        for c in p.work.nest.cloths
        for x in c.problem.pieces
    ]
    assert sorted(name for cut in dry.cuts for name, _ in cut.shapes) == sorted(pieces)
    used = [n.strip.id for cut in dry.cuts for n in cut.made.nest.layouts if n.strip.remnant]
    assert len(used) == len(set(used)), "a remnant is cut once"
    files = shared_files(dry)
    assert sum(name.endswith(".dxf") for name in files) == sum(len(c.made.nest.layouts) for c in dry.cuts)
    assert "Dry cloth cut at once" in str(several_sheets(dry).data["blocks"])
    assert "Cloth that each damage cuts for itself" in str(several_sheets(made).data["blocks"])


@pytest.mark.parametrize(("severity", "mark"), [("stop", "STOP"), ("confirm", "DRAFT"), ("caution", "")])
def test_what_is_cut_at_once_carries_the_gravest_mark(made: Several, severity: str, mark: str) -> None:
    """A cutter that is given the shared layout sees the STOP of the second damage, not only of the first."""
    dry = cut_dry(made)
    assert all(not p.mark for p in dry.plans)
    found = Finding("L110", Severity(severity), "nest", "only of the second damage", "none")
    second = replace(dry.plans[1], findings=(*dry.plans[1].findings, found))
    several = replace(dry, plans=(dry.plans[0], second))
    files = shared_files(several)
    assert any(name.endswith(".svg") for name in files)
    for name, content in files.items():
        if name.endswith(".svg"):
            assert (f"{mark}: do not cut or work".encode() in content) == bool(mark), name
        elif name.endswith(".dxf"):
            said = {w for w in ("STOP", "DRAFT") if re.search(rf" {w}\r?\n".encode(), content)}
            assert said == ({mark} if mark else set()), name
    rows = list(csv.DictReader(io.StringIO(files["kit-list.csv"].decode("utf-8-sig"))))
    assert {row["Stands at"] for row in rows} == {mark or "READY"}


def test_one_kit_list_for_all_damages(made: Several) -> None:
    """What is used up is summed, a blanket serves one after the other, and what is short is said."""
    rows = {(n.group, n.name, n.kind): n for n in made.kit}
    lines = [line for p in made.plans if p.work is not None for line in p.work.kit.lines]
    for line in lines:
        key = line.group, line.name, "" if line.amount is None else line.amount.kind
        assert (
            line.amount is None
            or key[0] in ("equipment", "instruments")
            or rows[key].total
            == pytest.approx(
                sum(
                    float(x.amount)
                    for x in lines
                    if x.amount is not None and (x.group, x.name, x.amount.kind) == key
                )
            )
        )
    assert rows["equipment", "heat controller", ""].total == 2.0
    assert not any(n.short for n in made.kit)
    listed = shared_files(made)["kit-list.csv"].decode("utf-8-sig").splitlines()
    assert listed[0].startswith("Group,Material,Purpose,Damage A,Damage B,In all,Unit")
    assert len(listed) == 1 + len(made.kit)
    lots = made.plans[0].case.document.stores.lot
    less = tuple(x.model_copy(update={"mass": 0.029}) if x.id == "L-81" else x for x in lots)
    short = beside(changed(made.plans, "stores", {"lot": less})).kit
    assert {n.name for n in short if n.short} == {"Paste epoxy with filler: resin and hardener"}


def test_the_first_page_names_each_damage(made: Several) -> None:
    sheets = several_sheets(made)
    assert sheets.data["repair"]["number"] == "TAS-26-0417"
    rows = next(b for b in sheets.data["blocks"] if b["kind"] == "rows")["rows"]
    assert [r[0] for r in rows] == ["A", "B"]
    assert sheets.data["mark"] == ""
    assert standing_of(made).value == "READY"


def test_every_card_says_what_is_not_done_for_two_at_once(made: Several) -> None:
    """At the steps where somebody could: the batch, the cure, and cloth that may be cut already."""
    a = next(p for p in made.plans if p.case.document.damage.id == "A")

    def words(plan: Plan, place: str) -> list[str]:
        return [" ".join(map(str, w)) for s in plan.card.steps if s.place.id == place for w in s.words]

    assert "No cure of damage B runs meanwhile" in " ".join(words(a, "O22"))
    assert "one batch for both: that is not planned" in at_the_bench(a.case)
    assert cut_once(a.case)[0].endswith("never cut them twice.")
    alone = replace(a.case, others=())
    assert [at_the_bench(alone), cut_once(alone), own_batch(alone), one_cure(alone)] == ["", [], [], []]
    each = [s for s in a.card.steps if s.place.id == "O11"]
    assert len(each) == sum("For damage A alone; B is mixed for" in w for w in words(a, "O11")) > 1
