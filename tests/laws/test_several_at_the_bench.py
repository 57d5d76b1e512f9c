"""What several damages of one panel share at the bench: stores, cloth, kit list, first page, card."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pytest
from pypdfium2 import PdfDocument

from panelmend.errors import Finding, Severity
from panelmend.job.card.beside import at_the_bench, cut_once, one_cure, own_batch
from panelmend.job.nest.legality import faults
from panelmend.plan.plan import Plan
from panelmend.plan.several import Several, found_beside
from panelmend.render.several import several_sheets, shared_files, standing_of
from two_damages import changed, codes, made_of_two


@pytest.fixture(scope="module")
def made() -> Several:
    return made_of_two()


def test_stores_are_counted_for_all_and_a_remnant_is_cut_once(made: Several) -> None:
    """J225 at the last gram."""
    draw = next(d for d in made.draws if d.store == "L-81")
    assert len(draw.taken) == 2
    assert "J225" not in codes(made)
    lots = made.plans[0].case.document.stores.lot

    def with_mass(mass: float) -> dict[str, str]:
        new = tuple(x.model_copy(update={"mass": mass}) if x.id == "L-81" else x for x in lots)
        return codes(found_beside(changed(made.plans, "stores", {"lot": new})))

    assert "J225" not in with_mass(draw.total)
    assert with_mass(draw.total - 1e-6)["J225"].endswith("L-81: A 20.0 g, B 10.5 g; there is 30.3 g")
    cut = [
        {layout.strip.id for c in p.work.nest.cloths for layout in c.nest.layouts if layout.strip.remnant}
        for p in made.plans
        if p.work is not None
    ]
    assert cut[0] == {"R-118/a"}
    assert not cut[0] & cut[1]


def test_resin_and_hardener_of_one_lot_run_out_each_by_itself(made: Several) -> None:
    """J225 of each, though the other is plenty: 0.2220 kg of resin and 0.0666 kg of hardener are asked."""
    lots = made.plans[0].case.document.stores.lot
    asked = {d.measure: d for d in made.draws if d.store == "L-77"}
    assert asked["mass"].total == pytest.approx(0.22199, abs=1e-5)
    assert asked["hardener_mass"].total == pytest.approx(0.06660, abs=1e-5)

    def told(**amounts: float) -> Several:
        new = tuple(x.model_copy(update=amounts) if x.id == "L-77" else x for x in lots)
        return found_beside(changed(made.plans, "stores", {"lot": new}))

    for measure, name in (("mass", "L-77: A"), ("hardener_mass", "L-77, hardener: A")):
        enough = told(**{measure: asked[measure].total})
        short = told(**{measure: asked[measure].total - 1e-5})
        assert "J225" not in codes(enough)
        assert name in codes(short)["J225"]
        of = [n for n in short.kit if n.material == "demo-laminating-resin" and n.short]
        assert [n.name.endswith("hardener") for n in of] == [measure == "hardener_mass"]
        assert not any(n.short for n in enough.kit if n.material == "demo-laminating-resin")


def cut_dry(several: Several) -> Several:
    """The same plans where cloth is cut dry and wetted afterwards; nothing is planned anew."""
    out = []
    for plan in several.plans:
        assert plan.work is not None
        kit = replace(plan.work.kit, wet_out="cut then wet")
        own = tuple(f for f in plan.findings if not f.code.startswith("J22"))
        out.append(replace(plan, work=replace(plan.work, kit=kit), findings=own))
    return found_beside(tuple(out))


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
    short = found_beside(changed(made.plans, "stores", {"lot": less})).kit
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

    assert "No cure of damage B may run meanwhile" in " ".join(words(a, "O22"))
    assert "one batch for both: this is not planned" in at_the_bench(a.case)
    assert cut_once(a.case)[0].endswith("never cut them twice.")
    alone = replace(a.case, others=())
    assert [at_the_bench(alone), cut_once(alone), own_batch(alone), one_cure(alone)] == ["", [], [], []]
    each = [s for s in a.card.steps if s.place.id == "O11"]
    assert len(each) == sum("For damage A alone; B is mixed for" in w for w in words(a, "O11")) > 1


def test_every_wet_damage_is_dried_before_any_heat(made: Several) -> None:
    """A dry damage was cured first, its blanket over the wet core of another that its card did not name."""
    wet, dry = made.plans
    assert wet.case.wet == ()
    assert dry.case.wet == (("A", True),)
    for place in ("C5", "D6", "O22"):
        for step in dry.card.steps:
            if step.place.id == place:
                words = " ".join(map(str, (w for line in step.words for w in line)))
                assert "NO HEAT while another damage of this panel may be wet: A (water found)" in words
                blanks = {b.what for b in step.blanks}
                assert ("Damage A proven dry: H3 of its card, dry until" in blanks) == (place != "C5")
    assert not any("NO HEAT while" in str(s.words) for s in wet.card.steps)
    assert at_the_bench(dry.case).endswith("WET FIRST: A (water found).")
    assert "WET FIRST" not in at_the_bench(wet.case)
    assert codes(made, "B")["J641"] == "A (water found)"
    assert "J641" not in codes(made, "A")
    order = _order_rows(made)
    assert "A, then B, each from its cut to its cure" in order
    assert "drying and its proof too, for each damage by its card" in order
    turned = replace(made, plans=(dry, wet))
    assert "A, then B, each from its cut" in _order_rows(turned)
    assert "remnants are shared out in the order B, A" in _order_rows(turned)
    open_ = dry.case.document.damage.model_copy(update={"moisture": "not checked"})
    unseen = replace(
        dry, case=replace(dry.case, document=dry.case.document.model_copy(update={"damage": open_}))
    )
    both = _order_rows(replace(made, plans=(wet, unseen)))
    assert "WET FIRST: A (water found), B (nobody has looked: check first, and dry what is wet)" in both
    assert "each from its proof of dry to its cure" in both
    assert "WET FIRST" not in _order_rows(replace(made, plans=(dry,)))


def _order_rows(made: Several) -> str:
    blocks = several_sheets(made).data["blocks"]
    return str([b for b in blocks if "making safe" in str(b)])


def test_every_page_of_the_cover_carries_the_number_of_the_repair(made: Several) -> None:
    """A sheet that comes loose from the pile: the first page had no number on it."""
    pages = PdfDocument(several_sheets(made).pdf())
    texts = [page.get_textpage().get_text_range() for page in pages]
    assert len(texts) >= 2
    for told in texts:
        lines = [line for line in told.splitlines() if "TAS-26-0417" in line]
        assert any("not an approval" in line for line in lines)
        assert len(lines) >= 2, "at the head and at the foot"
