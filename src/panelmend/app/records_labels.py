"""Labels of lots and instruments: their codes, printed and read back where a lot or instrument is named."""

from __future__ import annotations

import re
from collections.abc import Sequence
from urllib.parse import quote, unquote

from panelmend.errors import InputError
from panelmend.records.refusals import NO_SUCH, OTHER_CODE
from panelmend.records.rules.named import NONE_USED
from panelmend.records.state import State
from panelmend.render.labels import code_stroke
from panelmend.render.papers import A4, Paper
from panelmend.render.strokes import page_data
from panelmend.render.typesetting import Sheets

LOT, INSTRUMENT = "lot", "instrument"
_BETWEEN = re.compile(r"[,;\n]")
_CODE = re.compile(r"panelmend([a-z-]*):(.*)", re.IGNORECASE | re.DOTALL)
_SHOP = 12  # signs of the records' own number in a code
_SIDE = 27.0  # [mm] side of the code with its quiet zone


def code_of(state: State, kind: str, name: str) -> str:
    """The text of the code of a lot or instrument: which records, which number."""
    return f"panelmend-{kind}:{state.records[:_SHOP]}/{quote(name, safe='')}"


def scanned(state: State, text: str, kind: str = LOT) -> str:
    """The number of a lot or instrument, typed or scanned. In capitals it is the same scheme and shop; the
    number is as it is printed.

    Raises:
        Refused: a code of another shop, of another kind of thing, or of a piece.
    """
    match = _CODE.fullmatch(text.strip())
    if match is None:
        return text
    shop, mark, name = match[2].partition("/")
    if match[1].lower() != f"-{kind}" or not mark or not name or "/" in name:
        raise OTHER_CODE(f"read {text.strip()[:60]}, where a {kind} is named")
    if shop.lower() != state.records[:_SHOP]:
        raise OTHER_CODE(f"read {text.strip()[:60]}; these records are {state.records[:_SHOP]}")
    return unquote(name)


def scanned_parts(state: State, parts: Sequence[str]) -> tuple[str, ...]:
    """What went into a batch, "LOT=AMOUNT", each lot typed or scanned. Raises Refused."""
    found = [x.rpartition("=") for x in parts]
    return tuple(f"{scanned(state, lot)}{mark}{amount}" for lot, mark, amount in found)


def named_numbers(state: State, answer: str, kind: str = LOT) -> tuple[str, ...]:
    """Numbers of lots or instruments as typed or scanned, with commas between; () for none used.

    A number may hold blanks itself: "LR 77" is the lot of that number, and two lots only where there is none.

    Raises:
        InputError: what was typed is one thing of the records and several as well.
        Refused: a code of another shop, of another kind of thing, or of a piece.
    """
    known = {*state.lots, *state.mixed} if kind == LOT else set(state.instruments)
    if answer.strip() == NONE_USED:
        if NONE_USED in known:
            raise _either(answer, f"no {kind}, or the {kind} of this number")
        return ()
    found: list[str] = []
    for part in _BETWEEN.split(answer):
        pieces = part.split()
        whole = " ".join(pieces)
        apart = [p for p in pieces if p in known or _CODE.fullmatch(p)]
        if whole in known and len(pieces) > 1 and len(apart) == len(pieces):
            raise _either(part, f"the {kind} {whole}, or {len(pieces)} of them")
        if pieces and (whole in known or not apart):
            found.append(whole)
        else:
            found += [scanned(state, p, kind) for p in pieces]
    return tuple(found)


def _either(read: str, which: str) -> InputError:
    return InputError(
        f"this may be {which}", read=read.strip()[:60], expected="one meaning; commas part two numbers"
    )


def label_rows(state: State, kind: str, names: Sequence[str]) -> list[dict[str, object]]:
    """What stands on each label. Raises Refused where there is no such lot or instrument."""
    rows: list[dict[str, object]] = []
    for name in names:
        lot, tool = state.lots.get(name), state.instruments.get(name)
        if kind == LOT and lot is not None:
            r = lot.received
            what = r.material
            lines = [
                f"last day of use {lot.expires}"
            ]  # what matters first: a label cuts off what is too long
            lines += [f"out-time {r.out_life / 3600:g} h in all"] if r.out_life is not None else []
            lines += [f"batch {r.batch}", f"certificate {r.certificate}"]
        elif kind == INSTRUMENT and tool is not None:
            what, lines = tool.what, [f"calibration due {tool.due}", f"certificate {tool.certificate}"]
        else:
            raise NO_SUCH(f"{kind} {name}")
        code = page_data([code_stroke(code_of(state, kind, name), _SIDE)], (0.0, 0.0, _SIDE, _SIDE))
        rows.append({"id": name, "what": what, "lines": lines, "code": code})
    return rows


def labels_of(state: State, kind: str, names: Sequence[str], paper: Paper = A4) -> bytes:
    """A sheet of labels as PDF.

    Raises:
        InputError: none is named, or a number is too long for a code.
        Refused: no such lot or instrument.
        OutputError: the pages cannot be made.
    """
    if not names:
        raise InputError("there is nothing to label", expected=f"numbers of a {kind}")
    day = state.day(state.now)
    data = {
        "records": state.records[:_SHOP],
        "day": day.isoformat(),
        "invented": state.invented,
        "width": paper.width,
        "height": paper.height,
        "labels": label_rows(state, kind, names),
    }
    return Sheets("store_labels", data, day).pdf()
