"""Overrides: a shop value with its reason; any other under the engineer's reference, else it is a draft."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from panelmend.app import service
from panelmend.errors import DocumentError, InputError, Severity, all_codes
from panelmend.plan.plan import Standing
from shelf_files import Shop

PLAIN = {
    "of": '"bay.air_temperature"',
    "value": '"21 C"',
    "reason": '"bay heater on"',
    "by": '"J. Hale"',
    "on": "2026-11-25",
}
ENGINEER = {"by": '"D. Aune"', "reference": '"ED-0417"', "typed_by": '"J. Hale"'}
MARGIN = {"of": '"data.plies.first_margin"', "value": '"30 mm"'}


def job(shop: Shop, **more: str) -> Any:
    fields = {**PLAIN, **more}
    shop.text = shop.text.split("\n[[deviation]]")[0]
    shop.text += "\n[[deviation]]\n" + "\n".join(f"{k} = {v}" for k, v in fields.items()) + "\n"
    return shop.load()


def found(loaded: Any) -> list[str]:
    return [f.code for f in loaded.shelved.findings if f.code != "X105"]


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path)


def test_a_shop_value_is_overridden_with_its_reason_beside_it(shop: Shop) -> None:
    loaded = job(shop)
    assert loaded.document.bay.air_temperature == pytest.approx(294.15)
    (finding,) = [f for f in loaded.shelved.findings if f.code == "X106"]
    assert finding.words == (
        'bay.air_temperature = "21 C" in place of "18 C": bay heater on (J. Hale, 2026-11-25)'
    )
    assert loaded.shelved.stands.at(("bay", "air_temperature")).endswith(
        '(deviation: bay heater on; the shelf has "18 C")'
    )


@pytest.mark.parametrize(
    ("more", "codes"),
    [
        (ENGINEER, ["X582"]),
        ({**ENGINEER, "by": '"d. aune"'}, ["X582"]),
        ({"by": '"D. Aune"'}, ["X107"]),
        ({**ENGINEER, "reference": '" "'}, ["X107"]),
        ({**ENGINEER, "by": '"J. Hale"'}, ["X107"]),
        ({**ENGINEER, "by": '"R. Osk"'}, ["X107"]),
    ],
)
@pytest.mark.parametrize(
    "what",
    [
        MARGIN,
        {"of": '"panel.core.thickness"', "value": '"19 mm"'},
        {"of": '"materials.demo-glass-8h.cured_thickness"', "value": '"0.26 mm"'},
    ],
)
def test_what_is_not_the_shops_own_needs_the_engineer(
    shop: Shop, what: dict[str, str], more: dict[str, str], codes: list[str]
) -> None:
    assert found(job(shop, **{**what, **more})) == codes


@pytest.mark.parametrize(
    ("what", "facts"),
    [
        ({"of": '"stores.lot[1].expires"', "value": "2027-12-31"}, True),
        ({"of": '"stores.roll[1].out_time"', "value": '"1 h"'}, True),
        ({"of": '"stores.lot[1].lot"', "value": '"X-9"'}, True),
        (
            {"of": '"stores.lot"', "value": '[{ id = "A", material = "demo-laminating-resin", lot = "7" }]'},
            True,
        ),
        ({"of": '"bay.instrument[1].calibrated_until"', "value": "2027-12-31"}, True),
        ({"of": '"bay.blanket[1].limit"', "value": '"260 C"'}, True),
        ({"of": '"bay.circuit[1].rating"', "value": '"32 A"'}, True),
        ({"of": '"bay.blanket[1].power_density"', "value": '"9000 W/m2"'}, True),
        ({"of": '"bay.supply"', "value": '"240 V"'}, True),
        ({"of": '"stores.lot[1].mass"', "value": '"880 g"'}, False),
        ({"of": '"bay.blanket[1].border"', "value": '"20 mm"'}, False),
    ],
)
def test_what_a_label_or_certificate_says_needs_the_engineer(
    shop: Shop, what: dict[str, str], facts: bool
) -> None:
    """An expiry moved in one job was a shop value with a reason."""
    assert found(job(shop, **what)) == (["X107"] if facts else ["X106"])
    assert found(job(shop, **what, **ENGINEER)) == (["X582"] if facts else ["X106"])
    shop.seen()
    assert found(shop.load()) == (["X108"] if facts else ["X106"])


def test_without_the_engineer_it_is_a_draft_and_the_place_says_so(shop: Shop) -> None:
    job(shop, **MARGIN)
    plan = service.plan(shop.job)
    assert plan.standing in (Standing.DRAFT, Standing.STOP)
    assert "X107" in {f.code for f in plan.draft_reasons}
    assert plan.ledger["plies.first_margin"].value == pytest.approx(0.030)
    assert plan.ledger["plies.first_margin"].source.place == (
        'deviation (NOT APPROVED, no engineer\'s reference); the data has "25.4 mm" (52-10-17 fig 204)'
    )
    assert {c.severity for c in all_codes() if c.code == "X107"} == {Severity.CONFIRM}


def test_under_a_reference_the_place_names_it(shop: Shop) -> None:
    loaded = job(shop, **MARGIN, **ENGINEER)
    had = 'the data has "25.4 mm" (52-10-17 fig 204)'
    unseen = f"deviation (NOT APPROVED: reference ED-0417, D. Aune, which no second person has seen); {had}"
    assert loaded.document.data.plies.first_margin.place == unseen
    shop.seen()
    held = f"deviation (reference ED-0417, D. Aune; held against ED-0417 sheet 2 by P. Lind); {had}"
    assert shop.load().document.data.plies.first_margin.place == held


LOOSER = {"of": '"data.limits.repairable"', "value": '"400 mm"'}


def test_typed_text_alone_never_makes_a_looser_limit_ready(shop: Shop) -> None:
    """The engineer's name and any reference were enough."""
    job(shop, **LOOSER, **ENGINEER)
    shop.text = shop.text.replace("[[deviation]]", "[[deviation]]\nchecked_by = 'P. Lind'", 1)
    shop.load()
    assert service.plan(shop.job).standing is Standing.DRAFT
    shop.text = shop.text.replace("checked_by = 'P. Lind'", "", 1)
    shop.load()
    assert shop.seen() == ()
    assert "X582" not in shop.codes()
    assert "X108" in shop.codes()


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"400 mm"', '"401 mm"'),  # looser once more, after the check
        ("TAS-26-0417", "TAS-26-0418"),  # another job
        ('serial = "0088"', 'serial = "0089"'),  # another panel
        ('typed_by = "J. Hale"', 'typed_by = "P. Lind"'),
        ('checked_by = "P. Lind"', 'checked_by = "Hale, J."'),
        ('checked_by = "P. Lind"', 'checked_by = "Dora Aune"'),
        ("checked_on = 2026-11-24", "checked_on = 2026-11-23"),  # before it was given
        ('reference = "ED-0417"', 'reference = "ED-0418"'),
        ('checked_against = "ED-0417 sheet 2"', 'checked_against = " "'),
    ],
)
def test_what_was_changed_after_its_check_does_not_stand(shop: Shop, old: str, new: str) -> None:
    job(shop, **{**LOOSER, **ENGINEER, "on": "2026-11-24"})
    assert shop.seen(on=date(2026, 11, 24)) == ()
    assert "X582" in shop.codes((old, new))
    assert "X582" not in shop.codes()


