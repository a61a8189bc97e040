"""Relations of the milling tandem and the diffuser. Every percentage is 0 to 100, by mass."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]

DEERR_FIBRE = 12.5


def dissolved_solids_from_pol(pol: Values, purity: Values) -> Values:
    """Return brix %, from `pol` % and the `purity` of the liquid that holds it.

    Source: definition of purity.
    """
    return 100 * pol / purity


def fibre_by_difference(moisture: Values, pol: Values, residual_purity: Values) -> Values:
    """Return fibre % of bagasse: what is neither moisture nor dissolved solids.

    `residual_purity` is the purity of the juice left in bagasse. Five points of it move fibre by
    0.15 to 0.2. Raises OutOfRange outside 0 to 100. Source: System of Cane Sugar Factory Control
    (ISSCT, 3rd ed. 1971); Hugot, Handbook of Cane Sugar Engineering; from memory.
    """
    pol = within("pol", pol, 0, 100, "%")
    return 100 - within("moisture", moisture, 0, 100, "%") - 100 * pol / residual_purity


def reduced_extraction(extraction: Values, fibre: Values) -> Values:
    """Return pol extraction reduced to 12.5 % fibre by Deerr's rule.

    The absolute juice lost per unit of fibre is held and the fibre reset to 12.5 % of cane; at
    12.5 % fibre nothing changes. `extraction` % of pol in cane, `fibre` % cane; raises OutOfRange
    outside 0 to 100. Source: Deerr, Cane Sugar (1921); Hugot; from memory.
    """
    held = (100 - DEERR_FIBRE) / DEERR_FIBRE
    extraction, fibre = _percent("extraction", extraction), _percent("fibre", fibre)
    return 100 - (100 - extraction) * (100 - fibre) / (held * fibre)


def lost_absolute_juice(extraction: Values, fibre: Values) -> Values:
    """Return absolute juice lost in bagasse, % fibre.

    The basis is that of `extraction` (brix here, without brix-free water unless the caller takes
    it out of the juice). Raises OutOfRange outside 0 to 100. Source: ISSCT, System of Cane Sugar
    Factory Control; from memory.
    """
    extraction, fibre = _percent("extraction", extraction), _percent("fibre", fibre)
    return (100 - extraction) * (100 - fibre) / fibre


def undiluted_juice_on_cane(fibre: ArrayLike, brix_free_water: ArrayLike = 25.0) -> Values:
    """Return undiluted juice % cane: what is neither fibre nor the water that it holds brix-free.

    `fibre` % cane; `brix_free_water` % fibre, 0 for absolute juice. Raises OutOfRange outside 0 to
    100. Source: L. Wong, PhD thesis, Mauritius (the 25, and 28.3 as measured there; read).
    """
    held = within("brix-free water", brix_free_water, 0, 100, "%") / 100
    return 100 - (1 + held) * within("fibre", fibre, 0, 100, "%")


def in_undiluted_juice(
    part: ArrayLike, fibre: ArrayLike, brix_free_water: ArrayLike = 25.0
) -> Values:
    """Return brix (or pol) % of undiluted juice, from `part`, brix (or pol) % cane.

    Arguments, errors and source as in `undiluted_juice_on_cane`.
    """
    juice = undiluted_juice_on_cane(fibre, brix_free_water)
    return 100 * within("part", part, 0, 100, "%") / juice


def lost_undiluted_juice(
    extraction: ArrayLike, fibre: ArrayLike, brix_free_water: ArrayLike = 25.0
) -> Values:
    """Return undiluted juice lost in bagasse, % fibre; with no brix-free water, absolute juice.

    Its basis is that of `extraction`, % of pol or of brix in cane. Source: ISSCT, System of Cane
    Sugar Factory Control; from memory.
    """
    lost = 100 - within("extraction", extraction, 0, 100, "%")
    return lost * undiluted_juice_on_cane(fibre, brix_free_water) / np.asarray(fibre, float)


def milling_loss(pol: ArrayLike, fibre: ArrayLike) -> Values:
    """Return pol per 100 of fibre in bagasse, from `pol` % and `fibre` % of bagasse.

    Raises OutOfRange outside 0 to 100. 2.5 to 5 is usual (common practice). Source: ISSCT, System
    of Cane Sugar Factory Control; Hugot; from memory.
    """
    return 100 * within("pol", pol, 0, 100, "%") / within("fibre", fibre, 0, 100, "%")


def extraction_to_bagasse(
    pol: ArrayLike, fibre: ArrayLike, cane_pol: ArrayLike, cane_fibre: ArrayLike
) -> Values:
    """Return pol extracted up to a bagasse, % of pol in cane: 100 - 100 (pol/fibre) (F/P).

    `pol` and `fibre` % of the bagasse behind any mill (the first: primary extraction; the last: the
    tandem's); those of cane % cane. Shapes broadcast: with mills along the last axis, cane takes a
    last axis of 1. Exact where no fibre leaves with juice. Raises OutOfRange outside 0 to 100.
    Source: ISSCT, System of Cane Sugar Factory Control; from memory, closed by algebra.
    """
    cane_pol = within("pol of cane", cane_pol, 0, 100, "%")
    cane_fibre = within("fibre of cane", cane_fibre, 0, 100, "%")
    extraction = 100 - milling_loss(pol, fibre) * cane_fibre / cane_pol
    return within("extraction", extraction, 0, 100, "%")


def primary_extraction(
    juice: ArrayLike, pol: ArrayLike, cane: ArrayLike, cane_pol: ArrayLike
) -> Values:
    """Return pol in primary juice, % of pol in cane, from weights in one unit and pol %.

    Shapes broadcast. 58 to 75 is usual (common practice). Source: definition.
    """
    extracted = np.asarray(juice, float) * within("pol", pol, 0, 100, "%")
    return (
        100 * extracted / (np.asarray(cane, float) * within("pol of cane", cane_pol, 0, 100, "%"))
    )


def net_individual_extraction(cumulative: ArrayLike, axis: int = -1) -> Values:
    """Return what each mill took, % of the pol left by the mill before it.

    `cumulative` is the extraction up to each mill's bagasse, % of pol in cane, with the mills in
    their order along `axis`; the result has its shape. What they leave multiplies to what the
    tandem leaves. Raises OutOfRange outside 0 to 100. Source: common practice, closed by algebra.
    """
    left, before = _left_and_before(cumulative, axis)
    return np.moveaxis(100 * (1 - left / before), -1, axis)


def true_individual_extraction(
    cumulative: ArrayLike, axis: int = -1, mixed_juice_mills: int = 2
) -> Values:
    """Return what each mill took, % of the pol that entered it with bagasse and with juice.

    In compound imbibition a mill is fed the juice of the mill after it; the juices of the first
    `mixed_juice_mills` are mixed juice and go no further back. `cumulative`, shape and errors as in
    `net_individual_extraction`. Source: common practice, closed by balance from the last mill.
    """
    left, before = _left_and_before(cumulative, axis)
    brought = left - left[..., -1:]
    brought[..., : mixed_juice_mills - 1] = 0
    return np.moveaxis(100 * (before + brought - left) / (before + brought), -1, axis)


def _left_and_before(cumulative: ArrayLike, axis: int) -> tuple[Values, Values]:
    """Return pol left by each mill and pol left before it, % of pol in cane, mills last."""
    extraction = within("cumulative extraction", cumulative, 0, 100, "%")
    left = np.moveaxis(100 - extraction, axis, -1)
    return left, np.concatenate([np.full_like(left[..., :1], 100), left[..., :-1]], axis=-1)


def dry_milling_factor(all_juice: ArrayLike, crusher_juice: ArrayLike) -> Values:
    """Return brix of all juice over brix of crusher juice, in a test without imbibition.

    Brixes %; 0.95 to 0.99 is usual (common practice). Source: University of Florida extension;
    read. Brix of undiluted juice is that of crusher juice times this factor.
    """
    return within("brix", all_juice, 0, 100, "%") / within("brix", crusher_juice, 0, 100, "%")


def undiluted_in_juice(juice: ArrayLike, brix: ArrayLike, undiluted_brix: ArrayLike) -> Values:
    """Return the undiluted juice in a diluted one, in the unit of `juice` (t, or % cane).

    `brix` % of the juice, `undiluted_brix` % of undiluted juice; shapes broadcast. The rest of the
    juice is dilution. Source: ISSCT, System of Cane Sugar Factory Control; from memory.
    """
    brix = within("brix", brix, 0, 100, "%")
    undiluted_brix = within("brix of undiluted juice", undiluted_brix, 0, 100, "%")
    return np.asarray(juice, float) * brix / undiluted_brix


def dilution(juice: ArrayLike, brix: ArrayLike, undiluted_brix: ArrayLike) -> Values:
    """Return the water in a diluted juice, in the unit of `juice`; as `undiluted_in_juice`."""
    return np.asarray(juice, float) - undiluted_in_juice(juice, brix, undiluted_brix)


def dilution_on_undiluted_juice(brix: ArrayLike, undiluted_brix: ArrayLike) -> Values:
    """Return dilution % undiluted juice; as `undiluted_in_juice`. 15 to 40 is usual."""
    undiluted = undiluted_in_juice(1.0, brix, undiluted_brix)
    return 100 * (1 - undiluted) / undiluted


def dilution_on_imbibition(dilution: ArrayLike, imbibition: ArrayLike) -> Values:
    """Return dilution % imbibition, both in one unit.

    80 to 98 is usual; above 105 a dry-milling factor was left out (common practice).
    Source: definition.
    """
    return 100 * np.asarray(dilution, float) / within("imbibition", imbibition, 0, np.inf)


def press_water(fibre: ArrayLike, diffuser_fibre: ArrayLike, final_fibre: ArrayLike) -> Values:
    """Return the press water of dewatering, in the unit of `fibre` (t, or % cane).

    `diffuser_fibre` and `final_fibre` are fibre % of bagasse before and after dewatering mills;
    shapes broadcast. It is internal, and no part of imbibition. Source: mass balance.
    """
    before = within("fibre of diffuser bagasse", diffuser_fibre, 0, 100, "%")
    after = within("fibre of final bagasse", final_fibre, 0, 100, "%")
    return np.asarray(fibre, float) * (100 / before - 100 / after)


def _percent(name: str, values: ArrayLike) -> Values:
    return within(name, values, 0, 100, "%")
