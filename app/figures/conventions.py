"""The dated choices that decide figures: what may be chosen, and what holds where none is."""

from dataclasses import dataclass

from app.figures.sources import COMMON, ISSCT, MOLASSES_TRADE, SMRI, Source


@dataclass(frozen=True)
class Convention:
    """A choice (`choices`), a word of at most `longest` characters, or a number, with its default.

    A number lies within `low` and `high`.
    """

    name: str
    title: str
    default: str | float
    unit: str
    source: Source
    note: str
    choices: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 100.0
    longest: int = 0

    @property
    def is_number(self) -> bool:
        """Whether it is a constant, and no choice or word."""
        return not self.choices and not self.longest

    def read(self, value: str | float) -> str | float:
        """Return `value` as this convention takes it; ValueError where it does not.

        A text may have a decimal comma or point.
        """
        if self.choices:
            if value not in self.choices:
                raise ValueError(f"{self.name} is one of: {', '.join(self.choices)}")
            return str(value)
        if self.longest:
            if not isinstance(value, str) or not 0 < len(value.strip()) <= self.longest:
                raise ValueError(f"{self.name} is a word of at most {self.longest} characters")
            return value.strip()
        try:
            number = float(value.replace(",", ".") if isinstance(value, str) else value)
        except (TypeError, ValueError, OverflowError):
            number = float("nan")
        if isinstance(value, bool) or not self.low <= number <= self.high:
            raise ValueError(f"{self.name} is a number between {self.low:g} and {self.high:g}")
        return number


CONVENTIONS: dict[str, Convention] = {}


def convention(declared: Convention) -> Convention:
    """Declare a convention; ValueError where its name is taken or its default is not allowed."""
    if declared.name in CONVENTIONS:
        raise ValueError(f"{declared.name} is declared twice")
    declared.read(declared.default)
    CONVENTIONS[declared.name] = declared
    return declared


_OF_THE_ACCOUNT = (
    Convention(
        "pol_basis",
        "Sugar is accounted as",
        "pol",
        "",
        COMMON,
        "Recoveries on pol and on true sucrose cannot be compared. With sucrose, the pol boxes of "
        "the sheet hold sucrose by chromatography; the formulas are the same.",
        choices=("pol", "sucrose"),
    ),
    Convention(
        "bagasse_weight",
        "Bagasse weight",
        "weighed, else by difference",
        "",
        ISSCT,
        "By difference: cane + imbibition - mixed juice. Every weighing error then lands in it. "
        "From the fibre of cane by direct analysis, where neither bagasse nor water is weighed.",
        choices=("weighed, else by difference", "weighed", "by difference", "from fibre of cane"),
    ),
    Convention(
        "mixed_juice_weight",
        "Mixed juice weight",
        "weighed",
        "",
        ISSCT,
        "By difference: cane + imbibition - bagasse weighed.",
        choices=("weighed", "by difference"),
    ),
    Convention(
        "suspended_solids",
        "Suspended solids in mixed juice",
        "left in juice",
        "",
        ISSCT,
        "Counted as fibre, they are taken out of the juice and put into the fibre of cane.",
        choices=("left in juice", "counted as fibre"),
    ),
    Convention(
        "residual_juice",
        "Purity of the juice left in bagasse",
        "last expressed juice",
        "",
        COMMON,
        "That of last expressed juice, or the fixed purity below.",
        choices=("last expressed juice", "fixed"),
    ),
    Convention(
        "residual_juice_fixed_purity",
        "Fixed purity of the juice left in bagasse",
        72.0,
        "%",
        COMMON,
        "Used only where the purity of the juice left in bagasse is fixed.",
        low=40.0,
        high=95.0,
    ),
    Convention(
        "brix_free_water",
        "Brix-free water on fibre",
        25.0,
        "% fibre",
        COMMON,
        "Taken out of undiluted juice only; lost absolute juice counts all water of cane as juice.",
    ),
    Convention(
        "standard_molasses_brix",
        "Standard brix of final molasses",
        85.0,
        "°Bx",
        MOLASSES_TRADE,
        "85 in South Africa, 86 in the Mauritian trade.",
        low=70.0,
        high=100.0,
    ),
    Convention(
        "reduced_recovery_rule",
        "Rule of reduced boiling house recovery",
        "virtual purity held",
        "",
        COMMON,
        "Two rules share the name and part quickly away from 85 purity.",
        choices=("virtual purity held", "efficiency held"),
    ),
    Convention(
        "target_purity_rule",
        "Target purity of final molasses",
        "SMRI 1995",
        "",
        SMRI,
        "Every rule gives a true purity, and they lie 3 to 7 units apart: each expects something "
        "else. That of Java takes reducing sugars and ash on non-sucrose dry matter.",
        choices=("SMRI 1995", "Rein and Smith 1981", "Queensland", "Java"),
    ),
    Convention(
        "molasses_purity_compared",
        "Molasses purity compared with its target",
        "apparent",
        "",
        COMMON,
        "The target is a true purity. An apparent purity against it understates the difference by "
        "4 to 8 units.",
        choices=("apparent", "true"),
    ),
    Convention(
        "sugar_accounted",
        "Sugar in the account",
        "bagged",
        "",
        COMMON,
        "Bagged only, or made and estimated: bagged and the change of recoverable stock.",
        choices=("bagged", "made and estimated"),
    ),
    Convention(
        "standing_sugar_purity",
        "Standing purity of sugar, for stock",
        99.2,
        "%",
        COMMON,
        "A season or contract value, never the noise of the day.",
        low=80.0,
    ),
    Convention(
        "standing_sugar_pol",
        "Standing pol of sugar, for stock",
        98.9,
        "%",
        COMMON,
        "Turns recoverable pol in stock into tonnes of sugar.",
        low=80.0,
    ),
    Convention(
        "standing_molasses_purity",
        "Standing purity of final molasses, for stock",
        35.0,
        "%",
        COMMON,
        "A season or contract value, never the noise of the day.",
        low=15.0,
        high=60.0,
    ),
    Convention(
        "coverage_needed",
        "Share of a total that must really be analysed",
        60.0,
        "%",
        COMMON,
        "Two shifts of three, uneven as they are. Under it a figure of a period is withheld and "
        "names the analysis that lacks.",
    ),
)

