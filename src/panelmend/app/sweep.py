"""Sweeping the cures of several documents over changes of recipe and bay."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from panelmend.app.service import load
from panelmend.document import Loaded
from panelmend.errors import Cancelled, InputError, PanelmendError
from panelmend.files import replace_whole
from panelmend.job.case import case_of
from panelmend.job.cure.part import CureOperation
from panelmend.long_work import Stop, Tell
from panelmend.plan.make import make_plan
from panelmend.predict.changes import AS_PLANNED, VariantChange, changed, read_change
from panelmend.predict.fleet import Variant, VariantRow, fleet
from panelmend.predict.run_on import run_on
from panelmend.render.sweep import sweep_csv, sweep_xlsx

SUFFIXES = (".csv", ".xlsx")


def sweep(
    paths: Sequence[Path],
    changes: Sequence[str],
    *,
    operation: str = "",
    cases: int = 200,
    full: bool = False,
    cluster: str = "",
    tell: Tell,
    stop: Stop | None = None,
) -> tuple[list[VariantRow], str]:
    """Predict the cures of documents as planned and with each change.

    Args:
        paths: the documents.
        changes: in plain words, see :func:`panelmend.predict.changes.read_change`; each makes a variant.
        operation: name of the only operation to look at; "" for all.
        cases: of each likelihood; 0 for none.
        full: run every case in full.
        cluster: where the cases run; "" for this machine.
        tell: told about progress.
        stop: set to stop.

    Returns:
        A row for each document, operation and variant, and the units of the first document. A change that
        does not fit a document makes a row with words, not an error.

    Raises:
        InputError: a document with faults, a change that is not understood, no such operation or cluster.
        Cancelled: ``stop`` was set.
    """
    on = run_on(cluster)
    wanted = [VariantChange(AS_PLANNED), *(read_change(text) for text in changes)]
    loaded = [(str(path), load(path)) for path in paths]
    variants: list[Variant] = []
    names: list[str] = []
    for name, document in loaded:
        planned = _operations(document)
        names += [o.name for o in planned]
        chosen = [o for o in planned if not operation or o.name == operation]
        for own in chosen:
            for change in wanted:
                if stop is not None and stop.is_set():
                    raise Cancelled("stopped")
                tell(f"{name}, {own.name}: {change.words}")
                variants.append(_variant(name, document, own, change))
    if not variants:
        raise InputError(
            "no cure to sweep over",
            read=operation,
            expected=", ".join(sorted(set(names))) or "a document whose repair is cured",
        )
    rows = fleet(variants, cases=cases, full=full, on=on, tell=tell, stop=stop)
    return rows, case_of(loaded[0][1]).view


def _operations(document: Loaded) -> tuple[CureOperation, ...]:
    work = make_plan(case_of(document)).work
    return work.cure.operations if work is not None else ()


def _variant(name: str, document: Loaded, own: CureOperation, change: VariantChange) -> Variant:
    """A cure with a change, or the words why there is none."""
    try:
        made = changed(document.document, own, change)
        found = _operations(Loaded(document.name, document.text, document.digest, made))
        operation = next(o for o in found if o.number == own.number)
    except (PanelmendError, StopIteration) as error:
        words = str(error) or "the changed document has no such operation"
        return Variant(name, own.name, change.words, None, words)
    if operation.problem is None:
        lacking = "; ".join(m.what for m in operation.missing)
        return Variant(name, own.name, change.words, None, f"constants are missing: {lacking}")
    return Variant(name, own.name, change.words, operation.problem)


def write_sweep(rows: Sequence[VariantRow], view: str, target: Path) -> None:
    """Write a sweep as CSV or XLSX, by the name's ending.

    Raises:
        InputError: another ending.
        OutputError: it could not be written; nothing was left half written.
    """
    replace_whole(target, sweep_xlsx(rows, view) if _kind(target) == ".xlsx" else sweep_csv(rows, view))


def _kind(target: Path) -> str:
    suffix = target.suffix.lower()
    if suffix not in SUFFIXES:
        raise InputError(
            "no table can be written with this ending", read=target.name, expected=" or ".join(SUFFIXES)
        )
    return suffix


def check_target(target: Path) -> None:
    """See that a table can be written there, before hours of work.

    Raises:
        InputError: another ending than a table's, or no such folder.
    """
    _kind(target)
    if not target.parent.is_dir():
        raise InputError("there is no such folder", read=str(target.parent))
