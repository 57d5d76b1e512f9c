"""The verbs of the records, of people in them, and their packages."""

from __future__ import annotations

import os
from pathlib import Path

import click

from panelmend.app import cli_bench, cli_job, cli_paper, cli_stores
from panelmend.app import cli_desk as c


@click.group()
@click.option(
    "--in",
    "where",
    default=lambda: os.environ.get("PANELMEND_RECORDS", "records.sqlite"),
    metavar="WHERE",
    help="The records: a file, or postgresql://...; else PANELMEND_RECORDS, else records.sqlite here.",
)
@click.option("--secret-file", type=c.PATH, help="Read the secret from the first line of a file.")
@click.pass_context
def records(context: click.Context, where: str, secret_file: Path | None) -> None:
    """Keep what was done, by whom, with which lot, and who accepted it."""
    context.obj = c.Desk(where, secret_file)


# --- the records themselves


@c.verb(
    records,
    "begin",
    click.argument("person"),
    click.argument("name"),
    click.option(
        "--zone", default="UTC", show_default=True, help='The shop\'s time zone, such as "Europe/Lisbon".'
    ),
    click.option("--invented", is_flag=True, help="A demonstration."),
)
def begin(desk: c.Desk, person: str, name: str, zone: str, invented: bool) -> None:
    """Begin records with PERSON, called NAME, as their first keeper of accounts."""
    from panelmend.records.book import Book

    secret = desk.secret(f"New secret of {person}", twice=True)
    Book.begin(desk.where, person, name, secret, zone=zone, invented=invented)
    desk.done("Begun.")


@c.verb(
    records,
    "check",
    click.option("--head", default="", help="A head from paper, which the log must reach."),
    click.option("--links", is_flag=True, help="The links, papers and file alone, without every rule again."),
    click.option("--since", default="", help="A head on paper at which an earlier whole check ended."),
)
def check(desk: c.Desk, head: str, links: bool, since: str) -> None:
    """Check the whole log: every entry, every seal, every rule, every paper.

    With --links, about twenty times faster, it finds any edit, removal, swap or fork, and with a head
    from paper a cut tail and a log written anew; not an entry put in past the rules. With --since it looks
    at every link and paper, and at seals and rules of what was entered after that head: give the one that a
    whole check printed and somebody kept on paper, and check the whole again from time to time."""
    found = desk.book.log.check(head, rules=not links, since=since)
    for number, words in found.faults:
        click.echo(f"  entry {number}: {words}" if number else f"  {words}", err=True)
    found.must_hold()
    for name, value in desk.book.log.settings().items():
        click.echo(f"  {name}: {value}")
    looked = (
        "; no seal and no rule"
        if links
        else f", seals and rules after {since}"
        if since
        else ", every seal, every rule"
    )
    click.echo(f"  checked: links and papers{looked}")
    if found.unsealed:
        click.echo(f"  {found.unsealed} signatures of the first rules bear no seal: nothing shows who signed")
    click.echo(f"{found.number} entries hold. Head: {found.printed}")
    if not head and not since:
        click.echo("No head from paper was given: a tail that was cut cannot be seen.")


@c.verb(records, "refused")
def refused(desk: c.Desk) -> None:
    """Recent refusals, oldest first: a note beside the log, which proves nothing."""
    from panelmend.records.store.refused import refused_lately

    for line in refused_lately(Path(desk.where)) or ["Nothing is noted; of records on a server nothing is."]:
        click.echo(line)


@c.verb(records, "shop")
def shop(desk: c.Desk) -> None:
    """Jobs in work and what each waits for, what falls due, what must be ordered, lots."""
    from panelmend.app.records_shop import shop_words

    for line in shop_words(desk.book.state):
        click.echo(line)


