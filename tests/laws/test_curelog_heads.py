"""Heads, dropped cells, codes of instruments: what a file says about its channels, and what it does not."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from made_curelog import made_cure, written
from panelmend.curelog import ChannelRole, CureLog, Proposal, ReadAs, propose, read_log
from panelmend.curelog.live import Buffer, GrowingFile, Point, Sample
from panelmend.curelog.roles import guess, role_by_name
from panelmend.errors import InputError, ReadingError

BEGIN = "2026-11-25 08:{:02d}:{:02d}"


def rows(*columns: str, count: int = 60, step: int = 10) -> list[str]:
    """Rows of invented readings: a stamp and, per column, a formula in i."""
    out = []
    for i in range(count):
        stamp = BEGIN.format(step * i // 60, step * i % 60)
        out.append(",".join([stamp, *(format(eval(c, {"i": i, "np": np}), "g") for c in columns)]))
    return out


def proposed(path: Path, *lines: str) -> Proposal:
    path.write_text("\n".join(lines) + "\n", "utf8")
    return propose(path)


def taken(path: Path, proposal: Proposal, more: Mapping[str, str] | None = None) -> CureLog:
    return read_log(path, proposal.confirm({"zone": "local", **proposal.suggested(), **(more or {})}))


def roles(proposal: Proposal) -> dict[str, ChannelRole]:
    return {c.name: c.role for c in proposal.read_as.columns}


HOT, COLD = "20 + i", "21 + 0.9 * i"


def test_a_head_of_four_rows_gives_its_names_and_not_how_readings_were_made(tmp_path: Path) -> None:
    made = proposed(
        tmp_path / "a.csv",
        "bench 4,unit 7,one minute table,,",
        "TIMESTAMP,RECORD,Bond_1,Bond_2,Bag",
        "TS,RN,Deg C,Deg C,inHg",
        ",,Avg,Avg,Smp",
        *rows("i", HOT, COLD, "24.5 + 0.01 * (i % 5)"),
    )
    assert roles(made) == {
        "RECORD": ChannelRole.OTHER,
        "Bond_1": ChannelRole.THERMOCOUPLE,
        "Bond_2": ChannelRole.THERMOCOUPLE,
        "Bag": ChannelRole.VACUUM,
    }
    assert made.read_as.lines_above == 4


def test_a_row_of_counts_is_no_sample(tmp_path: Path) -> None:
    made = proposed(tmp_path / "a.csv", "Time,T1 [C],T2 [C]", "60,60,60", *rows(HOT, COLD))
    assert made.read_as.lines_above == 2
    assert made.rows == 60


def test_millivolts_cold_junctions_and_counters_are_no_thermocouples(tmp_path: Path) -> None:
    made = proposed(
        tmp_path / "a.csv",
        "Time,NO.,Scan,T1 [C],CH1 [mV],Cold junction [C],CJC,Loops",
        *rows("i + 1", "i + 1", HOT, "0.8 + 0.04 * i", "23 + 0.01 * i", "23 + 0.02 * i", "i + 40"),
    )
    assert [n for n, r in roles(made).items() if r is ChannelRole.THERMOCOUPLE] == ["T1 [C]"]


@pytest.mark.parametrize(
    ("head", "unit"),
    [
        ("Bag vacuum [mbar abs]", "mbar"),
        ("Vakuum mbar absolut", "mbar"),
        ("Vacuum [mbara]", "mbar"),
        ("Vuoto vacuum [mbar assoluta]", "mbar"),
        ("Vacuum (kPa abs.)", "kPa"),
        ("Vacuum [psia]", "psi"),
    ],
)
def test_absolute_is_known_in_other_words(head: str, unit: str, tmp_path: Path) -> None:
    made = proposed(tmp_path / "a.csv", f"Time,T1 [C],{head}", *rows(HOT, "190 + i % 4"))
    bag = made.read_as.columns[1]
    assert (bag.role, bag.sense) == (ChannelRole.VACUUM, "absolute")
    assert bag.unit in (unit, "")
    assert "ambient" in {q.key for q in made.questions}


def test_nothing_is_suggested_between_psi_and_inches_of_mercury(tmp_path: Path) -> None:
    made = proposed(tmp_path / "a.csv", "Time,T1 [C],Vacuum", *rows(HOT, "12 + 0.1 * (i % 3)"))
    assert "unit of Vacuum" in {q.key for q in made.questions}
    assert "unit of Vacuum" not in made.suggested()


@pytest.mark.parametrize("strong", ["24 + 0.1 * (i % 3)", "85 + 0.1 * (i % 3)"])
def test_no_unit_is_suggested_in_which_alone_a_vacuum_is_strong(tmp_path: Path, strong: str) -> None:
    """27 without a unit is 27 inHg, or a bag that leaks at 27 kPa, and --confirm takes what is suggested."""
    made = proposed(tmp_path / "b.csv", "Time,T1 [C],Vacuum", *rows(HOT, strong))
    asked = {q.key: q for q in made.questions}
    assert asked["unit of Vacuum"].suggested == ""
    assert "a weak one in" in asked["unit of Vacuum"].why
    with pytest.raises(InputError, match="unit of Vacuum"):
        made.confirm({"zone": "local", **made.suggested()})
    made = proposed(tmp_path / "c.csv", "Time,T1 [C],Vacuum", *rows(HOT, "850 + 0.1 * (i % 3)"))
    assert made.suggested()["unit of Vacuum"] == "mbar"


def test_nothing_is_asked_about_a_channel_marked_other(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    made = proposed(path, "Time,T1 [C],P1", *rows(HOT, "12 + 0.1 * (i % 3)"))
    with pytest.raises(InputError, match="unit of P1"):
        made.confirm({"zone": "local"})
    log = taken(path, made, {"role of P1": "other"})
    assert log.channel("P1").role is ChannelRole.OTHER


def test_a_row_with_a_dropped_cell_is_set_aside_and_named(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    lines = rows(HOT, COLD, "22 + 0.8 * i")
    cells = lines[30].split(",")
    lines[30] = ",".join([cells[0], cells[2], cells[3]])
    lines[40] += ",7"
    made = proposed(path, "Time,T1 [C],T2 [C],T3 [C]", *lines)
    log = taken(path, made)
    assert len(log) == 58
    t1 = log.channel("T1 [C]").values - 273.15
    assert np.all(np.isin(np.round(t1), np.arange(20, 80)))
    assert np.all(np.diff(t1) >= 0.99), "no reading of another thermocouple"
    assert any("fewer cells" in n and "line 32" in n for n in log.notes)
    assert any("line 42" in n for n in log.notes)


def test_overload_codes_and_nul_bytes_are_no_readings(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    lines = rows(HOT, COLD)
    lines[10] = lines[10].rpartition(",")[0] + ",-9.9E+37"
    lines[11] = lines[11].rpartition(",")[0] + ",9.9E37"
    lines[20] = lines[20][:-2] + "\0\0\0\0"
    lines.insert(25, "\0" * 12)
    made = proposed(path, "Time,T1 [C],T2 [C]", *lines)
    values = taken(path, made).channel("T2 [C]").values
    assert np.flatnonzero(~np.isfinite(values)).tolist() == [10, 11, 20]


@pytest.mark.parametrize(("unit", "code", "cold"), [("C", "-273.2", "-273.1"), ("F", "-459.7", "-459.6")])
def test_a_temperature_below_absolute_zero_is_a_code_and_no_reading(
    unit: str, code: str, cold: str, tmp_path: Path
) -> None:
    """-9999 in one row of every channel took all thermocouples for open circuits, and the cure failed."""
    path = tmp_path / "a.csv"
    lines = rows(HOT, COLD)
    for i, word in ((10, "-9999"), (11, code), (20, cold)):
        lines[i] = lines[i].rpartition(",")[0] + "," + word
    log = taken(path, proposed(path, f"Time,T1 [{unit}],T2 [{unit}]", *lines))
    values = log.channel(f"T2 [{unit}]").values
    assert np.flatnonzero(~np.isfinite(values)).tolist() == [10, 11]
    assert any("2 cells are below absolute zero" in n for n in log.notes)


def test_a_mark_with_nothing_behind_it_is_an_empty_file(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"\xef\xbb\xbf\n\n\n")
    with pytest.raises(ReadingError, match="empty"):
        propose(path)


# --- the kept reading belongs to its file -------------------------------------------------------------------


@pytest.fixture
def kept(tmp_path: Path) -> tuple[Path, ReadAs]:
    path = tmp_path / "log.csv"
    path.write_text(written(made_cure(2, step=60.0)), "utf8")
    made = propose(path)
    return path, made.confirm({"zone": "local", **made.suggested()})


@pytest.mark.parametrize(("old", "new"), [("°C", "°F"), ("TC1 ", "TC2x "), ("Vacuum gauge", "Set")])
def test_a_changed_head_is_not_read_by_the_old_answers(old: str, new: str, kept: tuple[Path, ReadAs]) -> None:
    path, how = kept
    text = path.read_text("utf8")
    assert len(read_log(path, how)) > 100
    path.write_text(text.replace(old, new), "utf8")
    with pytest.raises(InputError, match="beginning of this file"):
        read_log(path, how)


def test_swapped_columns_and_another_first_sample_ask_again(kept: tuple[Path, ReadAs]) -> None:
    path, how = kept
    lines = path.read_text("utf8").splitlines()
    swapped = [",".join([(c := x.split(","))[0], c[2], c[1], *c[3:]]) for x in lines]
    path.write_text("\n".join(swapped) + "\n", "utf8")
    with pytest.raises(InputError, match="beginning of this file"):
        read_log(path, how)
    path.write_text("\n".join([lines[0], *lines[2:]]) + "\n", "utf8")
    with pytest.raises(InputError, match="beginning of this file"):
        read_log(path, how)
    path.write_text("\n".join([*lines, lines[-1]]) + "\n", "utf8")
    assert len(read_log(path, how)) == len(lines), "a longer file keeps its reading"


def test_a_growing_file_that_is_written_over_is_followed_and_a_changed_head_is_not_read(
    kept: tuple[Path, ReadAs],
) -> None:
    path, how = kept
    lines = path.read_text("utf8").splitlines(keepends=True)
    path.write_text("".join(lines[:50]), "utf8")
    growing = GrowingFile(path, how)
    assert growing.poll() == 49
    path.unlink()
    path.write_text("".join(lines[:60]), "utf8")  # the logger writes the whole file anew
    assert growing.poll() == 10
    path.write_text(lines[0] + "".join(lines[60:120]), "utf8")  # longer than before, in place
    assert growing.poll() == 60
    assert any("replaced" in n and "followed" in n for n in growing.log().notes)
    path.write_text(lines[0].replace("°C", "°F") + "".join(lines[120:125]), "utf8")
    with pytest.raises(InputError, match="head of the file"):
        growing.poll()
    assert any("head of the file" in n for n in growing.log().notes)


# --- live buffer --------------------------------------------------------------------------------------------


def test_a_clock_set_back_keeps_the_order_of_arrival() -> None:
    buffer = Buffer([Point("TC1", ChannelRole.THERMOCOUPLE, "C")])
    for n in range(20):
        buffer.add(Sample(1000.0 + 10.0 * n - (3600.0 if n >= 10 else 0.0), (20.0 + n,)))
    assert (buffer.log().channels[0].values - 273.15).round().tolist() == list(range(20, 40))


def test_a_row_of_how_readings_were_made_gives_no_names_in_any_language(tmp_path: Path) -> None:
    """Five times "Mittel" became the names, and the set point below one of them a thermocouple."""
    made = proposed(
        tmp_path / "a.csv",
        "Zeit,Kanal 1,Kanal 2,Sollwert,Druck",
        ",°C,°C,°C,mbar abs",
        ",Mittel,Mittel,Mom.,Mittel",
        *rows(HOT, COLD, "25 + i", "150 + 0.1 * (i % 5)"),
    )
    assert roles(made) == {
        "Kanal 1": ChannelRole.THERMOCOUPLE,
        "Kanal 2": ChannelRole.THERMOCOUPLE,
        "Sollwert": ChannelRole.SET_POINT,
        "Druck": ChannelRole.VACUUM,
    }
    alike = proposed(tmp_path / "b.csv", "Zeit,Ofen,Ofen,Ofen", *rows(HOT, COLD, "25 + i"))
    assert {c.name.partition(" ")[0] for c in alike.read_as.columns} == {"Ofen"}, (
        "names that repeat are names"
    )


def test_seconds_since_1970_are_shown_as_a_date_of_utc(tmp_path: Path) -> None:
    """A shop that reads local time must see whose clock its log is told by."""
    for unit, factor in (("s", 1), ("ms", 1000)):
        lines = [f"{(1795588800 + 10 * i) * factor},{20 + i},{21 + i}" for i in range(60)]
        made = proposed(tmp_path / f"{unit}.csv", f"epoch_{unit},T1 C,T2 C", *lines)
        assert any("told in UTC: the first is 2026-11-25 06:40:00" in x for x in made.reasons)
        assert made.read_as.time.zone == "Z"
        assert taken(tmp_path / f"{unit}.csv", made, {"zone": "Z"}).started == "2026-11-25T06:40:00+00:00"


def test_a_gauge_without_a_unit_given_another_role_is_asked_for_none(tmp_path: Path) -> None:
    """Nobody knows that it is one: its name alone may be anything. With its unit it is weighed, and asked."""
    for name, asked in (("Bag vacuum", False), ("Bag vacuum [mbar]", True)):
        made = proposed(tmp_path / "a.csv", f"Time,T1 [C],{name}", *rows(HOT, "190 + i % 4"))
        bag = made.read_as.columns[1].name
        assert {f"unit of {bag}", f"sense of {bag}"} & {q.key for q in made.open({})}
        still = {q.key for q in made.open({f"role of {bag}": "other"})}
        assert bool({f"unit of {bag}", f"sense of {bag}"} & still) is asked, name


def test_the_air_pressure_is_asked_where_a_vacuum_is_counted_as_absolute_and_only_there(
    tmp_path: Path,
) -> None:
    made = proposed(tmp_path / "a.csv", "Time,T1 [C],Bag vacuum [mbar abs]", *rows(HOT, "190 + i % 4"))
    bag = made.read_as.columns[1].name

    def asked(**answers: str) -> bool:
        named = {f"{k} of {bag}": v for k, v in answers.items()}
        return "ambient" in {q.key for q in made.open(named)}

    assert asked()
    assert asked(sense="absolute")
    assert not asked(sense="below ambient")
    assert asked(role="other"), "given another role it is weighed all the same"
    assert not asked(role="other", sense="below ambient")
    assert asked(role="other", sense="absolute")
    given = {
        f"role of {bag}": "other",
        f"sense of {bag}": "absolute",
        "zone": "local",
        "ambient": "1013 mbar",
    }
    assert made.confirm(given).columns[1].role is ChannelRole.OTHER

    open_sense = proposed(tmp_path / "b.csv", "Time,T1 [C],Bag vacuum [mbar]", *rows(HOT, "190 + i % 4"))
    bag = open_sense.read_as.columns[1].name
    answers = {"zone": "local", f"sense of {bag}": "absolute"}
    assert "ambient" in {q.key for q in open_sense.open(answers)}
    with pytest.raises(InputError, match="does not settle: ambient"):
        open_sense.confirm(answers)
    assert open_sense.confirm({**answers, "ambient": "1000 mbar"}).ambient == pytest.approx(1e5)


@pytest.mark.parametrize(
    ("head", "role", "unit"),
    [
        ("Bag kPa below ambient", ChannelRole.VACUUM, "kPa"),
        ("vac_kPa_below_ambient", ChannelRole.VACUUM, "kPa"),
        ("Vide (mbar sous atmosph\u00e8re)", ChannelRole.VACUUM, "mbar"),
        ("Unterdruck mbar unter Umgebung", ChannelRole.VACUUM, "mbar"),
        ("Ambient (C)", ChannelRole.AIR, "C"),
        ("Luft Ofen [\u00b0C]", ChannelRole.AIR, "C"),
        ("Atmosphere hPa", ChannelRole.OTHER, "hPa"),
    ],
)
def test_what_a_pressure_counts_from_is_not_what_it_is(head: str, role: ChannelRole, unit: str) -> None:
    """A vacuum "kPa below ambient" was taken for air, one "sous atmosph\u00e8re" for a barometer."""
    found = guess(head, "", np.linspace(20.0, 80.0, 50))
    assert (found.role, found.unit) == (role, unit)


@pytest.mark.parametrize(
    ("name", "role"),
    [
        (n, ChannelRole.SET_POINT)
        for n in ("Consigne (°C)", "Consigna", "Gewenste waarde", "Börvärde [°C]", "Sætpunkt",
                  "Wartość zadana",
                  "Žádaná hodnota [°C]", "Asetusarvo (°C)", "T. impostata", "Sollwert", "Setpt")
    ]
    + [(n, ChannelRole.VACUUM) for n in ("Alipaine", "Podtlak [inHg]", "Undertryck (kPa)", "Podciśnienie")]
    + [(n, ChannelRole.THERMOCOUPLE) for n in ("TC1 Consolidation", "Part set 3", "T5 installed side")],
)  # fmt: skip
def test_a_set_point_and_a_gauge_are_known_in_other_languages(name: str, role: ChannelRole) -> None:
    """A Czech set point was taken for a thermocouple that stands still, and would have counted as one."""
    assert role_by_name(name) is role


@pytest.mark.parametrize(
    ("values", "sense"),
    [
        ([0.2, 0.1, -12.0, -24.5, -24.6], "below ambient, negative"),
        ([-0.1, 0.0, 12.0, 24.5, 24.6], ""),
        ([-0.1, -12.0, -24.5, -24.6, 0.2], "below ambient, negative"),
    ],
)
def test_a_gauge_counts_as_most_of_its_readings_do_not_as_the_first(values: list[float], sense: str) -> None:
    """A gauge about zero before the pump is on shows either sign."""
    assert guess("Vacuum", "inHg", np.array(values)).sense == sense
