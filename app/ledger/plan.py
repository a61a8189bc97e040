"""The mill's own plan: what it samples, how often and within which limits, chosen by date."""

from datetime import date

from sqlalchemy import Connection, select

from app.ledger import tables
from app.ledger.mills import OF_EQUIPMENT, Mill, convention_rows, equipment
from app.plant.plan import Part, Plan, Sampling

_s, _p = tables.sampling.c, tables.part.c


def plan_of(connection: Connection, mill: Mill) -> Plan:
    """Return the plan of a mill, for any day."""
    rows = convention_rows(connection, mill)
    days = {date.min} | {since for name, _, since, _ in rows if name in OF_EQUIPMENT}
    return Plan(
        [(day, equipment(mill, rows, day)) for day in sorted(days)],
        parts(connection, mill),
        samplings(connection, mill),
    )


def samplings(connection: Connection, mill: Mill) -> list[Sampling]:
    """Return how the mill takes its measures, in the order in which it was chosen."""
    query = select(
        _s.measure, _s.since, _s.taken, _s.grain, _s.every, _s.rule, _s.usual_low, _s.usual_high,
        _s.hard_low, _s.hard_high,
    ).where(_s.mill_id == mill.id).order_by(_s.id)  # fmt: skip
    return [
        Sampling(*row[:6], usual=(row[6], row[7]), hard=(row[8], row[9]))
        for row in connection.execute(query)
    ]


def parts(connection: Connection, mill: Mill) -> list[Part]:
    """Return what was switched on and off, in the order in which it was chosen."""
    query = select(_p.name, _p.in_use, _p.since).where(_p.mill_id == mill.id).order_by(_p.id)
    return [Part(*row) for row in connection.execute(query)]
