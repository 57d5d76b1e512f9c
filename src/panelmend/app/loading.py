"""Reading a repair document: apart from the service, because it needs none of what plans it.

A job with several damages is one document for each of them. ``repair.toml#A`` names the one of damage A; what
takes the whole job reads all of them.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from pathlib import Path

from panelmend.app.packed import in_pack, refuse_lost_manifest
from panelmend.document import Loaded, OpenedFile, open_file, parsed
from panelmend.document.several import as_one, several
from panelmend.errors import DocumentError, InputError


def load(path: Path) -> Loaded:
    """Read a repair document.

    Raises:
        InputError: the file is not there or cannot be read; or it holds several damages and none is named.
        DocumentError: with every fault of the document.
    """
    file, name = damage_named(path)
    return chosen(load_all(file), name, file)


def load_all(path: Path, *, beyond: bool = False) -> tuple[Loaded, ...]:
    """Read the document of every damage of a job; those that the data counts as one are joined.

    Args:
        path: the document.
        beyond: for a request alone: a table that holds no such damage stops the plan and refuses nothing.

    Raises:
        InputError: as above; or two damages count as one and cannot be joined.
        DocumentError: with every fault of the document.
    """
    return every_document(open_file(_bytes(path), path.name), path, beyond=beyond)


def refuse_changed(path: Path, read: tuple[Loaded, ...]) -> None:
    """Refuse where a document, or a shelf entry it uses, is no longer what was read of it.

    Args:
        path: the document.
        read: what :func:`load_all` gave before.

    Raises:
        InputError: it was changed.
        DocumentError: it was changed, and has faults now.
    """
    if _read_as(load_all(path)) != _read_as(read):
        raise InputError(
            "the document or a shelf entry was changed while its pack was made; nothing was written",
            where=path.name,
            todo="pack it again: layouts and predictions that were found meanwhile are kept",
        )


def _read_as(read: tuple[Loaded, ...]) -> list[object]:
    shelved = [one.shelved.entries if one.shelved is not None else () for one in read]
    return [[(one.digest, one.text) for one in read], [[(e.file, e.data) for e in es] for es in shelved]]


def read_text(data: bytes, path: Path) -> Loaded:
    """Read the text of a repair document that stands, or will stand, at a path.

    Raises:
        DocumentError: with every fault of the document, or of a shelf entry that it uses.
        InputError: it holds several damages and none is named.
    """
    return read_opened(open_file(data, damage_named(path)[0].name), path)


def read_opened(opened: OpenedFile, path: Path) -> Loaded:
    """The same of a file that was opened before."""
    file, name = damage_named(path)
    return chosen(every_document(opened, file), name, file)


def read_all(data: bytes, path: Path) -> tuple[Loaded, ...]:
    """The same of a text with one damage or several."""
    return every_document(open_file(data, path.name), path)


def every_document(opened: OpenedFile, path: Path, *, beyond: bool = False) -> tuple[Loaded, ...]:
    """The document of every damage of a file that was opened before."""
    parts = several(opened)
    if len(parts) == 1:
        return (_read(parts[0], path, beyond=beyond),)
    read = _every(parts, path, beyond=beyond)
    from panelmend.job.case import case_of  # late: most documents have one damage
    from panelmend.job.several import counted_as_one, joined_points, pairs_of

    cases = [case_of(r) for r in read]
    groups = counted_as_one(cases)
    if len(groups) == len(parts):
        return read
    apart = {(p.a, p.b): p.apart for p in pairs_of(cases)}
    names = ["+".join(parts[i].damage for i in g) for g in groups]
    made = []
    for group in groups:
        opened = parts[group[0]]
        if len(group) > 1:
            from panelmend.units import show

            view, merge = cases[0].view, cases[0].merge
            near = [
                f"{parts[a].damage} and {parts[b].damage} {show(d, 'length', view)} apart"
                for (a, b), d in apart.items()
                if a in group and b in group and d < merge
            ]
            said = ", ".join(near) or "they overlap"
            words = f"{said}; nearer than {show(merge, 'length', view)} counts as one"
            if len(group) > 2:
                words += ", and so does what the outline round them reaches"
            points = joined_points([cases[i] for i in group])
            opened = as_one(tuple(parts[i] for i in group), points, words)
        made.append(replace(opened, damages=tuple(names)))
    return _every(tuple(made), path, beyond=beyond)


def damage_named(path: Path) -> tuple[Path, str]:
    """The file and the damage of a name such as repair.toml#A; no damage where the name has none."""
    if "#" in path.name and not path.exists():
        file, _, name = path.name.rpartition("#")
        if file and name:
            return path.with_name(file), name
    return path, ""


def chosen(read: tuple[Loaded, ...], name: str, path: Path) -> Loaded:
    """The document of one damage.

    Raises:
        InputError: none is named where there are several, or one that is not there.
    """
    ids = [r.document.damage.id for r in read]
    if not name and len(read) == 1:
        return read[0]
    for r in read:
        if name and name in (r.document.damage.id, *r.document.damage.id.split("+")):
            return r
    several_ = f"{path.name}#{ids[0] or 'A'}"
    raise InputError(
        f"this job has no damage {name}"
        if name
        else "this job has several damages, and this is done for one",
        where=path.name,
        read=f"damages {', '.join(ids)}" if len(read) > 1 else "one damage, without a name to ask for",
        expected=several_ if len(read) > 1 else path.name,
        todo="name one of them; check, plan and pack take the whole job" if len(read) > 1 else "",
    )


def _every(parts: tuple[OpenedFile, ...], path: Path, *, beyond: bool) -> tuple[Loaded, ...]:
    made, faults = [], dict[str, InputError]()
    for part in parts:
        try:
            made.append(_read(part, path, beyond=beyond))
        except DocumentError as error:
            faults |= {f.sentence(): f for f in error.faults}
    if faults:
        raise DocumentError(list(faults.values()))
    return tuple(made)


def _read(opened: OpenedFile, path: Path, *, beyond: bool) -> Loaded:
    shelved = opened.version == 2 and not isinstance(opened.version, bool)
    refuse_lost_manifest(path, shelved=shelved)
    if shelved:
        from panelmend.app.shelves import read_job  # late: most documents use no shelves

        return read_job(opened, path, beyond=beyond)
    if in_pack(path):
        from panelmend.app.shelves import refuse_changed_pack

        refuse_changed_pack(path.parent)
    return _lent(opened) if beyond else parsed(opened)


def _lent(opened: OpenedFile) -> Loaded:
    """A document in one file, for a request: a skin it has no plies for is lent those of the other one."""
    from panelmend.shelves.beyond import plies_lent
    from panelmend.shelves.checks import X538

    raw = deepcopy(opened.raw)
    told = [
        X538(f"the data gives no repair plies for the skin on the {side}", place=f"data.plies.{side}")
        for side in plies_lent(raw)
    ]
    return replace(parsed(replace(opened, raw=raw)), told=tuple(told))


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError(
            "there is no such file",
            where=str(path),
            expected="a repair document (.toml)",
            todo="check the name",
        ) from None
    except OSError as error:
        raise InputError(f"the file cannot be read: {error.strerror}", where=str(path)) from None