def test_what_it_departs_from_was_changed_after_the_check(shop: Shop) -> None:
    job(shop, **LOOSER, **ENGINEER)
    shop.seen()
    shop.edit(
        "data",
        "M3-SRM rev 11 / Repair 7",
        ('repairable = { value = "200 mm"', 'repairable = { value = "150 mm"'),
    )
    assert "X582" in shop.codes()


@pytest.mark.parametrize("by", ["D. Aune", "J. Hale", "John Hale", "R. Osk", "osk r"])
def test_who_may_not_check_what_the_engineer_answers_for(shop: Shop, by: str) -> None:
    job(shop, **LOOSER, **ENGINEER)
    before = shop.job.read_bytes()
    with pytest.raises(InputError, match="cannot check it as the second person"):
        shop.seen(by)
    assert shop.job.read_bytes() == before


def test_what_is_checked_after_the_work_is_refused_and_nothing_is_written(shop: Shop) -> None:
    job(shop, **LOOSER, **ENGINEER)
    before = shop.job.read_bytes()
    with pytest.raises(DocumentError, match="checked_on: dated after the day of the work"):
        shop.seen(on=date(2026, 11, 26))
    assert shop.job.read_bytes() == before
    shop.seen(on=date(2026, 11, 25))


def test_a_recipe_says_so_in_its_one_place(shop: Shop) -> None:
    loaded = job(shop, of='"data.cure[2].ceiling"', value='"95 C"', **ENGINEER)
    assert loaded.document.data.cure[1].ceiling == pytest.approx(368.15)
    assert loaded.document.data.cure[1].place.startswith(
        "51-30-04 fig 2, cure B; data.cure[2].ceiling: deviation"
    )
    assert loaded.document.data.cure[0].place == "51-30-04 fig 2, cure A"


