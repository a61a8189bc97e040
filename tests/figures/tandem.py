"""A tandem made forwards, mill by mill in compound imbibition, and a diffuser with press water.

Flows of pol come from one system of equations for all mills at once.
"""

import numpy as np
from hypothesis import strategies as st

MIXED_JUICE_MILLS = 2


def tandems() -> st.SearchStrategy[dict[str, list[float]]]:
    """Of each mill: its true extraction, the moisture of its bagasse, the purity of its juice."""
    return st.integers(2, 7).flatmap(
        lambda mills: st.fixed_dictionaries(
            {
                "true": st.lists(st.floats(45, 70), min_size=mills, max_size=mills),
                "moisture": st.lists(st.floats(48, 62), min_size=mills - 1, max_size=mills - 1),
                "purity": st.lists(st.floats(66, 86), min_size=mills - 1, max_size=mills - 1),
            }
        )
    )


def pol_left(true: list[float]) -> tuple[np.ndarray, np.ndarray]:
    """Return pol in the bagasse and in the juice of each mill, per 1 of pol in cane.

    A mill is fed the bagasse of the mill before it and the juice of the mill after it; the juices
    of the first two are mixed juice, and the last is fed water.
    """
    size = len(true)
    share = np.array(true) / 100
    fed = np.zeros((size, 2 * size))  # what each mill is fed, by bagasses and then by juices
    for mill in range(size):
        if mill > 0:
            fed[mill, mill - 1] = 1
        if MIXED_JUICE_MILLS - 1 <= mill < size - 1:
            fed[mill, size + mill + 1] = 1
    cane = np.zeros(size)
    cane[0] = 1
    leaves = np.concatenate([1 - share, share])
    flows = np.linalg.solve(
        np.eye(2 * size) - leaves[:, np.newaxis] * np.tile(fed, (2, 1)), leaves * np.tile(cane, 2)
    )
    return flows[:size], flows[size:]


def bagasse_made(
    fibre: np.ndarray, pol: np.ndarray, moisture: float, purity: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return tonnes and pol % of a bagasse, from the tonnes of fibre and pol that it holds."""
    bagasse = (fibre + 100 * pol / purity) / (1 - moisture / 100)
    return bagasse, 100 * pol / bagasse


def mills_measured(
    fibre: np.ndarray, pol: np.ndarray, tandem: dict[str, list[float]]
) -> dict[str, np.ndarray]:
    """Return what is analysed of every mill but the last, in a tandem of exact instruments."""
    left, _ = pol_left(tandem["true"])
    found = {}
    of_mills = zip(left[:-1], tandem["moisture"], tandem["purity"], strict=True)
    for mill, (part, moisture, purity) in enumerate(of_mills, 1):
        _, percent = bagasse_made(fibre, pol * part, moisture, purity)
        found[f"mill_{mill}_bagasse_pol"] = percent
        found[f"mill_{mill}_bagasse_moisture"] = np.full_like(fibre, moisture)
        found[f"mill_{mill}_juice_brix"] = np.full_like(fibre, 12.0)
        found[f"mill_{mill}_juice_pol"] = np.full_like(fibre, 12.0 * purity / 100)
    return found
