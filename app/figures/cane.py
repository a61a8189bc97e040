"""What came in with the cane: fibre, pol and brix by balance and by direct analysis, and juice."""

import numpy as np

from app.chemistry import extraction as relation
from app.figures.bagasse import AS_FIBRE, LEFT
from app.figures.declare import Values, figure
from app.figures.seldom import seldom_mean
from app.figures.sources import COMMON, DEFINITION, ISSCT, READ, Source

STATION = "milling"
UNDILUTED = Source("L. Wong, PhD thesis, Mauritius: brix-free water, 25 % of fibre", READ)


@figure(
    "Fibre in cane",
    unit="t",
    decimals=1,
    formula="fibre in bagasse",
    source=ISSCT,
    station=STATION,
    kind="adds",
    when=LEFT,
)
def fibre_in_cane(fibre_in_bagasse: Values) -> Values:
    """Tonnes of fibre that came with the cane; soil in the cane counts as fibre."""
    return fibre_in_bagasse


@fibre_in_cane.otherwise("fibre in bagasse + suspended solids in mixed juice", when=AS_FIBRE)
def _with_solids(fibre_in_bagasse: Values, suspended_solids_in_mixed_juice: Values) -> Values:
    return fibre_in_bagasse + suspended_solids_in_mixed_juice


@figure(
    "Pol in cane",
    unit="t",
    decimals=2,
    formula="pol in mixed juice + pol in bagasse",
    source=ISSCT,
    station=STATION,
)
def pol_in_cane(pol_in_mixed_juice: Values, pol_in_bagasse: Values) -> Values:
    """Tonnes of pol that came in with the cane, as found again in mixed juice and bagasse.

    What is lost before the juice scale is invisible here and makes the cane look poorer.
    """
    return pol_in_mixed_juice + pol_in_bagasse


@figure(
    "Brix in cane",
    unit="t",
    decimals=2,
    formula="brix in mixed juice + brix in bagasse",
    source=ISSCT,
    station=STATION,
)
def brix_in_cane(brix_in_mixed_juice: Values, brix_in_bagasse: Values) -> Values:
    """Tonnes of dissolved solids that came in with the cane."""
    return brix_in_mixed_juice + brix_in_bagasse


@figure(
    "Fibre % cane",
    unit="% cane",
    decimals=2,
    formula="100 × fibre in cane ÷ cane",
    source=ISSCT,
    station=STATION,
)
def cane_fibre(fibre_in_cane: Values, cane: Values) -> Values:
    """Fibre of cane by the balance of the tandem, else by direct analysis. 12 to 16 is usual."""
    return 100 * fibre_in_cane / cane


@figure(
    "Pol % cane",
    unit="% cane",
    decimals=2,
    formula="100 × pol in cane ÷ cane",
    source=ISSCT,
    station=STATION,
)
def cane_pol(pol_in_cane: Values, cane: Values) -> Values:
    """Pol of cane by the balance of the tandem, else by direct analysis. 11 to 15 is usual."""
    return 100 * pol_in_cane / cane


@figure(
    "Brix % cane",
    unit="% cane",
    decimals=2,
    formula="100 × brix in cane ÷ cane",
    source=ISSCT,
    station=STATION,
)
def cane_brix(brix_in_cane: Values, cane: Values) -> Values:
    """Dissolved solids of cane by the balance of the tandem, else by direct analysis."""
    return 100 * brix_in_cane / cane


def _same(value: Values) -> Values:
    return value


def _by_balance_less_direct(part: Values, cane: Values, direct: Values) -> Values:
    """What the balance of the tandem finds above direct analysis of cane, with its sign.

    Lasting, it points to a weight, to the sample of cane, or to loss before the juice scale; the
    balance can see none of them alone.
    """
    return 100 * part / cane - direct


