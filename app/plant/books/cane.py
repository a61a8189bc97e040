"""The book of consignments: the cane that came to the mill, load by load."""

from collections.abc import Mapping

from app.language import _
from app.plant.books.declare import (
    MEAN,
    SUM,
    Book,
    Gives,
    Value,
    Worked,
    choice,
    number,
    text,
    time,
)

HARVEST = {"burnt": "Burnt", "green": "Green"}


def net(gross: float, tare: float) -> float:
    """What the cane of a load weighed."""
    return gross - tare


def purity(juice_pol: float, juice_brix: float) -> float | None:
    """Pol in 100 of brix of the juice that was analysed."""
    return 100 * juice_pol / juice_brix if juice_brix else None


def trash(net: float, extraneous_matter: float) -> float:
    """What of the load was no cane."""
    return net * extraneous_matter / 100


def lighter_empty(values: Mapping[str, Value]) -> dict[str, str]:
    """Refuse a vehicle that weighs as much empty as full, or more."""
    gross, tare = values.get("gross"), values.get("tare")
    if not (isinstance(gross, float) and isinstance(tare, float)) or tare < gross:
        return {}
    if tare > gross:
        return {"tare": _("The vehicle weighs more empty than full: see gross and tare")}
    return {"tare": _("The vehicle weighs as much empty as full: see gross and tare")}


def _mean(measure: str, of: str) -> Gives:
    return Gives(measure, of, MEAN, by="net")


BOOK = Book(
    "consignments",
    "Cane consignments",
    "consignment",
    "cane_receiving",
    "Each load of cane with its ticket, its weights and what its sample showed. Juice is that of "
    "the sample, of the first rollers or of a press; pol and brix of cane are entered where the "
    "cane itself is analysed. A shift on which no load came has 0 entered on its sheet. Payment "
    "follows the local agreement, with its own samples, constants and rounding: this is no account "
    "of payment.",
    (
        text("ticket", "Ticket", needed=True),
        time("weighed", "Weighed in", needed=True),
        text("grower", "Grower", needed=True, hint="code"),
        text("field", "Field", hint="code"),
        text("variety", "Variety"),
        choice("harvest", "Burnt or green", HARVEST),
        number("gross", "Gross", "t", 2, (15, 90), (0, 200), needed=True),
        number("tare", "Tare", "t", 2, (5, 30), (0, 100), hint="blank until it left"),
        number("juice_brix", "Juice brix", "°Bx", 2, (16, 23), (5, 35)),
        number("juice_pol", "Juice pol", "%", 2, (13, 21), (3, 33)),
        number("fibre", "Fibre", "% cane", 2, (11, 18), (5, 30)),
        number("pol", "Pol of cane", "% cane", 2, (10, 16), (3, 25), hint="by direct analysis"),
        number("brix", "Brix of cane", "% cane", 2, (12, 19), (5, 30), hint="by direct analysis"),
        number("extraneous_matter", "Extraneous matter", "% cane", 1, (1, 15), (0, 60)),
        number("reducing_sugars", "Juice, reducing sugars", "%", 2, (0.2, 1.5), (0, 10)),
    ),
    worked=(
        Worked("net", "Net", "t", 2, "gross - tare", net),
        Worked("purity", "Juice purity", "%", 2, "100 × juice pol ÷ juice brix", purity),
        Worked("trash", "Tonnes extraneous", "t", 2, "net × extraneous matter ÷ 100", trash),
    ),
    gives=(
        Gives("cane_received", "net", SUM),
        _mean("cane_received_fibre", "fibre"),
        _mean("cane_received_pol", "pol"),
        _mean("cane_received_brix", "brix"),
        _mean("cane_received_extraneous_matter", "extraneous_matter"),
        _mean("consignment_juice_brix", "juice_brix"),
        _mean("consignment_juice_pol", "juice_pol"),
        _mean("consignment_juice_reducing_sugars", "reducing_sugars"),
    ),
    key="ticket",
    rules=(lighter_empty,),
    caution="Nobody takes a sample from under a moving load or between vehicles: the rules of the "
    "yard come first. Payment follows the local agreement: this is no account of payment.",
)
