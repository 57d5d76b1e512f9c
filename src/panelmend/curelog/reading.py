"""Reading a whole file by its confirmed description."""

from __future__ import annotations

from pathlib import Path

from panelmend.curelog.build import Builder
from panelmend.curelog.cells import Hashing, sheet_blocks, text_blocks
from panelmend.curelog.head import check_head
from panelmend.curelog.readas import ReadAs
from panelmend.curelog.rows import log_rows
from panelmend.errors import InputError, ReadingError
from panelmend.plan.judge.log import CureLog


def read_log(path: str | Path, read_as: ReadAs) -> CureLog:
    """Read a log file block by block.

    Args:
        path: the file.
        read_as: how to read it, confirmed.

    Returns:
        The log in SI, in the order of the file; nothing is filled in, sorted or smoothed.

    Raises:
        MissingError: no such file.
        ReadingError: the file does not fit the description.
        InputError: the description was not confirmed, or belongs to a file with another head.
    """
    path = Path(path)
    if not read_as.confirmed:
        raise InputError(
            "how to read this file was not confirmed", where=path.name, todo="answer the questions"
        )
    check_head(path, read_as)
    builder = Builder(read_as, path.name)
    file = Hashing(path)
    try:
        if read_as.form == "sheet":
            while file.read(1 << 20):
                pass
            rows = log_rows(path, read_as.sheet)
            for block in sheet_blocks(rows, read_as.width, read_as.lines_above, read_as.decimal):
                builder.take(block)
        else:
            for block in text_blocks(
                file, path.name, read_as.encoding, read_as.separator, read_as.width, read_as.lines_above
            ):
                builder.take(block)
    except LookupError as error:
        raise ReadingError("unknown encoding", where=path.name, read=str(error)[:60]) from None
    finally:
        file.close()
    return builder.finish(file.hash.hexdigest())
