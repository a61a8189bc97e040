"""Reads the workbook that stands on its input, and writes the texts of its sheets as JSON.

A program of its own, with a bound on its memory: what a workbook asks for is known only as it is
read. Ends with 1 for what is no workbook, with 2 or by a signal for one that is too large.
"""

import io
import json
import resource
import sys
from contextlib import suppress
from datetime import datetime, time, timedelta
from decimal import Decimal

from python_calamine import CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

_MEMORY = 1_500_000_000  # bytes, addresses included that are never written to
_MOST_CELLS = 1_000_000


def text_of(cell: object) -> str:
    """Return a cell as somebody would type it; a day without a time is a day."""
    if isinstance(cell, float | int) and not isinstance(cell, bool):
        # as many digits as a spreadsheet shows, so that a sum of tenths has no tail
        shortest = Decimal(f"{cell:.15g}")
        return f"{shortest.normalize():f}" if shortest else "0"
    if isinstance(cell, datetime):
        return f"{cell:%Y-%m-%d}" if cell.time() == time.min else f"{cell:%Y-%m-%d %H:%M}"
    if isinstance(cell, time):
        return f"{cell:%H:%M}"
    if isinstance(cell, timedelta):
        hours, minutes = divmod(round(cell.total_seconds() / 60), 60)
        return f"{hours:02d}:{minutes:02d}"
    return str(cell)


def sheets_of(body: bytes) -> dict[str, list[tuple[int, list[str]]]]:
    """Return the numbers and texts of the rows of every sheet that can be seen, blank ones not.

    MemoryError for more than is read.
    """
    book = CalamineWorkbook.from_filelike(io.BytesIO(body))
    found, count = {}, 0
    for told in book.sheets_metadata:
        if told.typ != SheetTypeEnum.WorkSheet or told.visible != SheetVisibleEnum.Visible:
            continue
        rows: list[tuple[int, list[str]]] = []
        for number, cells in enumerate(book.get_sheet_by_name(told.name).iter_rows(), 1):
            if all(cell == "" for cell in cells):
                continue
            rows.append((number, [text_of(cell) for cell in cells]))
            count += len(cells)
            if count > _MOST_CELLS:
                raise MemoryError
        found[told.name] = rows
    return found


def main() -> int:
    """Read one workbook."""
    with suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    try:
        sheets = sheets_of(sys.stdin.buffer.read())
    except MemoryError:
        return 2
    except BaseException:  # noqa: BLE001  whatever is wrong with it, also where its reader panics
        return 1
    json.dump(sheets, sys.stdout)
    return 0


if __name__ == "__main__":
    sys.exit(main())
