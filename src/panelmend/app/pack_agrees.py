"""Whether what a pack says of itself agrees: its manifest, its plans, the list of its damages, its job.

A file that was changed shows by its digest; a manifest that was changed does not. What it says of the pack
stands a second time in plan.json, and plan.json names the job and the entries that it was planned from.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelmend.document.packed_lines import without_packed
from panelmend.errors import OutputError, PanelmendError, Severity
from panelmend.plan.standing import DRAFTS, Standing
from panelmend.render.pack import DAMAGES, MANIFEST, PackEntry, is_plan

if TYPE_CHECKING:
    from panelmend.document import Loaded

GRAVEST = (Standing.STOP, Standing.DRAFT, Standing.READY)
DOCUMENT = "document.toml"
ENTRY = ("shelf", "name", "revision", "file", "digest")  # what a plan says of an entry that it took


@dataclass(frozen=True)
class PackedPlan:
    """What a plan.json says: where it lies in the pack, number of the repair, digests (hex), standing, the
    shelf entries it took, None where the job takes none; and what it says of its standing otherwise than by
    the findings in it, a line each."""

    file: str
    repair: str
    digest: str
    document: str
    standing: Standing
    entries: tuple[tuple[str, ...], ...] | None
    contradicted: tuple[str, ...]


def packed_plans(folder: Path, rows: Sequence[PackEntry]) -> tuple[PackedPlan, ...]:
    """The plans of a pack, in the order of its damages; () where it has none.

    Raises:
        OutputError: one that cannot be read, or says no standing that there is.
    """
    return tuple(_plan(folder, row.file) for row in rows if is_plan(row.file))


def standing_of_pack(plans: Sequence[PackedPlan]) -> Standing:
    """What a whole pack stands at: the gravest of its plans; no plan is never worked by."""
    return min((p.standing for p in plans), key=GRAVEST.index, default=Standing.STOP)


def disagreements(
    folder: Path, about: Mapping[str, str], plans: Sequence[PackedPlan]
) -> tuple[list[str], str]:
    """What two places of a pack say otherwise, a line each; and why its job is refused, "" where it is read.

    Args:
        folder: the pack, of which every file is the one of its manifest.
        about: what the manifest says of it.
        plans: its plans.
    """
    try:
        text = (folder / DOCUMENT).read_bytes()
        listed = json.loads((folder / DAMAGES).read_bytes()) if (folder / DAMAGES).is_file() else None
        faults = list(_of_manifest(about, plans, listed, text))
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return [f"{DAMAGES} or {DOCUMENT} cannot be read"], ""
    from panelmend.app.loading import load_all  # late: a pack that does not agree needs no reading of its job

    try:
        read = load_all(folder / DOCUMENT)
    except PanelmendError as error:
        return faults, str(error)
    return [*faults, *_of_job(read, plans, whole=listed is not None)], ""


def _plan(folder: Path, file: str) -> PackedPlan:
    try:
        whole = json.loads((folder / file).read_bytes())
        about: dict[str, Any] = whole["about"]
        by_findings = _by_findings([(str(f["code"]), Severity(f["severity"])) for f in whole["findings"]])
        otherwise = {key: held for key, held in by_findings.items() if about[key] != held}
        entries = about.get("entries")
        return PackedPlan(
            file,
            str(about["repair"]),
            str(about["plan_digest"]),
            str(about["document_digest"]),
            Standing(about["standing"]),
            None if entries is None else tuple(tuple(str(e[key]) for key in ENTRY) for e in entries),
            tuple(
                f"{file} says {key} {_shown(about[key])}, and by its findings it is {_shown(held)}"
                for key, held in otherwise.items()
            ),
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise OutputError(f"{folder.name} holds a {file} that cannot be read") from None


def _by_findings(found: Sequence[tuple[str, Severity]]) -> dict[str, Any]:
    """What a plan.json says of its standing, by the code and the weight of each of its findings."""
    stops = [code for code, weight in found if weight is Severity.STOP]
    drafting = [code for code, weight in found if DRAFTS[weight]]
    standing = Standing.STOP if stops else Standing.DRAFT if drafting else Standing.READY
    return {
        "standing": standing.value,
        "draft": bool(drafting),
        "stop_reasons": stops,
        "draft_reasons": drafting,
    }


def _of_manifest(
    about: Mapping[str, str], plans: Sequence[PackedPlan], listed: Any, text: bytes
) -> Iterator[str]:
    """What the manifest, the list of damages, or a plan of its standing, says otherwise than the plans."""
    for plan in plans:
        yield from plan.contradicted
    if listed is None:
        if len(plans) != 1:
            yield f"{len(plans)} plans without a {DAMAGES}"
            return
        one = plans[0]
        where, said = one.file, {"repair": one.repair, "plan": one.digest, "document": one.document}
    else:
        damages = [(str(d["plan"]), str(d["standing"])) for d in listed["damages"]]
        if sorted(damages) != sorted((p.digest, p.standing.value) for p in plans):
            yield f"{DAMAGES} names other plans, or another standing, than the plan.json of its damages"
        stands = standing_of_pack(plans).value
        if listed["standing"] != stands:
            yield f"{DAMAGES} says standing {_shown(listed['standing'])}, and by its plans it is {stands}"
        where = DAMAGES
        said = {
            "repair": str(listed["number"]),
            "plan": hashlib.sha256(" ".join(d for d, _ in damages).encode()).hexdigest(),
            "document": hashlib.sha256(without_packed(text.decode("utf-8-sig")).encode("utf8")).hexdigest(),
        }
    for what, there in said.items():
        if about.get(what) != there:
            said_here = _short(about.get(what, "none"))
            yield f"{MANIFEST} says {what} {said_here}, and by {where} it is {_short(there)}"


def _of_job(read: Sequence[Loaded], plans: Sequence[PackedPlan], *, whole: bool) -> Iterator[str]:
    """What the job in the pack, with the entries beside it, is otherwise than its plans say."""
    by_digest = {loaded.digest: loaded for loaded in read}
    for plan in plans:
        loaded = by_digest.pop(plan.document, None)
        if loaded is None:
            yield f"{DOCUMENT} or a shelf entry is not what {plan.file} was planned from"
            continue
        if loaded.document.repair.number != plan.repair:
            number = loaded.document.repair.number
            yield f"{plan.file} says repair {_short(plan.repair)}, and {DOCUMENT} {_short(number)}"
        held = None
        if loaded.shelved is not None:
            taken = (e for e in loaded.shelved.entries if e.taken)
            held = sorted(tuple(str(getattr(e, key)) for key in ENTRY) for e in taken)
        if held != (None if plan.entries is None else sorted(plan.entries)):
            yield f"the shelf entries in the pack are not those that {plan.file} names"
    if whole and by_digest:
        yield f"{DOCUMENT} has a damage without a plan in the pack"


def _shown(said: Any) -> str:
    return said[:80] if isinstance(said, str) else json.dumps(said)[:80]


def _short(said: str) -> str:
    return said[:12] if len(said) == 64 else said[:80]
