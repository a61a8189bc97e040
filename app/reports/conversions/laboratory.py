"""Conversions of the laboratory: sucrose, reducing sugars, ash and grain."""

from collections.abc import Callable

import numpy as np

from app.chemistry import analysis, grain, polarimetry, reducing_sugars
from app.chemistry.validity import within
from app.language import _
from app.reports.bench import Amiss, Choice, Field, Line
from app.reports.conversions.declare import SCALDS, TEMPERATURE, conversion

COPPER_BURNS = (
    "The copper reagents are caustic, poison fish and boil over: goggles, gloves, tongs for hot "
    "flasks, and a vessel for the copper waste"
)


@conversion(
    "Sucrose by double polarization",
    Field("direct", "Direct reading", "°Z", hint="on the basis of the normal weight",
          known_as=("saccharimeter reading",)),
    Field("inverted", "Inverted reading", "°Z", hint="on the same basis, usually below 0",
          known_as=("sucrose",)),
    TEMPERATURE,
    Field("solids", "Dry substance", "g/100 mL", optional=True,
          hint="of the solution inverted; Herzfeld does without", known_as=("dry substance",)),
    Field(
        "method", "Method",
        choices=(
            Choice("jackson-gillis", "Acid with sodium chloride: Jackson and Gillis IV",
                   polarimetry.jackson_gillis),
            Choice("invertase", "Invertase", polarimetry.invertase),
            Choice("herzfeld", "Acid: Clerget and Herzfeld", polarimetry.herzfeld),
        ),
    ),
    section="saccharimeter",
    formula="100 × (direct − inverted) ÷ divisor; Jackson and Gillis 132.56 − 0.0794 × (13 − dry "
    "substance) − 0.53 × (temperature − 20); invertase 132.1 − 0.0833 × (13 − dry substance) − "
    "0.53 × (temperature − 20); Herzfeld 142.66 − temperature ÷ 2",
    source="Jackson and Gillis 1920, AOAC and ICUMSA, Herzfeld 1888; all from memory, the first "
    "not confirmed",
    caution="Hydrochloric acid, hot above all, and its fumes burn: hood, goggles, gloves, acid "
    "into water. Lead salts of the clarification are poisons and must not reach the drain",
)  # fmt: skip
def double_polarization(
    direct: float, inverted: float, temperature: float, solids: float | None,
    method: Callable[..., polarimetry.Values],
) -> list[Line]:  # fmt: skip
    """Give sucrose from the readings before and after inversion."""
    within("inverted reading", inverted, -150, 150, "°Z")
    if method is polarimetry.herzfeld:
        divisor = method(temperature)
    elif solids is None:
        raise Amiss(
            "solids", _("Fill in the dry substance; the divisor of this method asks for it")
        )
    else:
        divisor = method(solids, temperature)
    found = polarimetry.sucrose_by_double_polarization(direct, inverted, divisor)
    within("sucrose", found, 0, 101, "%")  # readings scatter: pure sucrose may come above 100
    return [Line(_("Sucrose"), found, "%", 2), Line(_("Divisor"), divisor, "", 2)]


@conversion(
    "Reducing sugars by Lane and Eynon",
    Field("titre", "Titre", "mL", hint="that 10 mL of mixed reagent uses up"),
    Field("sample", "Sample", "g", hint="in 100 mL of the solution titrated", above_zero=True,
          known_as=("reducing sugars",)),
    section="analyses",
    formula="invert sugar of the table, straight lines between its rows; 100 × invert sugar ÷ "
    "titre in mg/100 mL; that ÷ (10 × sample) in %; no correction for sucrose is applied, so much "
    "sucrose beside it reads as reducing sugars",
    source="table of Lane and Eynon for invert sugar without sucrose, 10 mL of mixed Soxhlet "
    "reagent; from memory",
    caution=COPPER_BURNS,
)  # fmt: skip
def lane_eynon(titre: float, sample: float) -> list[Line]:
    """Give reducing sugars from a titre of Fehling's solution."""
    solution = reducing_sugars.lane_eynon_reducing_sugars(titre)
    return [
        _reducing_sugars(solution, sample),
        Line(_("In 100 mL"), solution, "mg", 1),
        Line(_("Invert sugar of the table"), reducing_sugars.lane_eynon_invert(titre), "mg", 1),
    ]


@conversion(
    "Reducing sugars by Luff and Schoorl",
    Field("blank", "Titre of the blank", "mL"),
    Field("titre", "Titre of the sample", "mL", known_as=("thiosulphate used",)),
    Field("strength", "Thiosulphate", "mol/L", default="0.1", above_zero=True, fine=True),
    Field("sample", "Sample", "g", hint="in the aliquot", above_zero=True, fine=True,
          known_as=("reducing sugars",)),
    section="analyses",
    formula="(titre of the blank − titre of the sample) × thiosulphate ÷ 0.1 in mL; sugars of the "
    "table for 25 mL of reagent, straight lines between its rows; that ÷ (10 × sample) in %; no "
    "correction for sucrose is applied",
    source="table of Luff and Schoorl for glucose and fructose (EU 79/796, 152/2009); from memory",
    caution=f"{COPPER_BURNS}. The strong acid that frees iodine burns and foams: add it slowly to "
    "the cooled flask",
)  # fmt: skip
def luff_schoorl(blank: float, titre: float, strength: float, sample: float) -> list[Line]:
    """Give reducing sugars from the thiosulphate that a sample saves."""
    within("titre of the blank", blank, 0, np.inf, "mL")
    within("titre of the sample", titre, 0, np.inf, "mL")
    found = reducing_sugars.luff_schoorl_sugars(blank, titre, strength)
    return [_reducing_sugars(found, sample), Line(_("In the aliquot"), found, "mg", 1)]