@c.verb(
    records,
    "history",
    click.argument(
        "kind", type=click.Choice(["job", "lot", "batch", "coupon", "person", "instrument", "panel"])
    ),
    click.argument("name"),
    click.option("--after", type=click.IntRange(0), default=0, help="Only what follows this entry."),
    click.option(
        "--most", type=click.IntRange(1), default=1000, show_default=True, help="How many entries at once."
    ),
)
def history(desk: c.Desk, kind: str, name: str, after: int, most: int) -> None:
    """Everything that touched a job, lot, batch, coupon, person, instrument, or panel ("PART SERIAL")."""
    from panelmend.app.records_labels import INSTRUMENT, LOT, scanned
    from panelmend.app.records_words import history_words

    named = scanned(desk.book.state, name, kind) if kind in (LOT, INSTRUMENT) else name
    for line in history_words(desk.book, f"{kind} {named}", after, most):
        click.echo(line)


@c.verb(
    records,
    "panel",
    click.argument("part"),
    click.argument("serial"),
    click.option("--toml", is_flag=True, help="As the next repair document names them."),
)
def panel(desk: c.Desk, part: str, serial: str, toml: bool) -> None:
    """Every repair of one panel; with --toml for the document of the next one."""
    from panelmend.app.records_shop import earlier_toml, panel_words

    for line in (earlier_toml if toml else panel_words)(desk.book.state, part, serial):
        click.echo(line)


@c.verb(records, "stores")
def stores(desk: c.Desk) -> None:
    """The stores as the next repair document names them: what may be used, and what is left of it."""
    from panelmend.app.records_stores import stores_toml

    for line in stores_toml(desk.book.state):
        click.echo(line)


@c.verb(records, "package", click.argument("job"), click.argument("target", type=c.PATH))
def package(desk: c.Desk, job: str, target: Path) -> None:
    """Write the package of a JOB for a third party."""
    from panelmend.app.records import write_package

    click.echo(f"Package: {target}. Head: {write_package(desk.book, job, target)}")


@c.verb(
    records,
    "check-package",
    click.argument("file", type=c.PATH),
    click.option("--head", default="", help="A head from paper, which the package must reach."),
    click.option("--compare", is_flag=True, help="Compare it with the records given by --in."),
)
def check_package(desk: c.Desk, file: Path, head: str, compare: bool) -> None:
    """Check a package."""
    from panelmend.app import records as doing

    for line in doing.check_package(file, head, desk.book if compare else None):
        click.echo(line)
    click.echo("Nothing was found.")


@c.verb(records, "check-pdf", click.argument("file", type=c.PATH), click.argument("certificate", type=c.PATH))
def check_pdf(desk: c.Desk, file: Path, certificate: Path) -> None:
    """Check the signature of a PDF with a trusted CERTIFICATE, without a network."""
    from panelmend.app.pdf_seal import look_at_pdf
    from panelmend.app.records import file_bytes

    for line in look_at_pdf(file_bytes(file), certificate):
        click.echo(line)


@c.verb(
    records,
    "clock-was-wrong",
    click.argument("first", type=int),
    click.argument("last", type=int),
    click.argument("why"),
    c.BY,
)
def clock_was_wrong(desk: c.Desk, first: int, last: int, why: str, by: str) -> None:
    """Say that the machine's clock was ahead in the entries from FIRST to LAST."""
    desk.book.clock_was_wrong(desk.who(by), first, last, why)
    desk.done()


# --- copies


@c.verb(records, "backup", click.argument("target", type=c.PATH))
def backup(desk: c.Desk, target: Path) -> None:
    """Write a copy to TARGET while the records are in use."""
    click.echo(f"Backup: {target}. Head: {desk.book.log.backup(target).printed}")


@c.verb(
    records,
    "drill",
    click.argument("backup", type=c.PATH),
    click.option("--compare", is_flag=True, help="Compare it with the records given by --in."),
)
def drill(desk: c.Desk, backup: Path, compare: bool) -> None:
    """Test a BACKUP: open a copy of it and check every rule. Do it before you need it."""
    from panelmend.records.store.backup import drill as tried

    found = tried(backup, desk.book.log if compare else None)
    click.echo(f"{found.number} entries hold in the backup. Head: {found.printed}")


@c.verb(records, "hand-over", click.argument("why"), c.BY)
def hand_over(desk: c.Desk, why: str, by: str) -> None:
    """Hand the records over to a copy: these are read-only from here on. Copy the file after this."""
    token = desk.book.hand_over(desk.who(by), why)
    desk.done(f"Read-only from here on. Copy the file now; there: panelmend records take-over {token}\n")


