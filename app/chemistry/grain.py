"""Grain of sugar from a set of sieves: mean aperture and coefficient of variation.

The method belongs to the result: interpolation and a line on probability paper do not agree. Of
the methods that ICUMSA GS2-37 allows (Powers, Rens, RRSB, Butler; read), the line is Powers' (from
memory).
"""

from statistics import NormalDist
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.validity import within

Values = NDArray[np.float64]

_normal_quantile = np.vectorize(NormalDist().inv_cdf, otypes=[float])


class Grain(NamedTuple):
    """Mean aperture, in the unit of the sieves, and coefficient of variation, %."""

    mean_aperture: Values
    coefficient_of_variation: Values


def cumulative_retained(retained: ArrayLike) -> Values:
    """Return the share, %, of the sample that stays on each sieve and those above it.

    `retained`, of shape (..., sieves + 1), holds masses not below 0 in one unit: each sieve from
    the coarsest to the finest, then the pan. The result has shape (..., sieves).
    Source: definition.
    """
    so_far = within("mass on a sieve", retained, 0, np.inf).cumsum(axis=-1)
    return 100 * (so_far[..., :-1] / so_far[..., -1:])


def grain_by_interpolation(apertures: ArrayLike, retained: ArrayLike) -> Grain:
    """Return the grain, read by straight lines between neighbouring sieves.

    Mean aperture is where 50 % is retained; the coefficient is 100 × (aperture at 16 % - aperture
    at 84 %) ÷ (2 × mean aperture). `apertures`, shape (sieves,), fall from coarsest to finest;
    `retained` as in `cumulative_retained`; both results have its leading shape. Raises ValueError
    for apertures that do not fall, OutOfRange where the sieves do not bracket 16 and 84 %.
    Source: ICUMSA GS2-37 (that nothing is read beyond the sieves; read); the rest common practice.
    """
    sizes, shares = _bracketed(apertures, retained)
    coarse, mean, fine = (_aperture_at(level, sizes, shares) for level in (16, 50, 84))
    return Grain(mean, 100 * (coarse - fine) / (2 * mean))


def grain_by_probit(apertures: ArrayLike, retained: ArrayLike) -> Grain:
    """Return the grain from the least-squares line through the sieves on probability paper.

    The line gives a normal distribution: its mean is the mean aperture, its standard deviation,
    % of that, the coefficient of variation. Sieves that hold nothing or let nothing through are
    off the paper and left out; OutOfRange is raised for fewer than two others. Shapes, further
    errors and source as in `grain_by_interpolation`.
    """
    sizes, shares = _bracketed(apertures, retained)
    on_paper = (shares > 0) & (shares < 100)
    known = np.where(np.isnan(shares).any(axis=-1), np.nan, on_paper.sum(axis=-1))
    count = within("number of sieves that part the sample", known, 2, np.inf)
    probits = np.where(on_paper, _normal_quantile(np.where(on_paper, shares / 100, 0.5)), 0.0)
    middle = (on_paper * sizes).sum(axis=-1) / count
    apart = on_paper * (probits - (probits.sum(axis=-1) / count)[..., None])
    spread = -(apart * sizes).sum(axis=-1) / (apart**2).sum(axis=-1)
    mean = middle + spread * probits.sum(axis=-1) / count
    return Grain(mean, 100 * spread / mean)


def _bracketed(apertures: ArrayLike, retained: ArrayLike) -> tuple[Values, Values]:
    """Return sizes and shares; all shares of a sample that is not bracketed are no numbers."""
    sizes, shares = np.asarray(apertures, float), cumulative_retained(retained)
    if (np.diff(sizes) >= 0).any():
        raise ValueError("apertures are to fall from the coarsest sieve to the finest")
    coarsest = within("share on the coarsest sieve", shares[..., 0], 0, 16, "%")
    finest = within("share on all sieves", shares[..., -1], 84, 100, "%")
    inside = ~np.isnan(coarsest + finest)[..., None]
    return sizes, np.where(inside, shares, np.nan)


def _aperture_at(level: float, sizes: Values, shares: Values) -> Values:
    """Return the aperture on which `level` % stays, between the two sieves next to it."""
    below = np.clip((shares < level).sum(axis=-1), 1, len(sizes) - 1)
    left, right = (
        np.take_along_axis(shares, at[..., None], axis=-1)[..., 0] for at in (below - 1, below)
    )
    step = (level - left) / np.where(left == right, 1.0, right - left)
    return sizes[below - 1] + step * (sizes[below] - sizes[below - 1])