def test_a_value_the_data_does_not_have_is_no_less_the_engineers(shop: Shop) -> None:
    loaded = job(shop, of='"data.plies.sanding_margin"', value='"20 mm"')
    assert found(loaded) == ["X107"]
    loaded = job(shop, of='"data.bag.film_allowance"', value='"30 %"')
    assert found(loaded) == ["X107"]
    assert loaded.document.data.bag.film_allowance.place.endswith("the data has nothing")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"of": '"repair.units"', "value": '"in"'}, "names no value of a shelf"),
        ({"of": '"bay"'}, "names no value of a shelf"),
        ({"of": '"data.manual.revision"', **ENGINEER}, "which data or which panel it is"),
        ({"of": '"data.repair"', **ENGINEER}, "which data or which panel it is"),
        ({"of": '"panel.part_number"', **ENGINEER}, "which data or which panel it is"),
        ({"of": '"bay..air"'}, "names no value of a shelf"),
        ({"of": '"bay.circuit[0].rating"'}, "names no value of a shelf"),
        ({"of": '"../panels"'}, "names no value of a shelf"),
        ({"of": '"bay.air_temprature"'}, "unknown field 'air_temprature'.*did you mean 'air_temperature'"),
        ({"of": '"bay.circuit[9].rating"', "value": '"10 A"'}, "nothing stands there"),
        ({"of": '"materials.no-such.cured_thickness"'}, "names no value of a shelf"),
        ({"value": '"18 C"'}, "this is what the shelf says"),
        ({"value": '"21"'}, r"job.toml, line \d+ \(deviation.*without its unit"),
        ({"reason": '""'}, "the text is empty"),
        ({"by": '"..."'}, "this is not a name"),
    ],
)
def test_what_cannot_be_overridden_is_refused(shop: Shop, more: dict[str, str], words: str) -> None:
    with pytest.raises(DocumentError, match=words):
        job(shop, **more)


@pytest.mark.parametrize(
    ("of", "value"),
    [
        ("data.plies.first_margin", '{ value = "12 mm", place = "52-10-17 fig 204" }'),
        ("data.limits", '{ repairable = { value = "400 mm", place = "52-10-17 table 101" } }'),
        ("data.plies.outside", '{ repair = { place = "52-10-17 fig 204", value = [] } }'),
        ("data.category", '{ kind = "permanent", place = "52-10-17 para 6" }'),
    ],
)
def test_a_deviation_never_borrows_a_place_of_the_data(shop: Shop, of: str, value: str) -> None:
    """Else a doubled limit stands on every page as if the approved data gave it."""
    with pytest.raises(DocumentError, match="a deviation has no place in the approved data"):
        job(shop, of=f'"{of}"', value=value, **ENGINEER)


def test_the_category_says_in_its_one_place_what_departs(shop: Shop) -> None:
    loaded = job(shop, of='"data.category.inspect"', value='"look once"', **ENGINEER)
    assert (
        "; data.category.inspect: deviation (NOT APPROVED: reference ED-0417"
        in loaded.document.data.category.place
    )


def test_a_table_is_told_with_all_it_says(shop: Shop) -> None:
    loaded = job(
        shop,
        of='"panel.core"',
        value='{ material = "demo-aramid-48", thickness = "25 mm", ribbon = "0 deg" }',
    )
    (finding,) = [f for f in loaded.shelved.findings if f.code == "X107"]
    assert '"thickness": "25 mm"' in finding.words


@pytest.mark.parametrize(
    ("engineer", "by", "codes"),
    [
        ("R. Osk", "R. Osk", ["X350", "X107"]),
        ("M. Verrin", "m verrin", ["X350", "X107"]),
        ("S. Brand", "S. Brand", ["X350", "X582"]),
        ("d. aune", "D. Aune", ["X582"]),
    ],
)
def test_nobody_answers_for_a_departure_of_their_own_work(
    shop: Shop, engineer: str, by: str, codes: list[str]
) -> None:
    """Technician or inspector named as engineer, another engineer than the bay's, and the bay's own."""
    shop.text = shop.text.replace(
        'inspector = "M. Verrin"', f'inspector = "M. Verrin", engineer = "{engineer}"'
    )
    told = found(job(shop, **MARGIN, by=f'"{by}"', reference='"ED-0417"'))
    assert sorted(told) == sorted(codes)


def test_what_is_dated_after_the_work_is_refused(shop: Shop) -> None:
    assert found(job(shop, on="2026-11-25")) == ["X106"]
    with pytest.raises(DocumentError, match=r"deviation\[1\].on: dated after the day of the work"):
        job(shop, on="2026-11-26")


def test_a_section_of_the_job_itself_is_not_overridden(shop: Shop) -> None:
    shop.text = shop.text.replace(', bay = "door cell" }', " }").replace(
        "\n[damage]", '\n[bay]\nair_temperature = "20 C"\n\n[damage]'
    )
    with pytest.raises(DocumentError, match="nothing to deviate from"):
        job(shop)


def test_two_deviations_of_one_value_are_refused(shop: Shop) -> None:
    job(shop, **MARGIN)
    again = shop.text[shop.text.index("\n[[deviation]]") :]
    shop.text += again.replace("30 mm", "31 mm")
    with pytest.raises(DocumentError, match="two deviations of one value"):
        shop.load()


def test_a_section_on_a_shelf_and_in_the_job_is_refused(shop: Shop) -> None:
    with pytest.raises(DocumentError, match="comes from a shelf and stands in the job, too"):
        shop.load(("\n[damage]", '\n[bay]\nair_temperature = "20 C"\n\n[damage]'))


def test_the_entry_itself_is_not_changed_by_a_deviation(shop: Shop) -> None:
    before = shop.load().shelved
    after = job(shop, **MARGIN, **ENGINEER).shelved
    assert before is not None
    assert [e.digest for e in before.entries] == [e.digest for e in after.entries]