@c.verb(records, "take-over", click.argument("token"))
def take_over(desk: c.Desk, token: str) -> None:
    """Take over records that were handed over with a TOKEN."""
    desk.book.take_over(token)
    desk.done("This copy governs.")


@c.verb(records, "other-is-lost", click.argument("why"), c.BY)
def other_is_lost(desk: c.Desk, why: str, by: str) -> None:
    """Say that the copy that governed is lost; this one governs when a second person has said it too."""
    desk.book.other_copy_is_lost(desk.who(by), why)
    desk.done()


# --- people


@records.group()
def person() -> None:
    """People, their roles and authorisations."""


@c.verb(
    person,
    "add",
    click.argument("number"),
    click.argument("name"),
    click.option(
        "--role",
        "roles",
        multiple=True,
        required=True,
        type=click.Choice(c.ROLES),
        help="May be given again.",
    ),
    c.BY,
)
def add(desk: c.Desk, number: str, name: str, roles: tuple[str, ...], by: str) -> None:
    """Add a person with a staff NUMBER; prints the code with which they set their own secret."""
    from panelmend.records.events import Role

    code = desk.book.add_person(desk.who(by), number, name, [Role(r) for r in roles])
    desk.done(f"Code for {name}, good once and for three days: {code}\n")


@c.verb(person, "code", click.argument("number"), click.argument("why"), c.BY)
def code(desk: c.Desk, number: str, why: str, by: str) -> None:
    """A new code for a person who lost their secret."""
    made = desk.book.new_code(desk.who(by), number, why)
    desk.done(f"Code for {number}, good once and for three days: {made}\n")


@c.verb(person, "enrol", click.argument("number"), click.argument("code"))
def enrol(desk: c.Desk, number: str, code: str) -> None:
    """Set one's own secret with a CODE."""
    desk.book.enrol(number, code, desk.secret(f"New secret of {number}", twice=True))
    desk.done()


@c.verb(
    person,
    "roles",
    click.argument("number"),
    click.argument("why"),
    click.option("--role", "roles", multiple=True, type=click.Choice(c.ROLES), help="May be given again."),
    c.BY,
)
def roles(desk: c.Desk, number: str, why: str, roles: tuple[str, ...], by: str) -> None:
    """Give a person other roles; with no role given, all are removed."""
    from panelmend.records.events import Role

    desk.book.set_roles(desk.who(by), number, [Role(r) for r in roles], why)
    desk.done()


@c.verb(person, "remove", click.argument("number"), click.argument("why"), c.BY)
def remove(desk: c.Desk, number: str, why: str, by: str) -> None:
    """Remove a person; what they did stays."""
    desk.book.remove_person(desk.who(by), number, why)
    desk.done()


@c.verb(
    person,
    "authorise",
    click.argument("number"),
    click.argument("scope", type=click.Choice(c.SCOPES)),
    click.argument("until"),
    click.argument("paper"),
    c.BY,
)
def authorise(desk: c.Desk, number: str, scope: str, until: str, paper: str, by: str) -> None:
    """Enter that PAPER authorises a person for SCOPE until the day UNTIL."""
    from panelmend.records.events import Scope

    desk.book.authorise(desk.who(by), number, Scope(scope), until, paper)
    desk.done()


@c.verb(
    person,
    "end-authorisation",
    click.argument("number"),
    click.argument("scope", type=click.Choice(c.SCOPES)),
    click.argument("why"),
    c.BY,
)
def end_authorisation(desk: c.Desk, number: str, scope: str, why: str, by: str) -> None:
    """End an authorisation early."""
    from panelmend.records.events import Scope

    desk.book.end_authorisation(desk.who(by), number, Scope(scope), why)
    desk.done()


for _verb in (*cli_bench.verbs.commands.values(), *cli_paper.verbs.commands.values()):
    cli_job.job.add_command(_verb)
records.add_command(cli_job.job)
records.add_command(cli_stores.lot)
records.add_command(cli_stores.instrument)
