"""Conversions of the juice bench: brix, density, dilution and pol."""

from dataclasses import replace

from app.chemistry import density, hydrometry, polarimetry, refractometry
from app.chemistry.validity import within
from app.language import _
from app.reports.bench import Amiss, Choice, Field, Line
from app.reports.conversions.declare import BRIX, SCALDS, TEMPERATURE, conversion


@conversion(
    "Refractometer brix at 20 °C",
    Field("reading", "Reading", "°Bx", known_as=("refractometer brix",)),
    TEMPERATURE,
    Field(
        "table", "Table of corrections",
        hint="they differ by up to 0.04: keep to one within a series",
        choices=(
            Choice("1936", "International, 1936: 0 to 70 °Bx, 10 to 30 °C", "1936"),
            Choice("1974", "Basis of ICUMSA 1974: 10 to 75 °Bx, 10 to 20 °C", "1974"),
            Choice("1974-cold", "The same, cold: 10 to 30 °Bx, 5 to 9 °C", "1974 cold"),
        ),
    ),
    section="juice",
    formula="reading + correction of the table, straight lines between its cells; for an "
    "instrument that does not compensate by itself",
    source="international table of 1936 (AOAC 932.14C; above 21 °C from memory) and OIV-MA-AS2-02, "
    "Table I (18 and 19 °C from memory)",
    caution=SCALDS,
)  # fmt: skip
def brix(reading: float, temperature: float, table: str) -> list[Line]:
    """Bring a refractometer's reading to 20 °C."""
    added = refractometry.temperature_correction(reading, temperature, table=table)
    return [
        Line(_("Brix at 20 °C"), reading + added, "°Bx", 2),
        Line(_("Correction"), added, "°Bx", 2),
    ]


@conversion(
    "Refractive index from brix",
    BRIX,
    section="juice",
    formula="table of whole degrees at 20 °C and 589 nm, straight lines between",
    source="ICUMSA 1974 scale, SPS-3 (read); not official above 85 °Bx",
)
def refractive_index(brix: float) -> list[Line]:
    """Give the refractive index of a brix."""
    return [Line(_("Refractive index at 20 °C"), refractometry.refractive_index(brix), "", 5)]


@conversion(
    "Brix from refractive index",
    Field("index", "Refractive index", fine=True, hint="at 20 °C and 589 nm"),
    section="juice",
    formula="the inverse of the table of refractive indices",
    source="ICUMSA 1974 scale, SPS-3 (read)",
)
def brix_of_index(index: float) -> list[Line]:
    """Give the brix of a refractive index."""
    return [Line(_("Brix at 20 °C"), refractometry.brix_from_refractive_index(index), "°Bx", 2)]


@conversion(
    "Hydrometer brix at 20 °C",
    Field("reading", "Reading", "°Bx", known_as=("hydrometer brix",)),
    TEMPERATURE,
    section="juice",
    formula="brix whose density at the temperature is that of the reading at 20 °C, less the "
    "growth of the glass, 0.000 025 per K",
    source="worked out from ICUMSA SPS-4, for a hydrometer of 20 °C; glass from memory",
    caution=SCALDS,
)
def hydrometer(reading: float, temperature: float) -> list[Line]:
    """Bring a hydrometer's reading to 20 °C."""
    added = hydrometry.hydrometer_correction(reading, temperature)
    return [
        Line(_("Brix at 20 °C"), reading + added, "°Bx", 2),
        Line(_("Correction"), added, "°Bx", 2),
    ]