for _part, _by_balance in (("fibre", cane_fibre), ("pol", cane_pol), ("brix", cane_brix)):
    _title = f"{_part.capitalize()} % cane"
    seldom_mean(
        (f"cane_{_part}_direct", f"{_title}, by direct analysis", "% cane", 2), STATION,
        f"{_title} by analysis of the cane itself, in a wet disintegrator or a press. It needs no "
        "weights and feels every fault of sampling.",
        of=f"cane_{_part}",
    )  # fmt: skip
    _by_balance.otherwise("by direct analysis", inputs=(f"cane_{_part}_direct",))(_same)
    figure(
        f"{_title}, balance less direct analysis",
        unit="% cane",
        decimals=2,
        formula=f"100 × {_part} in cane ÷ cane - {_part} by direct analysis",
        source=COMMON,
        station=STATION,
        name=f"cane_{_part}_difference",
        inputs=(f"{_part}_in_cane", "cane", f"cane_{_part}_direct"),
    )(_by_balance_less_direct)

seldom_mean(
    ("cane_extraneous_matter", "Extraneous matter % cane", "% cane", 1), "cane_receiving",
    "Tops, trash, roots and soil in the cane delivered; 2 to 12 is usual (common practice).",
)  # fmt: skip
seldom_mean(
    ("cane_ash", "Ash % cane", "% cane", 2), "cane_receiving",
    "Ash of cane, mostly soil; 1 to 3 is usual (common practice). It counts as fibre in a balance.",
)  # fmt: skip
seldom_mean(
    ("prepared_cane_open_cells", "Preparation index", "%", 1), "preparation",
    "Brix or pol leached from prepared cane by gentle tumbling, per 100 of what full "
    "disintegration gives; 82 to 92 is usual, 90 and more for a diffuser (common practice). By "
    "brix and by pol it differs by about 1; other tumbling times cannot be compared.",
)  # fmt: skip


@figure(
    "Moisture % cane",
    unit="% cane",
    decimals=2,
    formula="100 - fibre % cane - brix % cane",
    source=ISSCT,
    station=STATION,
)
def cane_moisture(cane_fibre: Values, cane_brix: Values) -> Values:
    """What is neither fibre nor dissolved solids; 68 to 73 is usual, 65 to 78 is possible."""
    return 100 - cane_fibre - cane_brix


@figure(
    "Purity of cane",
    unit="%",
    decimals=2,
    formula="100 × pol % cane ÷ brix % cane",
    source=DEFINITION,
    station=STATION,
)
def cane_purity(cane_pol: Values, cane_brix: Values) -> Values:
    """Purity of absolute juice: all that is not fibre."""
    return 100 * cane_pol / cane_brix


@figure(
    "Absolute juice brix",
    unit="°Bx",
    decimals=2,
    formula="100 × brix % cane ÷ (100 - fibre % cane)",
    source=ISSCT,
    station=STATION,
)
def absolute_juice_brix(cane_brix: Values, cane_fibre: Values) -> Values:
    """Brix of absolute juice: all of the cane that is not fibre, its brix-free water too."""
    return relation.in_undiluted_juice(cane_brix, cane_fibre, 0.0)


@figure(
    "Absolute juice pol",
    unit="%",
    decimals=2,
    formula="100 × pol % cane ÷ (100 - fibre % cane)",
    source=ISSCT,
    station=STATION,
)
def absolute_juice_pol(cane_pol: Values, cane_fibre: Values) -> Values:
    """Pol of absolute juice: all of the cane that is not fibre."""
    return relation.in_undiluted_juice(cane_pol, cane_fibre, 0.0)


@figure(
    "Undiluted juice % cane",
    unit="% cane",
    decimals=2,
    formula="100 - (1 + brix-free water ÷ 100) × fibre % cane",
    source=UNDILUTED,
    station=STATION,
)
def undiluted_juice_on_cane(cane_fibre: Values, brix_free_water: Values) -> Values:
    """Cane less its fibre and the brix-free water on it, by the convention in force."""
    return np.asarray(relation.undiluted_juice_on_cane(cane_fibre, brix_free_water))


@figure(
    "Undiluted juice brix",
    unit="°Bx",
    decimals=2,
    formula="100 × brix % cane ÷ undiluted juice % cane",
    source=UNDILUTED,
    station=STATION,
)
def undiluted_juice_brix(cane_brix: Values, cane_fibre: Values, brix_free_water: Values) -> Values:
    """Brix of the juice of cane without brix-free water, by balance.

    First expressed juice is close to it; dilution has its own, by the dry-milling factor.
    """
    return relation.in_undiluted_juice(cane_brix, cane_fibre, brix_free_water)
