"""Conversions of the boiling house: lime, the pan, colour and moisture."""

import numpy as np

from app.chemistry import analysis, boiling_point, massecuite, solubility
from app.chemistry.lime import calcium_oxide_in_milk_of_lime
from app.chemistry.steam import saturation_temperature
from app.chemistry.validity import outside_is_nothing, within
from app.language import _
from app.reports.bench import Amiss, Field, Line
from app.reports.conversions.declare import (
    BRIX,
    EQUATION,
    LIME_BURNS,
    PAN_SCALDS,
    SCALDS,
    TEMPERATURE,
    conversion,
)


@conversion(
    "Lime in milk of lime",
    Field("baume", "Milk of lime", "°Bé", hint="near 15 °C"),
    section="lime",
    formula="table of 10 to 30 °Bé, straight lines between; settled lime, grit and magnesia upset "
    "the spindle",
    source="a table of the trade; from memory, and of low confidence: titrate your own",
    caution=LIME_BURNS,
)
def milk_of_lime(baume: float) -> list[Line]:
    """Give the calcium oxide in milk of lime."""
    return [Line(_("Calcium oxide"), calcium_oxide_in_milk_of_lime(baume), "g/L", 0)]


@conversion(
    "Lime for a step of pH",
    Field("step", "Step of the mill’s table", choices=()),
    Field("juice", "Juice", "t", known_as=("juice",)),
    Field("baume", "Milk of lime", "°Bé", optional=True, hint="near 15 °C, for its volume"),
    section="lime",
    formula="dose × juice; volume by the table of milk of lime",
    source="the mill’s own trials, in the table of lime; milk of lime from memory",
    caution=LIME_BURNS,
)
def lime(step: float, juice: float, baume: float | None) -> list[Line]:
    """Give the lime for so much juice, by the mill's own table."""
    oxide = step * within("juice", juice, 0, 1e6, "t")
    lines = [Line(_("Calcium oxide"), oxide, "kg", 1)]
    if baume is None:
        return lines
    return [*lines, Line(_("Milk of lime"), 1000 * oxide / calcium_oxide_in_milk_of_lime(baume),
                         "L", 0)]  # fmt: skip


@conversion(
    "Supersaturation",
    BRIX,
    Field("purity", "Purity", "%"),
    TEMPERATURE,
    Field("coefficient", "Saturation coefficient", default="1",
          hint="1 is a pure solution; your mill’s own from tests of its molasses",
          known_as=("saturation coefficient", "coefficient")),
    EQUATION,
    section="pan",
    formula="sucrose per water ÷ (saturation coefficient × that of a pure saturated solution)",
    source="definition; equation of Vavrinecz 1962 or Charles 1960, coefficients from memory",
    caution=PAN_SCALDS,
)  # fmt: skip
def supersaturation(
    brix: float, purity: float, temperature: float, coefficient: float,
    equation: solubility.Solubility,
) -> list[Line]:  # fmt: skip
    """Give how far a liquor is above saturation, and where it would just be saturated."""
    sucrose = solubility.sucrose_per_water(brix, purity)
    found = solubility.supersaturation(sucrose, temperature, coefficient, equation)
    lines = [
        Line(_("Supersaturation"), found, "", 3),
        Line(_("Sucrose per water"), sucrose, "g/g", 3),
    ]
    with outside_is_nothing():
        saturated = solubility.sucrose_saturation_temperature(sucrose, coefficient, equation)
    if np.isnan(saturated):  # not between 0 and 100 °C
        return lines
    return [*lines, Line(_("Saturated at"), saturated, "°C", 1)]


@conversion(
    "Solubility of sucrose",
    TEMPERATURE,
    EQUATION,
    section="pan",
    formula="power series of the temperature, for a pure solution",
    source="Vavrinecz 1962 or Charles 1960, coefficients from memory; they part above 85 °C",
    caution=SCALDS,
)
def sucrose_solubility(temperature: float, equation: solubility.Solubility) -> list[Line]:
    """Give what a saturated solution holds."""
    found = equation(temperature)
    return [
        Line(_("In 100 g of solution"), found, "g", 2),
        Line(_("Per water"), solubility.sucrose_per_water(found), "g/g", 3),
    ]