def _reducing_sugars(found: reducing_sugars.Values, sample: float) -> Line:
    share = reducing_sugars.reducing_sugars_on_sample(found, sample)
    return Line(_("Reducing sugars"), within("reducing sugars", share, 0, 100, "%"), "%", 3)


@conversion(
    "Conductivity ash",
    Field("solution", "Solution", "µS/cm", known_as=("conductivity of solution", "ash")),
    Field("water", "Its water", "µS/cm", known_as=("conductivity of water",)),
    TEMPERATURE,
    Field(
        "method", "Method",
        choices=(
            Choice("white", "White sugar: 28 g/100 g",
                   (analysis.REFINED_ASH_WARMTH, analysis.refined_sugar_ash)),
            Choice("raw", "Raw sugar, juice, syrup, molasses: 5 g/100 mL",
                   (analysis.RAW_ASH_WARMTH, analysis.raw_sugar_ash)),
        ),
    ),
    section="analyses",
    formula="white 0.0006 × (solution − 0.35 × water), raw 0.0018 × (solution − water), of "
    "conductivities at 20 °C; each is its reading ÷ (1 + warmth × (temperature − 20)), warmth "
    "0.026 for white and 0.023 for raw, the water’s taken as the solution’s",
    source="ICUMSA GS2/3-17 and GS1/3/4/7/8-13; from memory (the 28 g/100 g read)",
    caution=SCALDS,
)  # fmt: skip
def conductivity_ash(
    solution: float, water: float, temperature: float,
    method: tuple[float, Callable[..., analysis.Values]],
) -> list[Line]:  # fmt: skip
    """Give the ash of a sugar from how its solution conducts."""
    warmth, relation = method
    solution_at_20, water_at_20 = analysis.conductivity_at_20(
        [solution, water], temperature, warmth
    )
    ash = within("ash", relation(solution_at_20, water_at_20), 0, 100, "%")
    return [
        Line(_("Conductivity ash"), ash, "%", 4),
        Line(_("Solution at 20 °C"), solution_at_20, "µS/cm", 1),
    ]


@conversion(
    "Grain of sugar from sieves",
    Field("apertures", "Aperture of each sieve", "mm", series=True, above_zero=True, fine=True,
          hint="the coarsest first, with blanks between: 1.18 1 0.85"),
    Field("retained", "Retained on each sieve", "g", series=True, fine=True,
          hint="in the same order",
          known_as=("mass on a sieve", "share on the coarsest sieve", "share on all sieves",
                    "number of sieves that part the sample")),
    Field("pan", "Pan", "g", hint="what passes the finest sieve", fine=True),
    section="analyses",
    formula="by interpolation, the aperture on which 50 % stays, straight lines between sieves, "
    "and as coefficient of variation 100 × (aperture at 16 % − aperture at 84 %) ÷ (2 × mean "
    "aperture); by probit, the mean of the least-squares line on probability paper, and 100 × its "
    "standard deviation ÷ mean; the two do not agree, so the method belongs to the result",
    source="ICUMSA GS2-37 (that nothing is read beyond the sieves, and that Powers’ method is "
    "allowed; read); interpolation common practice, the line being Powers’ from memory",
    caution="Dust of dry sugar explodes: no flame or spark near the sieves, and no cloud of it",
)  # fmt: skip
def sieves(apertures: list[float], retained: list[float], pan: float) -> list[Line]:
    """Give mean aperture and coefficient of variation of a sieved sugar."""
    if len(retained) != len(apertures):
        said = _(
            "Write one mass for each sieve; there are {masses} for {sieves} sieves",
            masses=len(retained), sieves=len(apertures),
        )  # fmt: skip
        raise Amiss("retained", said)
    if (np.diff(apertures) >= 0).any():
        raise Amiss("apertures", _("Write the coarsest sieve first; apertures are to fall"))
    within("pan", pan, 0, np.inf, "g")
    masses = np.round([*retained, pan], 6)  # no balance of a laboratory weighs finer
    between = grain.grain_by_interpolation(apertures, masses)
    line = grain.grain_by_probit(apertures, masses)
    return [
        Line(_("Mean aperture, interpolated"), between.mean_aperture, "mm", 3),
        Line(_("Variation, interpolated"), between.coefficient_of_variation, "%", 1),
        Line(_("Mean aperture, probit"), line.mean_aperture, "mm", 3),
        Line(_("Variation, probit"), line.coefficient_of_variation, "%", 1),
    ]
