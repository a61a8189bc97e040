"""How a conversion of the bench is declared, and what several of them share."""

from collections.abc import Callable

from app.chemistry import solubility
from app.reports.bench import Choice, Conversion, Field, Work

CONVERSIONS: dict[str, Conversion] = {}

BRIX = Field("brix", "Brix", "°Bx")
TEMPERATURE = Field("temperature", "Temperature", "°C")
EQUATION = Field(
    "equation", "Solubility equation", default="vavrinecz",
    choices=(
        Choice("vavrinecz", "Vavrinecz, 1962", solubility.vavrinecz_solubility),
        Choice("charles", "Charles, 1960", solubility.charles_solubility),
    ),
)  # fmt: skip

SCALDS = "Hot juice, syrup and molasses scald and cling: let the sample cool first"
PAN_SCALDS = "Samples of a pan scald and cling, and it works under vacuum: goggles and gloves"
LIME_BURNS = (
    "Quicklime burns skin and eyes and boils when it meets water: goggles, gloves, and lime into "
    "water, never water onto lime"
)


def conversion(
    title: str, *fields: Field, section: str, formula: str, source: str, caution: str = ""
) -> Callable[[Work], Work]:
    """Declare a conversion: its function's name is its own, its arguments are its fields."""

    def declare(work: Work) -> Work:
        name = work.__name__
        CONVERSIONS[name] = Conversion(
            name, title, section, fields, work, formula, source, caution
        )  # fmt: skip
        return work

    return declare
