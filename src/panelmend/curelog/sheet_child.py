"""Reads one workbook in a separate process, so that a broken file cannot crash the caller.

Run by path with two arguments, the workbook and the sheet ("" for the names of the sheets); writes a pickle
of ("names" or "rows" or "error", value) to standard output.
"""

from __future__ import annotations

import pickle
import sys

from python_calamine import CalamineWorkbook

MOST_MEMORY = 3 << 30  # bytes


def sheet_rows_asked(path: str, sheet: str) -> tuple[str, object]:
    """What the parent asked for."""
    try:
        book = CalamineWorkbook.from_path(path)
        names = tuple(book.sheet_names)
        if not sheet:
            return "names", names
        if sheet not in names:
            return "error", f"no sheet {sheet!r}; it has {', '.join(names)}"
        return "rows", book.get_sheet_by_name(sheet).to_python(skip_empty_area=False)
    except BaseException as error:  # the reader's own panic is no Exception
        return "error", str(error)[:80]


if __name__ == "__main__":
    try:
        import resource
    except ImportError:  # a system without limits
        pass
    else:
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    sys.stdout.buffer.write(pickle.dumps(sheet_rows_asked(sys.argv[1], sys.argv[2]), protocol=5))
