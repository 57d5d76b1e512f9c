"""The verbs of a job's bench: its kit, what is mixed, labels of pieces."""

from __future__ import annotations

from pathlib import Path

import click

from panelmend.app import cli_desk as c

verbs = click.Group()
"""They stand under ``job``."""


@c.verb(
    verbs,
    "mixed",
    click.argument("number"),
    click.argument("step"),
    click.argument("batch"),
    click.argument("parts", nargs=-1, required=True, metavar="LOT=AMOUNT..."),
    click.option(
        "--life", default="", help='How long it may be used, "40 min"; the card\'s pot life if it has one.'
    ),
    c.AT,
    c.LATE,
    c.BY,
)
def mixed(
    desk: c.Desk,
    number: str,
    step: str,
    batch: str,
    parts: tuple[str, ...],
    life: str,
    at: str,
    late: str,
    by: str,
) -> None:
    """Enter a BATCH of resin mixed at a STEP: how much of which lots, in each lot's unit."""
    from panelmend.app.records_labels import scanned_parts
    from panelmend.app.records_stores import batch_words, mixed_of

    held, key = desk.step(number, step)
    amounts, seconds = mixed_of(held, key, scanned_parts(desk.book.state, parts), life)
    desk.book.mix(desk.who(by), number, key, batch, amounts, seconds, desk.when(at, late))
    for line in batch_words(desk.book.state, batch):
        click.echo(line)
    desk.done()


@c.verb(
    verbs,
    "label",
    click.argument("number"),
    click.argument("step"),
    click.argument("codes", nargs=-1, required=True, metavar="CODE..."),
    c.AT,
    c.LATE,
    c.BY,
)
def label(desk: c.Desk, number: str, step: str, codes: tuple[str, ...], at: str, late: str, by: str) -> None:
    """Enter the CODE of a piece's label at the STEP that uses it; another job's or plan's is refused."""
    from panelmend.app.records_stores import label_typed
    from panelmend.records.doing.bench import not_entered

    _, key = desk.step(number, step)
    who, then = desk.who(by), desk.when(at, late)
    for code in [label_typed(x) for x in codes]:
        desk.book.see_label(who, number, key, *code, then)
    missing = not_entered(desk.book.state.jobs[number], key)
    if missing:
        click.echo(f"Not entered yet: {', '.join(missing)}")
    desk.done()


@c.verb(
    verbs,
    "coupon",
    click.argument("number"),
    click.argument("step"),
    click.argument("coupon"),
    click.argument("lots", nargs=-1, required=True, metavar="LOT..."),
    click.option("--what", required=True, help='What it is to show: "lap shear of film adhesive".'),
    c.AT,
    c.LATE,
    c.BY,
)
def coupon_made(
    desk: c.Desk,
    number: str,
    step: str,
    coupon: str,
    lots: tuple[str, ...],
    what: str,
    at: str,
    late: str,
    by: str,
) -> None:
    """Enter a witness COUPON laid at a STEP, of which lots and batches; the release waits for its result."""
    from panelmend.app.records_labels import scanned

    _, key = desk.step(number, step)
    names, then = tuple(scanned(desk.book.state, x) for x in lots), desk.when(at, late)
    desk.book.make_coupon(desk.who(by), number, key, coupon, what, names, then)
    desk.done()


@c.verb(
    verbs,
    "coupon-tested",
    click.argument("number"),
    click.argument("coupon"),
    click.argument("value"),
    click.argument("unit"),
    click.option("--least", help="The least that the approved data asks, in the same unit."),
    click.option("--most", help="The most it allows, in the same unit."),
    click.option("--ground", required=True, help="Where the approved data says so."),
    click.option("--on", "instrument", required=True, help="The instrument it was tested on."),
    click.option("--broke", required=True, help='How it broke: "in the adhesive".'),
    click.option("--paper", type=c.PATH, required=True, help="The test's own report."),
    c.AT,
    c.LATE,
    c.BY,
)
def coupon_tested(
    desk: c.Desk,
    number: str,
    coupon: str,
    value: str,
    unit: str,
    least: str | None,
    most: str | None,
    ground: str,
    instrument: str,
    broke: str,
    paper: Path,
    at: str,
    late: str,
    by: str,
) -> None:
    """Enter the result of a witness COUPON; outside its limit it needs a deviation before the release."""
    from panelmend.app.records import file_bytes
    from panelmend.app.records_labels import INSTRUMENT, scanned
    from panelmend.app.records_words import coupon_words
    from panelmend.records.canonical import amount_text, typed_amount

    told = {"value": value, "least": least, "most": most}
    fields = {k: None if x is None else amount_text(typed_amount(x)) for k, x in told.items()}
    fields |= {"unit": unit, "ground": ground, "broke": broke, "job": number, "coupon": coupon}
    fields["instrument"] = scanned(desk.book.state, instrument, INSTRUMENT)
    who, then = desk.who(by), desk.when(at, late)
    desk.book.test_coupon(who, file_bytes(paper), then, **fields)
    for line in coupon_words(desk.book.state.coupons[coupon]):
        click.echo(line)
    desk.done()


@c.verb(
    verbs,
    "kit",
    click.argument("number"),
    click.option("--reserve", metavar="PERSON", help="Keep it for the job; staff number of who does."),
)
def kit(desk: c.Desk, number: str, reserve: str | None) -> None:
    """What the kit of a job draws: from opened lots first, then from the first to expire."""
    from panelmend.app.records_stores import kit_words, reserve_kit

    before = desk.book.state.number
    if reserve is None:
        lines = kit_words(desk.book.state, number)
    else:
        lines = reserve_kit(desk.book, desk.who(reserve), number)
    for line in lines:
        click.echo(line)
    if reserve is not None:
        desk.done("Entered." if desk.book.state.number > before else "Kept as it was: nothing was entered.")
