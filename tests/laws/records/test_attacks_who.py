"""Who it was: ways to sign, or to stand, as somebody else, each refused; all once passed."""

from __future__ import annotations

import sqlalchemy as sa

from panelmend.records import events as e
from panelmend.records import seals
from panelmend.records import secrets as s
from panelmend.records.book import Who
from panelmend.records.doing.standing import content, statements
from panelmend.records.store.log import Draft, Log
from panelmend.records.store.tables import PAPERS, SECRETS
from records_kept import write_rows
from records_made import (
    A1,
    A3,
    CHEAP,
    JOB,
    O11,
    O20,
    Shop,
    job_shop,
    quick_folder,
    refused,
    secret_of,
    shop,
    who,
)


def _signed_as(made: Shop, by: str, seed: bytes | None) -> None:
    """Sign a step past the secret: a program of one's own that writes into the log."""
    state = made.state
    job = state.jobs[JOB]
    signature = e.Signature(
        meaning=e.Meaning.ACCEPTED,
        words=statements()[e.Meaning.ACCEPTED],
        name=state.people[by].name,
        content=content(state, job, O20),
        document=job.opened.document,
        plan=job.opened.plan,
        ticket="1" * 32,
    )
    what = e.StepSigned(job=JOB, step=O20, signature=signature)
    made.book.log.append(lambda state, c: [Draft(by, what, seed=seed)])


def test_nobody_signs_as_another_not_even_with_a_program_of_their_own() -> None:
    made = job_shop(A1, A3, O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    refused("R235", lambda: _signed_as(made, "I1", None))
    row = _rows(made, made.state.people["T1"].secret)
    own = s.Hashes(CHEAP).seed(row, secret_of("T1"))
    refused("R235", lambda: _signed_as(made, "I1", own))
    _signed_as(made, "I1", s.Hashes(CHEAP).seed(_rows(made, made.state.people["I1"].secret), secret_of("I1")))
    assert made.book.log.check().holds


def _rows(made: Shop, digest: str) -> str:
    with made.book.log.reading() as connection:
        return made.book.log.secret(connection, digest)


def test_a_seal_is_of_one_place_in_one_log_and_found_out_when_the_log_is_written_anew() -> None:
    """Whoever has the disk makes every hash anew after changing a reading; they cannot make the seals."""
    made = job_shop(A1, A3, O11, O20)
    rows = [t for *_, t in made.book.log.entries()]
    forged = [t.replace(':"10"', ':"9"') for t in rows]
    assert forged != rows
    found = _rewritten(made, forged).check()
    assert not found.holds
    assert any("R129" in words or "R235" in words for _, words in found.faults), found.faults
    text = seals.text_of("r" * 32, 7, "0" * 64, "{}")
    seed = b"\1" * 32
    made_seal = seals.seal(seed, text)
    assert seals.sealed(seals.public_of(seed), text, made_seal)
    for other in (
        seals.text_of("s" * 32, 7, "0" * 64, "{}"),
        seals.text_of("r" * 32, 8, "0" * 64, "{}"),
        seals.text_of("r" * 32, 7, "1" * 64, "{}"),
        seals.text_of("r" * 32, 7, "0" * 64, "{} "),
    ):
        assert not seals.sealed(seals.public_of(seed), other, made_seal)
    assert not seals.sealed("", text, made_seal)
    assert not seals.sealed(seals.public_of(b"\2" * 32), text, made_seal)


def _rewritten(made: Shop, texts: list[str]) -> Log:
    """A log with other texts, every hash made anew, papers and secrets as they were."""
    target = quick_folder() / "forged.sqlite"
    log = Log.open(str(target), make=True)
    with made.book.log.reading() as connection:
        papers = connection.execute(sa.select(PAPERS)).all()
        kept = connection.execute(sa.select(SECRETS)).all()
    write_rows(log, texts, [(str(d), bytes(x)) for d, x in papers], [(str(d), str(x)) for d, x in kept])
    return Log.open(str(target))


def test_a_name_on_paper_is_one_persons_also_after_they_left() -> None:
    """Who was removed does not come back under a second number to accept their own work."""
    made = job_shop(A1, A3, O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    made.book.remove_person(who("K1"), "T1", "leaves")
    for name in ("R. Osk", "r osk", "R.\u2009Osk", "R.\u00adOsk", "\uff32. Osk", "..."):
        refused("R232", lambda n=name: made.book.add_person(who("K1"), "I9", n, [e.Role.INSPECTOR]))
    made.book.add_person(who("K1"), "I9", "R. Oskar", [e.Role.INSPECTOR])


def test_a_keeper_alone_does_not_take_over_somebodys_name() -> None:
    made = job_shop(A1, A3, O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    code = made.book.new_code(who("K1"), "I1", "they forgot it")
    taken = Who("I1", "what the keeper chose")
    made.book.enrol("I1", code, taken.secret)
    shown = made.book.show(JOB, O20)
    refused("R116", lambda: made.book.sign(taken, JOB, O20, e.Meaning.ACCEPTED, shown))
    refused("R146", lambda: made.book.authorise(who("K1"), "I1", e.Scope.INSPECTION, "2027-06-30", "paper"))
    made.book.authorise(who("K2"), "I1", e.Scope.INSPECTION, "2027-06-30", "paper")
    made.book.sign(taken, JOB, O20, e.Meaning.ACCEPTED, shown)


def test_work_done_under_one_number_is_ones_own_in_the_job_that_follows() -> None:
    made = shop()
    made.begin_job("A")
    made.do(A1, job="A")
    made.fill(A3, "I2", "A")
    made.sign(A3, "did", "I2", job="A")
    made.book.stop_job(who("P1"), "A", "more damage found")
    made.begin_job("B", follows="A")
    made.do(A1, A3, O11, job="B")
    made.fill(O20, job="B")
    made.sign(O20, "did", "T1", job="B")
    refused("R127", lambda: made.sign(O20, "accepted", "I2", job="B"))
    made.sign(O20, "accepted", "I1", job="B")
