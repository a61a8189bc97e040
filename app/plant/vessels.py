"""Vessels whose contents are taken as stock in process."""

VESSELS = {
    "juice_tanks": "Juice tanks and clarifiers",
    "syrup_tanks": "Syrup tanks",
    "a_pans": "A pans and crystallizers",
    "b_pans": "B pans and crystallizers",
    "c_pans": "C pans and crystallizers",
    "a_molasses_tanks": "A molasses tanks",
    "b_molasses_tanks": "B molasses tanks",
    "magma_mixers": "Magma mixers and seed",
    "remelt_tank": "Remelt tank",
}
