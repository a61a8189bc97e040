"""Reads the workbook that stands on its input, and writes the texts of its sheets as JSON.

A program of its own, with a bound on its memory: what a workbook asks for is known only as it is
read. Ends with 1 for what is no workbook, with 2 or by a signal for one that is too large, with 3
for one with a cell that is too long.
"""

import io
import json
import resource
import sys
from contextlib import suppress
from datetime import datetime, time, timedelta
from decimal import Decimal

from python_calamine import CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

from app.imports.files import LONGEST_CELL
from app.plant.typed import plain

_MEMORY = 1_500_000_000  # bytes, addresses included that are never written to
_MOST_CELLS, _MOST_SIGNS = 1_000_000, 20_000_000


class TooLong(ValueError):
    """A cell is longer than anything that is written in a ledger."""


def text_of(cell: object) -> str:
    """Return a cell as somebody would type it; a day without a time is a day.

    A number, whose sign is known here, is written so that it can be read in one way alone.
    """
    if isinstance(cell, float | int) and not isinstance(cell, bool):
        # as many digits as a spreadsheet shows, so that a sum of tenths has no tail
        return plain(Decimal(f"{cell:.15g}"))
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

    MemoryError for more than is read, TooLong for a cell of more than is kept.
    """
    book = CalamineWorkbook.from_filelike(io.BytesIO(body))
    found, count, signs = {}, 0, 0
    for told in book.sheets_metadata:
        if told.typ != SheetTypeEnum.WorkSheet or told.visible != SheetVisibleEnum.Visible:
            continue
        rows: list[tuple[int, list[str]]] = []
        for number, cells in enumerate(book.get_sheet_by_name(told.name).iter_rows(), 1):
            if all(cell == "" for cell in cells):
                continue
            if any(isinstance(cell, str) and len(cell) > LONGEST_CELL for cell in cells):
                raise TooLong
            texts = [text_of(cell) for cell in cells]
            rows.append((number, texts))
            count, signs = count + len(texts), signs + sum(map(len, texts))
            if count > _MOST_CELLS or signs > _MOST_SIGNS:
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
    except TooLong:
        return 3
    except BaseException:  # noqa: BLE001  whatever is wrong with it, also where its reader panics
        return 1
    json.dump(sheets, sys.stdout)
    return 0


if __name__ == "__main__":
    sys.exit(main())