@conversion(
    "Boiling point elevation",
    BRIX,
    Field("pressure", "Absolute pressure", "kPa", default="101.325", fine=True,
          hint="of the air, less the vacuum of the pan", known_as=("pressure",)),
    section="pan",
    formula="where vapour pressure × water activity is the pressure; the technical liquor by "
    "Batterham and Norgate; the head of liquid above is not in it",
    source="Starzak and Peacock (read) with IAPWS-IF97; Batterham and Norgate in the form of Love, "
    "from memory",
    caution=PAN_SCALDS,
)  # fmt: skip
def boiling(brix: float, pressure: float) -> list[Line]:
    """Give by how much a liquor boils hotter than water."""
    elevation = boiling_point.boiling_point_elevation(brix, pressure)
    water = saturation_temperature(pressure)
    lines = [
        Line(_("Water boils at"), water, "°C", 1),
        Line(_("Elevation, pure sucrose"), elevation, "K", 1),
        Line(_("Pure sucrose boils at"), water + elevation, "°C", 1),
    ]
    with outside_is_nothing():
        technical = boiling_point.technical_boiling_point_elevation(brix, water)
    if np.isnan(technical):  # water boils outside 40 to 130 °C
        return lines
    return [*lines, Line(_("Elevation, technical liquor"), technical, "K", 1)]


@conversion(
    "Sugar for seed slurry",
    Field("crystals", "Crystals wanted", "t", hint="in the strike that the slurry grows into"),
    Field("seed", "Size of the seed", "µm", above_zero=True, known_as=("seed over grown crystal",)),
    Field("grown", "Size when grown", "mm", above_zero=True, fine=True),
    section="pan",
    formula="crystals × (size of the seed ÷ size when grown)³; every seed grows, none is born or "
    "lost",
    source="volume of like bodies; common practice",
    caution="Slurry in alcohol burns and its vapour explodes: no flame, spark or hot pan near it",
)
def seed(crystals: float, seed: float, grown: float) -> list[Line]:
    """Give the sugar to mill into slurry."""
    needed = massecuite.slurry_sugar(crystals, seed, 1000 * grown)
    return [Line(_("Sugar in the slurry"), 1e6 * needed, "g", 1)]


@conversion(
    "Colour from absorbance",
    Field("absorbance", "Absorbance at 420 nm", fine=True, known_as=("absorbance",)),
    Field("cell", "Cell", "cm", default="1", above_zero=True),
    Field("brix", "Brix", "°Bx", hint="of the filtered solution", above_zero=True),
    section="analyses",
    formula="1000 × absorbance ÷ (cell × dry substance in g/mL); dry substance by brix × density "
    "at 20 °C",
    source="common practice after ICUMSA; pH, filter and number of the method belong to the result",
    caution="Acids and alkalis that set the pH burn: goggles and gloves",
)
def colour(absorbance: float, cell: float, brix: float) -> list[Line]:
    """Give the ICUMSA colour of a solution."""
    dry = analysis.dry_substance_concentration(brix)
    return [
        Line(_("Colour"), analysis.icumsa_colour(absorbance, cell, dry), "IU", 0),
        Line(_("Dry substance"), dry, "g/mL", 4),
    ]


@conversion(
    "Moisture from masses",
    Field("dish", "Empty dish", "g", fine=True),
    Field("wet", "Dish and wet sample", "g", fine=True),
    Field("dry", "Dish and dry sample", "g", fine=True, known_as=("moisture",)),
    section="analyses",
    formula="100 × (wet − dry) ÷ (wet − dish)",
    source="definition; common practice",
    caution="Oven and dish are hot: tongs, and a desiccator to cool in",
)
def moisture(dish: float, wet: float, dry: float) -> list[Line]:
    """Give the moisture of a sample that was dried."""
    if wet <= dish:
        raise Amiss(
            "wet",
            _("Dish and wet sample is {mass} g; it is to be above the empty dish", mass=f"{wet:g}"),
        )
    return [Line(_("Moisture"), analysis.moisture_by_drying(dish, wet, dry), "%", 2)]
