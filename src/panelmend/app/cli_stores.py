"""The verbs of the stores: lots and instruments."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from panelmend.app import cli_desk as c


def _named(desk: c.Desk, lot: str) -> str:
    """A lot as it was typed, or by the code of its label that was scanned. Raises Refused."""
    from panelmend.app.records_labels import scanned

    return scanned(desk.book.state, lot)


def _label(desk: c.Desk, kind: str, target: Path, names: tuple[str, ...]) -> None:
    from panelmend.app.records_labels import labels_of
    from panelmend.files import replace_whole

    replace_whole(target, labels_of(desk.book.state, kind, names))
    click.echo(f"Labels: {target}")


def _seconds(text: str) -> int | None:
    from panelmend.units import read

    return int(read(text, "time")) if text else None


def _metres(text: str) -> str | None:
    """A width or a thickness as typed, in metres to the micrometre."""
    from panelmend.records.canonical import amount_text, typed_amount
    from panelmend.units import read

    return amount_text(typed_amount(f"{read(text, 'length'):.6f}")) if text else None


def _amount(text: str) -> str:
    from panelmend.records.canonical import amount_text, typed_amount

    return amount_text(typed_amount(text))


@click.group()
def lot() -> None:
    """Lots: receive, move, issue, return, scrap, correct, re-test."""


@click.group()
def instrument() -> None:
    """Instruments and their calibration."""


@c.verb(
    lot,
    "receive",
    click.argument("lot"),
    click.argument("material"),
    click.argument("amount"),
    click.argument("unit"),
    click.option("--batch", required=True, help="The maker's batch."),
    click.option("--certificate", required=True, help="The supplier's certificate."),
    click.option("--expires", required=True, help="Last day of use, such as 2027-03-01."),
    click.option("--out-life", default="", help='Out-time it may have in all, such as "240 h".'),
    click.option("--out-time", default="", help='Out-time its paper says it had, such as "12 h".'),
    click.option("--opened-life", default="", help='How long it may be used once opened, such as "30 days".'),
    click.option("--frozen", is_flag=True, help="It goes straight into the freezer."),
    click.option("--width", default="", help='Width of a roll or a remnant, such as "1270 mm".'),
    click.option("--thickness", default="", help='Thickness of a sheet of core, such as "20 mm".'),
    c.AT,
    c.LATE,
    c.BY,
)
def receive(
    desk: c.Desk,
    amount: str,
    out_life: str,
    out_time: str,
    opened_life: str,
    width: str,
    thickness: str,
    at: str,
    late: str,
    by: str,
    **fields: Any,
) -> None:
    """Receive a LOT of a MATERIAL."""
    from panelmend.app.records_stores import received_words

    times = {
        "out_life": _seconds(out_life),
        "out_time": _seconds(out_time) or 0,
        "opened_life": _seconds(opened_life),
        "width": _metres(width),
        "thickness": _metres(thickness),
    }
    at_ = desk.when(at, late)
    desk.book.receive(desk.who(by), at_, amount=_amount(amount), **times, **fields)
    for line in received_words(desk.book.state, fields["lot"]):
        click.echo(line)
    desk.done()


@c.verb(lot, "show", click.argument("lot"))
def show(desk: c.Desk, lot: str) -> None:
    """A lot, and everything it touched."""
    from panelmend.app.records_words import history_words, lot_words

    lot = _named(desk, lot)
    click.echo(lot_words(desk.book.state, lot))
    for line in history_words(desk.book, f"lot {lot}"):
        click.echo(line)


@c.verb(
    lot,
    "move",
    click.argument("lot"),
    click.argument("to", type=click.Choice(["freezer", "out"])),
    click.argument("place"),
    c.AT,
    c.LATE,
    c.BY,
)
def move(desk: c.Desk, lot: str, to: str, place: str, at: str, late: str, by: str) -> None:
    """Put a LOT into the freezer or take it out; out-time adds up."""
    frozen = {"freezer": True, "out": False}[to]
    desk.book.move(desk.who(by), _named(desk, lot), frozen, place, desk.when(at, late))
    desk.done()


@c.verb(lot, "open", click.argument("lot"), c.AT, c.LATE, c.BY)
def open_(desk: c.Desk, lot: str, at: str, late: str, by: str) -> None:
    """Open a LOT."""
    desk.book.open_lot(desk.who(by), _named(desk, lot), desk.when(at, late))
    desk.done()


@c.verb(
    lot,
    "issue",
    click.argument("lot"),
    click.argument("job"),
    click.argument("step"),
    click.argument("amount"),
    c.AT,
    c.LATE,
    c.BY,
)
def issue(desk: c.Desk, lot: str, job: str, step: str, amount: str, at: str, late: str, by: str) -> None:
    """Issue an AMOUNT of a LOT to a STEP of a JOB."""
    from panelmend.app.records_stores import other_choice

    _, key = desk.step(job, step)
    lot = _named(desk, lot)
    other = other_choice(desk.book.state, job, lot)
    desk.book.issue(desk.who(by), lot, job, key, _amount(amount), desk.when(at, late))
    if other:
        click.echo(other)
    desk.done()


@c.verb(
    lot,
    "return",
    click.argument("lot"),
    click.argument("back"),
    click.argument("job"),
    click.argument("amount"),
    click.option("--frozen", is_flag=True, help="It goes straight into the freezer."),
    click.option("--width", default="", help="Width of a remnant of a roll; AMOUNT is its length."),
    click.option(
        "--corner",
        multiple=True,
        metavar="X,Y",
        help="A corner of a remnant that is no rectangle [mm], warp along x; in order, three at least.",
    ),
    c.AT,
    c.LATE,
    c.BY,
)
def return_(
    desk: c.Desk,
    lot: str,
    back: str,
    job: str,
    amount: str,
    frozen: bool,
    width: str,
    corner: tuple[str, ...],
    at: str,
    late: str,
    by: str,
) -> None:
    """Take back an AMOUNT of a LOT from a JOB, as a lot of its own with the number BACK.

    AMOUNT and width of a remnant are the largest rectangle in it along the warp:
    the next nest counts on that."""
    at_, lot = desk.when(at, late), _named(desk, lot)
    outline = tuple(_corner(x) for x in corner)
    desk.book.take_back(
        desk.who(by), lot, back, job, _amount(amount), frozen, at_, width=_metres(width), outline=outline
    )
    whole = desk.book.state.lots[back].width
    if not width and whole is not None:
        click.echo(f"No width was given: lot {back} counts as {whole} m wide, as lot {lot} is.")
    desk.done()


def _corner(text: str) -> tuple[int, int, int]:
    """A corner "X,Y" in millimetres as micrometres, its side straight."""
    from panelmend.errors import InputError

    x, mark, y = text.partition(",")
    try:
        if not mark:
            raise ValueError
        return round(float(x) * 1000), round(float(y) * 1000), 0
    except (ValueError, OverflowError):
        raise InputError("not a corner", read=text[:40], expected='such as "120,35.5" in mm') from None


@c.verb(lot, "scrap", click.argument("lot"), click.argument("amount"), click.argument("why"), c.BY)
def scrap(desk: c.Desk, lot: str, amount: str, why: str, by: str) -> None:
    """Scrap an AMOUNT of a LOT."""
    desk.book.scrap(desk.who(by), _named(desk, lot), _amount(amount), why)
    desk.done()


@c.verb(lot, "correct", click.argument("lot"), click.argument("amount"), click.argument("why"), c.BY)
def correct(desk: c.Desk, lot: str, amount: str, why: str, by: str) -> None:
    """Set a LOT's balance to the AMOUNT that was counted."""
    desk.book.correct(desk.who(by), _named(desk, lot), _amount(amount), why)
    desk.done()


