"""Labels of lots and instruments: scanned wherever one is named, and another's code refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.app.records import readings_typed
from panelmend.app.records_labels import INSTRUMENT, LOT, code_of, label_rows, scanned, scanned_parts
from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.render.labels import LabelCode
from records_made import A1, JOB, ON_POSTGRESQL, Shop, begun, refused, steps, who


@pytest.fixture(scope="module")
def made() -> Shop:
    """A shop with an instrument and a lot whose number has a space in it."""
    found = begun()
    found.book.know_instrument(who("S1"), "VG-03", "vacuum gauge", "certificate 7", "2027-01-31")
    found.receive("R 118/2")
    return found


@pytest.mark.parametrize("name", ["L1", "R 118/2"])
def test_a_code_that_was_scanned_is_the_number_it_was_printed_for(made: Shop, name: str) -> None:
    code = code_of(made.state, LOT, name)
    assert " " not in code
    assert scanned(made.state, code) == name
    shop, slash, number = code.partition("/")
    assert scanned(made.state, f" {shop.upper()}{slash}{number}\n") == name  # as some scanners give it
    assert scanned_parts(made.state, [f"{code}=100", "L1=3"]) == (f"{name}=100", "L1=3")
    assert scanned(made.state, name) == name  # typed


def test_a_code_of_another_shop_kind_or_a_piece_is_refused(made: Shop) -> None:
    good = code_of(made.state, LOT, "L1")
    other = good.replace(made.state.records[:12], "0123456789ab")
    piece = LabelCode(JOB, "P1", made.state.jobs[JOB].opened.plan[:12]).text()
    for code in (
        other,
        piece,
        code_of(made.state, INSTRUMENT, "VG-03"),
        f"{good}/x",
        "panelmend-lot:",
        "PANELMEND:x",
    ):
        refused("R610", lambda c=code: scanned(made.state, c))
    refused("R610", lambda: scanned(made.state, good, INSTRUMENT))
    assert scanned(made.state, code_of(made.state, INSTRUMENT, "VG-03"), INSTRUMENT) == "VG-03"


def test_a_blank_for_lots_or_instruments_takes_the_codes_of_their_labels(made: Shop) -> None:
    blank = {"what": "Lots", "entry": e.EntryKind.TEXT}
    asked = (e.CardBlank(**blank, names="lots"), e.CardBlank(**blank, names="instruments"))
    card = steps()[0].model_copy(update={"blanks": asked})
    job = made.state.jobs[JOB]
    held = type(job)(**{**vars(job), "steps": {**job.steps, A1: card}})
    lots = f"{code_of(made.state, LOT, 'L1')} R-2"
    tool = code_of(made.state, INSTRUMENT, "VG-03")
    found = readings_typed(made.state, held, A1, (f"1={lots}", f"2={tool}"), "", "")
    assert [r.names for r in found] == [("L1", "R-2"), ("VG-03",)]
    assert found[0].typed == lots  # what was read stays as it was read
    refused(
        "R610", lambda: readings_typed(made.state, held, A1, (f"2={code_of(made.state, LOT, 'L1')}",), "", "")
    )


def test_a_label_says_what_the_records_say_and_of_nothing_else(made: Shop) -> None:
    (row,) = label_rows(made.state, LOT, ["L1"])
    lot = made.state.lots["L1"]
    assert (row["id"], row["what"]) == ("L1", lot.received.material)
    assert f"last day of use {lot.expires}" in str(row["lines"])
    (tool,) = label_rows(made.state, INSTRUMENT, ["VG-03"])
    assert "calibration due 2027-01-31" in str(tool["lines"])
    refused("R122", lambda: label_rows(made.state, LOT, ["VG-03"]))
    refused("R122", lambda: label_rows(made.state, INSTRUMENT, ["L1"]))
    long = made.state.lots["L1"]
    made.state.lots["(" * 80] = long
    try:
        with pytest.raises(InputError, match="too long"):
            label_rows(made.state, LOT, ["(" * 80])
    finally:
        del made.state.lots["(" * 80]


@pytest.mark.skipif(ON_POSTGRESQL, reason="the command line is given a file")
def test_a_sheet_of_labels_is_printed_and_a_scanned_lot_is_found(made: Shop, tmp_path: Path) -> None:
    line = ["records", "--in", made.where]
    done = CliRunner().invoke(main, [*line, "lot", "label", str(tmp_path / "lots.pdf"), "L1", "R 118/2"])
    assert done.exit_code == 0, done.output
    assert (tmp_path / "lots.pdf").read_bytes().startswith(b"%PDF-")
    shown = CliRunner().invoke(main, [*line, "lot", "show", code_of(made.state, LOT, "R 118/2")])
    assert (shown.exit_code, "R 118/2" in shown.output) == (0, True)
    wrong = CliRunner().invoke(main, [*line, "history", "instrument", code_of(made.state, LOT, "L1")])
    assert (wrong.exit_code, "R610" in wrong.output) == (3, True)