@conversion(
    "Density, specific gravity and Baumé",
    BRIX,
    replace(TEMPERATURE, default="20"),
    section="juice",
    formula="true density of pure sucrose; apparent as weighed in air of 1.2 kg/m³; specific "
    "gravity 20/20 °C; °Bé = 145 − 145 ÷ specific gravity",
    source="ICUMSA SPS-4 (Bettin, Emmerich and Spieweck 1998; read); Baumé: Asadi, Beet-Sugar "
    "Handbook (read)",
    caution=SCALDS,
)
def solution_density(brix: float, temperature: float) -> list[Line]:
    """Give what a sucrose solution weighs, in every way that is asked for."""
    true = density.sucrose_solution_density(brix, temperature)
    gravity = density.specific_gravity(brix)
    apparent_gravity = density.apparent_specific_gravity(brix)
    return [
        Line(_("True density"), true, "kg/m³", 1),
        Line(_("Apparent density"), density.apparent_density(true), "kg/m³", 1),
        Line(_("Specific gravity 20/20 °C"), gravity, "", 4),
        Line(_("The same, weighed in air"), apparent_gravity, "", 4),
        Line(_("Baumé"), hydrometry.baume(gravity), "°Bé", 2),
    ]


@conversion(
    "Diluted massecuite or molasses",
    Field("sample", "Sample", "g", above_zero=True),
    Field("water", "Water added", "g", known_as=("water",)),
    Field("brix", "Brix found", "°Bx", known_as=("brix or pol", "brix of the sample")),
    Field("pol", "Pol found", "%", optional=True, known_as=("pol",)),
    section="juice",
    formula="what was found × (sample + water) ÷ sample, by weight",
    source="common practice, by mass balance; brix so found runs above that of undiluted material, "
    "so the dilution belongs to the result",
    caution=SCALDS,
)
def dilution(sample: float, water: float, brix: float, pol: float | None) -> list[Line]:
    """Lead brix and pol of a dilution back to the sample."""
    undiluted = hydrometry.undiluted(brix, sample, water)
    within("brix of the sample", undiluted, 0, 100, "°Bx")
    lines = [Line(_("Brix of the sample"), undiluted, "°Bx", 2)]
    if pol is None:
        return lines
    found = hydrometry.undiluted(within("pol", pol, 0, 100, "%"), sample, water)
    return [*lines, Line(_("Pol of the sample"), found, "%", 2), *_purity("pol", pol, brix)]


@conversion(
    "Pol from a saccharimeter",
    Field("reading", "Reading", "°Z", hint="in 200 mm at 20 °C",
          known_as=("saccharimeter reading",)),
    Field("brix", "Brix", "°Bx", hint="of the liquid before clarification"),
    Field(
        "clarification", "Clarification",
        choices=(
            Choice("dry", "Dry: powder, or none", polarimetry.DRY_CLARIFICATION),
            Choice("wet", "Wet: 100 mL filled to 110 mL", polarimetry.WET_CLARIFICATION),
        ),
    ),
    Field("dilution", "Further dilution", default="1",
          hint="volume after over volume before, 1 for none"),
    section="saccharimeter",
    formula="reading × clarification × dilution × 26 ÷ (99.718 × apparent specific gravity 20/20); "
    "purity 100 × pol ÷ brix",
    source="definition of the sugar scale (99.718 from memory) on densities of ICUMSA SPS-4",
    caution="Basic lead acetate is a poison and must not reach the drain; clarifiers without lead "
    "exist, do not give the same pol, and belong to the result",
)  # fmt: skip
def pol(reading: float, brix: float, clarification: float, dilution: float) -> list[Line]:
    """Give pol and purity of a liquid read on the sugar scale."""
    volume = clarification * within("further dilution", dilution, 1, 9)
    found = polarimetry.pol_of_undiluted(reading, brix, volume)
    return [Line(_("Pol"), found, "%", 2), *_purity("reading", float(found), brix)]


def _purity(where: str, pol: float, brix: float) -> list[Line]:
    if pol > brix:
        raise Amiss(
            where,
            _("Pol comes to {pol} %, above its brix of {brix}", pol=f"{pol:.2f}", brix=f"{brix:g}"),
        )
    return [Line(_("Purity"), 100 * pol / brix, "", 2)] if brix else []
