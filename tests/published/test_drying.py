"""The drying stage from the document to its figures."""

from __future__ import annotations

from drying_plans import plan, value
from printed_values import Seen, Source, printed

ARMY = Source("US Army TM 1-1500-204-23-11, general aircraft maintenance", Seen.MEMORY)
IF97 = Source("IAPWS R7-97(2012), Revised Release on the Industrial Formulation 1997", Seen.QUOTED)


def test_drain_holes_for_six_square_inches() -> None:
    made = plan(('wet_area = "40 cm2"', 'wet_area = "6 in2"'))
    holes = made.ledger["drying.drain_holes"].value
    assert holes == printed(12, source=ARMY, place="para 6-6, holes of 1/8 in for 6 in2 found wet")
    assert any("12 holes of 3.2 mm" in f.words for f in made.findings if f.code == "D011")


def test_ten_degrees_a_minute_where_the_data_gives_no_rate() -> None:
    made = plan(('rate_most = { value = "3 C/min", place = "51-30-01 para 2" }\n', ""))
    rate = made.ledger["drying.rate_most"]
    assert float(rate) * 1.8 * 60.0 == printed(10, source=ARMY, place="para 6-6, no faster than [F/min]")
    assert (rate.source.title, rate.source.place) == ("TM 1-1500-204-23-11", "para 6-6")
    assert rate.is_default
    assert "drying.rate_most" in {f.place for f in made.findings if f.code == "J001"}


def test_water_under_the_bag_boils_by_its_absolute_pressure() -> None:
    """1,050 hPa less a vacuum of 50 hPa: 0.1 MPa is left under the bag."""
    made = plan(
        ('barometer = "985 hPa"', 'barometer = "1050 hPa"'),
        ('least_vacuum = { value = "22 inHg"', 'least_vacuum = { value = "50 hPa"'),
        ('leak_drop = { value = "1 inHg"', 'leak_drop = { value = "10 hPa"'),
    )
    boils = value(made, "bag.1.boiling")
    assert boils == printed(372.755919, source=IF97, place="table 36, boiling at 0.1 MPa [K]", within=6e-7)
