"""What the JSON of a report says: its tables, exact, with what is known of each number."""

from datetime import date, datetime

from pydantic import BaseModel, Field

from app.reports.tabled import Number, Row, Table
from app.reports.version import figures_version, program_version
from app.web.findings_said import FindingSaid, findings_said
from app.web.report_tables import ReportTables


class NumberSaid(BaseModel):
    """A number of a report."""

    value: float | None = Field(description="Its value at full precision; null where it has none.")
    missing: list[str] = Field(description="The measures for want of which it has no value.")
    lacks: str = Field(description="Why it has no value, in English; empty where it has one.")
    standard_uncertainty: float | None = Field(
        description="Its standard uncertainty, half of the ± that pages print; null where none is "
        "stated."
    )
    coverage: float | None = Field(
        description="The share of it that was analysed, 0 to 1; null where that has no meaning."
    )


class RowSaid(BaseModel):
    """A figure or a measure."""

    name: str = Field(description="Its name.")
    title: str = Field(description="What pages call it, in English.")
    unit: str = Field(description="Its unit; tonnes are metric.")
    decimals: int = Field(description="At how many decimals pages print it.")
    target: float | None = Field(description="What the mill wants of it; null where nothing is.")
    numbers: list[NumberSaid] = Field(description="A number for each column of its table.")


class TableSaid(BaseModel):
    """A table of a report."""

    title: str = Field(description="Its heading, in English.")
    columns: list[str] = Field(description="What each column of numbers is of.")
    rows: list[RowSaid] = Field(description="Its rows.")


class ConventionSaid(BaseModel):
    """A convention in force."""

    name: str = Field(description="Its name.")
    value: str = Field(description="The choice or the number.")
    unit: str = Field(description="The unit of a number.")
    since: date | None = Field(description="From which day on; null for the default.")
    source: str = Field(description="Who says so.")


class ReportSaid(BaseModel):
    """A report as it is known now."""

    report: str = Field(description="The address of its page.")
    title: str = Field(description="Its title, in English.")
    mill: str = Field(description="The name of the mill.")
    first: date = Field(description="The first factory day of its period.")
    last: date = Field(description="The last factory day of its period.")
    over: bool = Field(description="Whether the last shift of its period has ended.")
    issued: str | None = Field(
        description="The number of the last issue of it, which said what was known then; null "
        "where it was not handed out."
    )
    known_at: datetime = Field(description="When this was known, by the ledger’s clock.")
    chain_number: int = Field(description="The number of the last event in the ledger.")
    chain_hash: str = Field(description="The hash of that event.")
    program: str = Field(description="The version of the program.")
    figures: str = Field(description="The version of the figures.")
    lacking: int = Field(description="How many results that were due lack.")
    conventions: list[ConventionSaid] = Field(description="The conventions that decided it.")
    exceptions: list[FindingSaid] = Field(
        default=[],
        description="What stands out of a day, in the order of its page; empty where nothing does, "
        "and of other reports.",
    )
    exceptions_notes: list[str] = Field(
        default=[],
        description="What is to be known of that, as what could not be judged, in English.",
    )
    tables: list[TableSaid] = Field(description="Its tables, in the order of the page.")


def report_said(of: ReportTables) -> ReportSaid:
    """Return what is said of a report, which is made in English."""
    tabled = of.tabled
    return ReportSaid(
        report=of.address, title=tabled.title, mill=of.mill.name, first=tabled.first,
        last=tabled.last, over=of.over, issued=of.issued or None, known_at=of.at,
        chain_number=of.head.number,
        chain_hash=of.head.hash, program=program_version(), figures=figures_version(),
        lacking=tabled.lacking,
        conventions=[
            ConventionSaid(
                name=each.name, value=each.value, unit=each.unit, since=each.since,
                source=each.source,
            )
            for each in tabled.conventions
        ],
        exceptions=findings_said(tabled.told) if tabled.told else [],
        exceptions_notes=list(tabled.told.notes) if tabled.told else [],
        tables=[_table(table) for table in tabled.tables],
    )  # fmt: skip


def _table(table: Table) -> TableSaid:
    rows = [_row(row) for row in table.rows]
    return TableSaid(title=table.title, columns=list(table.columns), rows=rows)


def _row(row: Row) -> RowSaid:
    return RowSaid(
        name=row.name, title=row.title, unit=row.unit, decimals=row.decimals, target=row.target,
        numbers=[_number(number) for number in row.numbers],
    )  # fmt: skip


def _number(number: Number) -> NumberSaid:
    return NumberSaid(
        value=number.value, missing=list(number.missing), lacks=number.lacks,
        standard_uncertainty=number.standard, coverage=number.coverage,
    )  # fmt: skip
