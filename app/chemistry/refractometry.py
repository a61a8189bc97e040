"""Brix by refractometer: the refractive index of sucrose, and readings taken off 20 °C."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.chemistry.refractometer_tables import REFRACTIVE_INDEX, TEMPERATURE_CORRECTIONS
from app.chemistry.validity import within

Values = NDArray[np.float64]

_BRIX = np.arange(len(REFRACTIVE_INDEX), dtype=float)


def refractive_index(brix: ArrayLike) -> Values:
    """Return the refractive index at 20 °C and 589 nm of a sucrose solution of `brix` 0 to 85.

    Straight lines between the whole degrees of the printed table, any shape: exact at each, within
    0.000 01 of a table of tenths between, and with an exact inverse, which a fit has not. Above
    85 °Bx the scale is not official. Raises OutOfRange.

    Source: ICUMSA 1974 scale (SPS-3), read; the older scale of 1936 reads up to 0.0003 lower above
    75 °Bx, and tables of glucose syrup (ISO 1743) are another matter altogether.
    """
    return np.interp(within("brix", brix, 0, 85, "°Bx"), _BRIX, REFRACTIVE_INDEX)


def brix_from_refractive_index(index: ArrayLike) -> Values:
    """Return the brix of a solution of refractive `index` 1.33299 to 1.50398, 20 °C, 589 nm.

    Any shape; 0.000 01 of index is 0.004 to 0.007 °Bx. Raises OutOfRange. Source: the inverse of
    `refractive_index`.
    """
    found = within("refractive index", index, REFRACTIVE_INDEX[0], REFRACTIVE_INDEX[-1])
    return np.interp(found, REFRACTIVE_INDEX, _BRIX)


def temperature_correction(reading: ArrayLike, temperature: ArrayLike, *, table: str) -> Values:
    """Return what is to be added to a refractometer's `reading`, °Bx, taken at `temperature`, °C.

    `table` names the printed table, and there is no default, for the two differ by up to 0.04
    and must not be mixed within a series; shapes broadcast, straight lines between the cells.

    - "1936": international table, 0 to 70 °Bx, 10 to 30 °C (AOAC 932.14C). Rows up to 21 °C read
      in a state standard, those above from memory.
    - "1974": basis of ICUMSA 1974, 10 to 75 °Bx, 10 to 20 °C (OIV-MA-AS2-02, Table I, whose rows
      up to 17 °C were read; nothing at 20 °C by definition). What it prints above 20 °C was not
      seen and is not guessed.
    - "1974 cold": its rows of 5 to 9 °C, up to 30 °Bx, which do not join those above; read.

    The instrument must not compensate on its own. Raises OutOfRange, and KeyError for a table of
    another name.
    """
    cells = TEMPERATURE_CORRECTIONS[table]
    t = within("temperature", temperature, cells.temperatures[0], cells.temperatures[-1], "°C")
    brix = within("refractometer brix", reading, cells.readings[0], cells.readings[-1], "°Bx")
    row, down = _cell(t, cells.temperatures)
    column, across = _cell(brix, cells.readings)
    cold = cells.added[row, column] * (1 - across) + cells.added[row, column + 1] * across
    warm = cells.added[row + 1, column] * (1 - across) + cells.added[row + 1, column + 1] * across
    return cold * (1 - down) + warm * down


def brix_at_20(reading: ArrayLike, temperature: ArrayLike, *, table: str) -> Values:
    """Return the brix at 20 °C of a refractometer's `reading`; as `temperature_correction`."""
    correction = temperature_correction(reading, temperature, table=table)
    return np.asarray(reading, dtype=float) + correction


def _cell(values: Values, edges: Values) -> tuple[NDArray[np.intp], Values]:
    """Return the edge below each value and how far on the way to the next it lies, 0 to 1."""
    below = np.clip(np.searchsorted(edges, values, side="right") - 1, 0, len(edges) - 2)
    return below, (values - edges[below]) / (edges[below + 1] - edges[below])
