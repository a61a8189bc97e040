"""The command `mill-ledger`: reads what was asked for, runs it, and says plainly what failed."""

import argparse
import sys
from collections.abc import Sequence

from sqlalchemy.exc import DBAPIError

from app.commands import checking, choices, exporting, keeping, sending, start
from app.keeping.copies import Unsound


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; 0 where it did what it says, 1 where it found a fault, 2 for bad input."""
    chosen = _parser().parse_args(arguments)
    try:
        return int(chosen.run(chosen))
    except (ValueError, LookupError, OSError) as problem:
        print(f"mill-ledger: {problem}", file=sys.stderr)
        return 1 if isinstance(problem, Unsound) else 2
    except DBAPIError as problem:
        print(f"mill-ledger: the database says: {problem.orig}", file=sys.stderr)
        return 2
    except MemoryError:
        print("mill-ledger: there is not enough memory for this", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="mill-ledger",
        description="The daily chemistry ledger of a cane sugar mill.",
        epilog="Try: mill-ledger demo",
        allow_abbrev=False,
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for group in (start, choices, checking, exporting, sending, keeping):
        group.add(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