_OF_THE_PLANT = (
    Convention(
        "extraction_plant",
        "Extraction plant",
        "as set up",
        "",
        COMMON,
        "A tandem of mills, or a diffuser with its press water; as set up with the mill until one "
        "is chosen.",
        choices=("as set up", "tandem", "diffuser"),
    ),
    Convention(
        "evaporator_effects",
        "Effects of the evaporator",
        4.0,
        "effects",
        COMMON,
        "How many effects the sheet asks for and the evaporator's figures count.",
        low=1.0,
        high=6.0,
    ),
    Convention(
        "sulphitation",
        "Sulphitation of juice",
        "none",
        "",
        COMMON,
        "Where white sugar is made with sulphur dioxide, the sheet asks for what belongs to it.",
        choices=("none", "juice"),
    ),
    Convention(
        "refinery",
        "Refinery behind the mill",
        "none",
        "",
        COMMON,
        "A refinery keeps an account of its own, beside that of the raw house.",
        choices=("none", "behind the mill"),
    ),
)

_USUALLY_LOST = tuple(
    declared
    for part, share, unsure, usual in (("pol", 1.2, 0.4, "0.5 to 2"), ("brix", 2.5, 0.8, "1 to 4"))
    for declared in (
        Convention(
            f"usual_{part}_loss",
            f"Usual undetermined {part}",
            share,
            f"per 100 {part} in mixed juice",
            COMMON,
            f"What a boiling house in good order loses unseen, to inversion or as scale; {usual} "
            "is usual. It is taken out before a balance is judged, and enters no figure.",
            high=20.0,
        ),
        Convention(
            f"usual_{part}_loss_uncertainty",
            f"Standard uncertainty of usual undetermined {part}",
            unsure,
            f"per 100 {part} in mixed juice",
            COMMON,
            "By so much it may be off over a season, and by as much again from day to day.",
            low=0.01,
            high=20.0,
        ),
    )
)

for _declared in (*_OF_THE_ACCOUNT, *_OF_THE_PLANT, *_USUALLY_LOST):
    convention(_declared)
