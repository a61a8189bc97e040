"""The book of the centrifugals: what each parted of a massecuite."""

from collections.abc import Mapping

from app.plant.books.boiling import BOILED, GRADES, purity_taken
from app.plant.books.declare import MEAN, Book, Gives, Worked, choice, number, text, time


def cycles_counted(cycles: float | None = None) -> float:
    """By what an analysis is weighed: its cycles, or one where none are told."""
    return 1.0 if cycles is None else cycles


def cured_hours(cycles: float, cycle_time: float) -> float:
    """How long the cycles took in all."""
    return cycles * cycle_time / 3600


def purity_rise(
    molasses_purity: float,
    filling: Mapping[str, float] | None = None,
    struck: Mapping[str, float] | None = None,
) -> float | None:
    """Purity of molasses less that of the mother liquor, as cured, else at the drop."""
    for before in (filling, struck):
        if before and "mother_liquor_purity" in before:
            return molasses_purity - before["mother_liquor_purity"]
    return None


def massecuite_purity(struck: Mapping[str, float]) -> float | None:
    """Purity of the strike that was cured."""
    return purity_taken(*(struck.get(name) for name in ("purity", "pol", "brix")))


_CURED = {
    "a": (("a_molasses_brix", "molasses_brix"), ("a_molasses_purity", "molasses_purity")),
    "b": (
        ("b_molasses_brix", "molasses_brix"), ("b_molasses_purity", "molasses_purity"),
        ("b_magma_brix", "sugar_brix"), ("b_magma_purity", "sugar_purity"),
    ),
    "c": (("c_magma_brix", "sugar_brix"), ("c_magma_purity", "sugar_purity")),
}  # fmt: skip

BOOK = Book(
    "centrifugals",
    "Centrifugals",
    "curing",
    "centrifugals",
    "What a centrifugal parted of a massecuite: molasses and sugar or magma, sampled together. "
    "Analyses of a shift are means by cycles; a line without cycles, as of a continuous machine, "
    "counts as one. Final molasses is weighed and analysed by the day, on the sheet; what runs off "
    "one C machine is kept here beside the mother liquor, to see what the machine adds.",
    (
        time("at", "Sampled", needed=True),
        choice("grade", "Grade", GRADES, needed=True),
        text("strike", "Strike", hint="its number in the pan log"),
        text("machine", "Machine", needed=True, hint="code"),
        choice("cured", "Batch or continuous", BOILED),
        number("temperature", "Massecuite temperature", "°C", 1, (45, 68), (20, 100)),
        number("wash_water", "Wash water", "L", 1, None, (0, 5000), hint="a cycle"),
        number("cycles", "Cycles", "", 0, (1, 250), (0, 2000)),
        number("cycle_time", "Time of a cycle", "s", 0, (100, 400), (20, 3600)),
        number("molasses_brix", "Molasses brix", "°Bx", 2, (68, 92), (40, 100)),
        number("molasses_purity", "Molasses purity", "%", 2, (32, 90), (15, 100)),
        number("sugar_brix", "Magma brix", "°Bx", 2, (86, 95), (60, 100)),
        number("sugar_purity", "Sugar or magma purity", "%", 2, (79, 99.9), (50, 100)),
    ),
    worked=(
        Worked("cycles_counted", "", "", 0, "cycles, else 1", cycles_counted),
        Worked("cured_hours", "Ran for", "h", 2, "cycles × time of a cycle ÷ 3600", cured_hours),
        Worked(
            "purity_rise", "Purity rise", "units", 2,
            "molasses purity - mother liquor purity as cured, else at the drop", purity_rise,
        ),
        Worked("massecuite_purity", "", "%", 2, "that of the strike", massecuite_purity),
    ),
    gives=tuple(
        Gives(measure, of, MEAN, "cycles_counted", {"grade": (grade,)})
        for grade, given in _CURED.items()
        for measure, of in given
    ),
    refers={"struck": ("strikes", "strike"), "filling": ("crystallizers", "strike")},
    caution="Nobody opens a lid, reaches in or ploughs by hand while a basket turns: interlocks "
    "stay in force. Hot massecuite and wash water scald.",
)  # fmt: skip
