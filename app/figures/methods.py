"""Conventions of laboratory methods: how a reading becomes a result."""

from app.figures.conventions import Convention, convention
from app.figures.sources import COMMON

for _declared in (
    Convention(
        "refractometer_correction", "Refractometer readings are corrected to 20 °C",
        "by the instrument", "", COMMON,
        "By the instrument itself, or by one of two tables that differ by up to 0.04; the "
        "temperature of the reading is then entered beside it. The table of 1974 ends at 19 °C.",
        choices=("by the instrument", "by the table of 1936", "by the table of 1974"),
    ),
    Convention(
        "juice_clarified", "Juice for the polarimeter is clarified", "dry", "", COMMON,
        "Dry powder adds no volume; wet lead fills 100 mL to 110, and the reading counts for 1.1 "
        "times. Lead salts are poison and a waste of their own: local codes come first.",
        choices=("dry", "wet"),
    ),
    Convention(
        "syrup_dilution", "Dilution of syrup, by weight", 0.0, "times", COMMON,
        "Sample and water over sample; the readings are of the diluted solution. 0: not stated, "
        "and no result follows.",
        low=0.0, high=20.0,
    ),
    Convention(
        "massecuite_dilution", "Dilution of massecuite, magma and molasses, by weight", 0.0,
        "times", COMMON,
        "Sample and water over sample; the readings are of the diluted solution. 0: not stated, "
        "and no result follows.",
        low=0.0, high=20.0,
    ),
    Convention(
        "bagasse_water", "Water per 100 of bagasse in the disintegrator", 1000.0, "% bagasse",
        COMMON, "Water weighed in with the sample.", low=200.0, high=3000.0,
    ),
    Convention(
        "bagasse_extract", "Liquid that the pol of bagasse is spread in",
        "water and moisture", "", COMMON,
        "Dissolved solids and brix-free water make 1 % of the result between them.",
        choices=("water and moisture", "less brix-free water"),
    ),
    Convention(
        "cake_insolubles", "Volume of insolubles of 50 g of filter cake", 7.69, "mL", COMMON,
        "In a flask of 200 mL; with 7.69 mL the reading is the pol.", low=0.0, high=30.0,
    ),
    Convention(
        "polarization_coefficient", "Sugar polarization, correction to 20 °C", 0.0, "per K",
        COMMON,
        "0 where the solution is made up and read at 20 °C; it depends on flask and instrument.",
        low=-0.001, high=0.001,
    ),
):  # fmt: skip
    convention(_declared)