@c.verb(
    lot,
    "re-test",
    click.argument("lot"),
    click.argument("until"),
    click.argument("paper", type=c.PATH),
    click.argument("ground"),
    c.BY,
)
def retest(desk: c.Desk, lot: str, until: str, paper: Path, ground: str, by: str) -> None:
    """Report a documented re-test of a LOT; GROUND is its place in the approved data. A second person
    takes it on."""
    from panelmend.app.records import file_bytes

    taken = desk.book.report_retest(desk.who(by), _named(desk, lot), until, file_bytes(paper), ground)
    desk.done(f"Entry {taken.entry.number}: an engineer takes it on.")


@c.verb(
    lot, "take-on", click.argument("lot"), click.argument("entry", type=int), click.argument("until"), c.BY
)
def take_on(desk: c.Desk, lot: str, entry: int, until: str, by: str) -> None:
    """Accept the re-test reported in an ENTRY, as the second person."""
    desk.book.take_retest(desk.who(by), _named(desk, lot), entry, until)
    desk.done()


@c.verb(lot, "label", click.argument("target", type=c.PATH), click.argument("lots", nargs=-1, required=True))
def lot_label(desk: c.Desk, target: Path, lots: tuple[str, ...]) -> None:
    """Write labels of LOTS to TARGET (PDF); scan their codes wherever you name a lot."""
    _label(desk, "lot", target, lots)


@c.verb(
    instrument,
    "label",
    click.argument("target", type=c.PATH),
    click.argument("numbers", nargs=-1, required=True),
)
def instrument_label(desk: c.Desk, target: Path, numbers: tuple[str, ...]) -> None:
    """Write labels of instruments to TARGET (PDF); scan their codes wherever you name one."""
    _label(desk, "instrument", target, numbers)


@c.verb(lot, "least", click.argument("material"), click.argument("amount"), click.argument("unit"), c.BY)
def least(desk: c.Desk, material: str, amount: str, unit: str, by: str) -> None:
    """Set AMOUNT as the minimum stock of a MATERIAL; `shop` tells you when to order."""
    desk.book.set_least(desk.who(by), material, _amount(amount), unit)
    desk.done()


@c.verb(
    instrument,
    "known",
    click.argument("number"),
    click.argument("what"),
    click.argument("certificate"),
    click.argument("due"),
    c.BY,
)
def known(desk: c.Desk, number: str, what: str, certificate: str, due: str, by: str) -> None:
    """Enter an instrument with its calibration certificate and the day it falls DUE."""
    from panelmend.app.records_stores import far_words

    desk.book.know_instrument(desk.who(by), number, what, certificate, due)
    for line in far_words(desk.book.state, due):
        click.echo(line)
    desk.done()
