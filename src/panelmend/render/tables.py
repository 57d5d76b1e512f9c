"""Lists as CSV and XLSX: fixed dates, no formulas, whatever was typed."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
_LARGEST_CELL = 32_000  # characters a spreadsheet takes
Cell = str | float | int | None


@dataclass(frozen=True)
class Column:
    """A column: its heading, how wide it is [letters], and the decimals of its numbers."""

    heading: str
    width: int = 16
    decimals: int = 1


@dataclass(frozen=True)
class ListTable:
    """A list: its name, what stands above it, columns and rows. Numbers stay numbers."""

    name: str
    above: tuple[tuple[str, str], ...]
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


def safe(text: str) -> str:
    """Text that no spreadsheet takes for a formula: an apostrophe goes before a sign that would start one."""
    plain = "".join(c for c in text if c in "\t\n\r" or ord(c) >= 32)[:_LARGEST_CELL]
    return f"'{plain}" if plain.lstrip(" ").startswith(_FORMULA) else plain


def to_csv(table: ListTable) -> bytes:
    """The table as CSV (RFC 4180, UTF-8 with a byte-order mark so that spreadsheets read it right).

    What stands above the list (repair, panel, plan with its STOP or DRAFT) ends every row: one row copied
    out of it still says where it is from.
    """
    stream = io.StringIO()
    write = csv.writer(stream, lineterminator="\r\n")
    write.writerow([*(c.heading for c in table.columns), *(label for label, _ in table.above)])
    from_where = [safe(value) for _, value in table.above]
    for row in table.rows:
        write.writerow([*(_csv_cell(v, c) for v, c in zip(row, table.columns, strict=True)), *from_where])
    return stream.getvalue().encode("utf-8-sig")


def _csv_cell(value: Cell, column: Column) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return safe(value)
    return f"{value:.{column.decimals}f}" if isinstance(value, float) else str(value)


def to_xlsx(tables: Sequence[ListTable], *, title: str) -> bytes:
    """Each table on its own sheet, headings frozen, ready to print.

    Args:
        tables: at least one, each with its own name.
        title: stands in the file's properties.
    """
    import xlsxwriter  # only when a file is made

    stream = io.BytesIO()
    settings = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(stream, settings) as book:
        book.set_properties({"title": safe(title), "created": datetime(2000, 1, 1)})
        bold = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        head = book.add_format({"bold": True, "font_size": 13})
        grey = book.add_format({"font_color": "#6a7582"})
        wrap = book.add_format({"text_wrap": True, "valign": "top"})
        for table in tables:
            sheet = book.add_worksheet(_sheet_name(table.name))
            sheet.write_string(0, 0, table.name, head)
            at = 1
            for label, value in table.above:
                sheet.write_string(at, 0, label, grey)
                sheet.write_string(at, 1, safe(value))
                at += 1
            at += 1
            for j, column in enumerate(table.columns):
                number = book.add_format({"valign": "top", "num_format": _number_format(column)})
                sheet.set_column(j, j, column.width)
                sheet.write_string(at, j, column.heading, bold)
                for i, row in enumerate(table.rows):
                    cell = row[j]
                    if isinstance(cell, str):
                        sheet.write_string(at + 1 + i, j, safe(cell), wrap)
                    elif cell is not None:
                        sheet.write_number(at + 1 + i, j, cell, number)
            sheet.freeze_panes(at + 1, 0)
            sheet.repeat_rows(at)
            sheet.set_landscape()
            sheet.set_paper(9)
            sheet.fit_to_pages(1, 0)
            sheet.set_footer("&C&P / &N")
    return stream.getvalue()


def _number_format(column: Column) -> str:
    return "0." + "0" * column.decimals if column.decimals else "0"


def _sheet_name(name: str) -> str:
    return "".join(c for c in name if c not in "[]:*?/\\'")[:31] or "List"
