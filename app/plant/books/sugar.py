"""The books of sugar: what was bagged, lot by lot, and what left the store."""

from collections.abc import Mapping
from typing import Any

from app.language import _
from app.plant.books.declare import (
    MEAN,
    SUM,
    Book,
    Gives,
    Worked,
    choice,
    number,
    text,
    time,
)
from app.plant.books.others import A_SEASON, Alone, Said

GIVEN_WITH_IT = {"yes": "Yes", "no": "No"}


def tonnes(
    bags: float | None = None, bag_mass: float | None = None, bulk: float | None = None
) -> float | None:
    """What of a lot was bagged and what went loose into bulk."""
    in_bags = bags * bag_mass / 1000 if bags is not None and bag_mass is not None else None
    parts = [part for part in (in_bags, bulk) if part is not None]
    half_told = in_bags is None and (bags or bag_mass)
    return sum(parts) if parts and not half_told else None


ANALYSES = (
    number("pol", "Pol", "%", 2, (97.5, 99.4), (80, 100)),
    number("moisture", "Moisture", "%", 2, (0.1, 0.6), (0, 10)),
    number("colour", "Colour", "IU", 0, (800, 4000), (0, 50_000)),
    number("ash", "Ash", "%", 2, (0.1, 0.5), (0, 10)),
    number("reducing_sugars", "Reducing sugars", "%", 2, (0.1, 0.6), (0, 10)),
    number("grain_size", "Mean aperture", "mm", 2, (0.6, 0.95), (0.1, 3)),
    number("temperature", "Temperature", "°C", 1, (28, 38), (5, 90)),
)

OF_EACH_LOT = ("pol", "moisture")  # what a lot is bought and sold by; the rest is sampled

BAGGING = Book(
    "bagging",
    "Sugar bagged",
    "lot",
    "drying_and_packing",
    "Each lot of sugar as it was bagged or filled loose, with what its sample showed. The tonnes "
    "of a shift are the sum of its lots; an analysis is their mean by tonnes. Each lot is due to "
    "have pol and moisture: what of the tonnes has them is the share that was analysed. A lot that "
    "a shift leaves unfinished is entered when it ends, or cut in two lots.",
    (
        text("lot", "Lot", needed=True),
        time("ended", "Ended", needed=True),
        number("bags", "Bags", "bags", 0, (1, 10_000), (0, 100_000)),
        number("bag_mass", "Mass of a bag", "kg", 2, (25, 1200), (0, 2000)),
        number("bulk", "Loose", "t", 2, (1, 500), (0, 3000)),
        *ANALYSES,
    ),
    worked=(Worked("tonnes", "Tonnes", "t", 3, "bags × mass of a bag ÷ 1000 + loose", tonnes),),
    gives=(
        Gives("sugar", "tonnes", SUM),
        *(
            Gives(f"sugar_{each.name}", each.name, MEAN, by="tonnes", each=each.name in OF_EACH_LOT)
            for each in ANALYSES
        ),
    ),
    key="lot",
)


def bagged_here(lot: str, bagged: Mapping[str, Any] | None = None) -> str:  # noqa: ARG001
    """Whether the lot is in the book of bagging: one of an earlier season is not."""
    return "no" if bagged is None else "yes"


def seal_used(this: Said, other: Said) -> str:
    """Say on which load a seal is already."""
    return _(
        "Seal {seal} is on the load of ticket {ticket} already, shift {number} of {day}",
        seal=this.values["seal"], ticket=other.values.get("ticket", "?"), number=other.number,
        day=other.day,
    )  # fmt: skip


DISPATCH = Book(
    "dispatch",
    "Sugar dispatched",
    "load",
    "drying_and_packing",
    "Each load of sugar that left the store. With the sugar bagged it says what the store should "
    "hold; a count of the store shows whether it does. A shift on which no load left has 0 entered "
    "on its sheet. A seal is used once. A lot that the book of bagging does not have is marked: it "
    "may be of an earlier season.",
    (
        text("ticket", "Weigh ticket", needed=True),
        time("left", "Left at", needed=True),
        text("lot", "Lot", needed=True),
        text("customer", "Customer", needed=True, hint="code"),
        text("vehicle", "Vehicle"),
        text("seal", "Seal"),
        choice("certificate", "Certificate given", GIVEN_WITH_IT),
        number("tonnes", "Tonnes", "t", 2, (1, 60), (0, 3000)),
    ),
    worked=(Worked("bagged_here", "", "", 0, "", bagged_here),),
    gives=(Gives("sugar_dispatched", "tonnes", SUM),),
    key="ticket",
    refers={"bagged": ("bagging", "lot")},
    alone=(Alone(("seal",), seal_used, days=A_SEASON),),
    caution="Bags fall and loaders turn: nobody counts a stack under a moving load.",
)
