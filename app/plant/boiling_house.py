"""Streams and measures of pans, centrifugals, sugar, final molasses and a back-end refinery."""

from app.plant.grains import DAY, SHIFT, WEEK, Amounts, Analyses, Range, Titles, Weights

STREAMS: Titles = {
    "a_massecuite": ("A massecuite", "pans_and_crystallizers"),
    "b_massecuite": ("B massecuite", "pans_and_crystallizers"),
    "c_massecuite": ("C massecuite", "pans_and_crystallizers"),
    "a_mother_liquor": ("A mother liquor", "pans_and_crystallizers"),
    "b_mother_liquor": ("B mother liquor", "pans_and_crystallizers"),
    "c_mother_liquor_at_strike": ("C mother liquor at strike", "pans_and_crystallizers"),
    "c_mother_liquor": ("C mother liquor", "pans_and_crystallizers"),
    "a_molasses": ("A molasses", "centrifugals"),
    "b_molasses": ("B molasses", "centrifugals"),
    "b_magma": ("B magma", "magma_and_remelt"),
    "c_magma": ("C magma", "magma_and_remelt"),
    "remelt": ("Remelt", "magma_and_remelt"),
    "sugar": ("Sugar", "drying_and_packing"),
    "sugar_dispatched": ("Sugar dispatched", "drying_and_packing"),
    "sugar_in_store": ("Sugar in the store", "drying_and_packing"),
    "final_molasses": ("Final molasses", "final_molasses"),
    "raw_sugar_melted": ("Raw sugar melted", "refinery"),
    "melt_liquor": ("Melt liquor", "refinery"),
    "fine_liquor": ("Fine liquor", "refinery"),
    "refined_sugar": ("Refined sugar", "refinery"),
    "refinery_return": ("Run-off returned to the raw house", "refinery"),
}

WEIGHTS: Weights = {
    "sugar": ("Sugar bagged", "t", 1, (40, 320), (0, 3000), SHIFT),
    "sugar_dispatched?": ("Sugar dispatched", "t", 1, (0, 600), (0, 10_000), SHIFT),
    "sugar_in_store?": ("Sugar in the store, counted", "t", 1, (0, 60_000), (0, 500_000), DAY),
    "final_molasses": ("Final molasses", "t", 1, (60, 320), (0, 3000), DAY),
    "raw_sugar_melted": ("Raw sugar melted", "t", 1, (40, 320), (0, 3000), SHIFT),
    "refined_sugar": ("Refined sugar bagged", "t", 1, (40, 320), (0, 3000), SHIFT),
    "refinery_return": ("Run-off returned to the raw house", "t", 1, (2, 60), (0, 1000), SHIFT),
}

# the usual volume struck in a shift, m³
_STRUCK: dict[str, Range] = {"a": (60, 600), "b": (25, 250), "c": (15, 200)}

_HELD: Range = (0, 5000)

AMOUNTS: Amounts = {
    f"{grade}_massecuite_volume?": (
        f"{grade}_massecuite", "volume", f"{grade.upper()} massecuite struck", "m³", 1,
        usual, _HELD, SHIFT,
    )
    for grade, usual in _STRUCK.items()
} | {
    "remelt_volume?": ("remelt", "volume", "Remelt, volume", "m³", 1, (10, 150), (0, 2000), SHIFT),
}  # fmt: skip

_WHITE = ((30, 300), (0, 50_000))

ANALYSES: Analyses = {
    "a_massecuite": (SHIFT, "cane", {
        "brix": ((92, 93.5), (75, 100)), "purity": ((82, 88), (50, 100)),
        "pol?": ((75, 82), (35, 100)),
        "temperature?": ((60, 68), (20, 100))}),
    "b_massecuite": (SHIFT, "cane", {
        "brix": ((94, 95.5), (75, 100)), "purity": ((70, 76), (40, 100)),
        "pol?": ((65, 73), (30, 100)),
        "temperature?": ((62, 68), (20, 100))}),
    "c_massecuite": (SHIFT, "cane", {
        "brix": ((95.5, 97.5), (75, 100)), "purity": ((54, 61), (30, 100)),
        "pol?": ((51, 60), (25, 100)),
        "temperature?": ((62, 70), (20, 100)), "cooled_temperature?": ((40, 45), (20, 90)),
        "reheated_temperature?": ((52, 56), (20, 90))}),
    "a_mother_liquor": (WEEK, "cane", {"purity?": ((62, 71), (30, 100))}),
    "b_mother_liquor": (WEEK, "cane", {"purity?": ((44, 53), (20, 100))}),
    "c_mother_liquor_at_strike": (WEEK, "cane", {"purity?": ((32, 42), (15, 80))}),
    "c_mother_liquor": (WEEK, "cane", {"purity?": ((29, 38), (15, 80))}),
    "a_molasses": (SHIFT, "cane", {
        "brix": ((68, 85), (40, 100)), "purity": ((64, 72), (30, 100)),
        "pol?": ((45, 60), (15, 95))}),
    "b_molasses": (SHIFT, "cane", {
        "brix": ((68, 88), (40, 100)), "purity": ((46, 54), (20, 100)),
        "pol?": ((32, 46), (10, 95))}),
    "b_magma": (SHIFT, "cane", {
        "brix": ((88, 94), (60, 100)), "purity": ((91, 95), (60, 100)),
        "pol?": ((80, 90), (40, 100))}),
    "c_magma": (SHIFT, "cane", {
        "brix": ((88, 94), (60, 100)), "purity": ((79, 86), (50, 100)),
        "pol?": ((70, 81), (30, 100))}),
    "remelt": (SHIFT, "cane", {
        "brix": ((58, 70), (30, 85)), "purity": ((84, 94), (50, 100)),
        "pol?": ((50, 64), (20, 85)), "temperature?": ((55, 75), (10, 100))}),
    "sugar": (SHIFT, "sugar", {
        "pol": ((97.5, 99.4), (80, 100)), "moisture": ((0.1, 0.6), (0, 10)),
        "colour": ((800, 4000), (0, 50_000)), "purity?": ((98, 99.8), (80, 100)),
        "reducing_sugars?": ((0.1, 0.6), (0, 10)), "ash?": ((0.1, 0.5), (0, 10)),
        "temperature": ((28, 38), (5, 90)), "sucrose?": ((97.5, 99.4), (80, 100)),
        "sulphur_dioxide?": ((0, 70), (0, 2000)),
        "grain_size?": ((0.6, 0.95), (0.1, 3)), "grain_variation?": ((25, 38), (1, 100))}),
    "final_molasses": (DAY, "final_molasses", {
        "brix": ((80, 90), (50, 100)), "pol": ((26, 36), (10, 60)), "purity?": ((32, 40), (15, 70)),
        "true_purity?": ((36, 45), (15, 75)), "reducing_sugars": ((8, 20), (0, 60)),
        "ash": ((8, 18), (0, 40)), "temperature?": ((35, 50), (5, 100)),
        "sucrose?": ((30, 38), (10, 60))}),
    "raw_sugar_melted": (SHIFT, "raw_sugar_melted", {
        "pol": ((97.5, 99.6), (80, 100)), "moisture": ((0.1, 0.6), (0, 10)),
        "colour": ((800, 4000), (0, 50_000)), "reducing_sugars?": ((0.1, 0.6), (0, 10)),
        "ash?": ((0.1, 0.5), (0, 10))}),
    "melt_liquor": (SHIFT, "raw_sugar_melted", {
        "brix?": ((60, 70), (30, 85)), "colour?": ((700, 4000), (0, 50_000))}),
    "fine_liquor": (SHIFT, "raw_sugar_melted", {
        "brix?": ((58, 68), (30, 85)), "colour": ((100, 800), (0, 50_000))}),
    "refined_sugar": (SHIFT, "refined_sugar", {
        "pol": ((99.7, 99.98), (95, 100)), "moisture": ((0.02, 0.06), (0, 2)),
        "colour": _WHITE, "ash?": ((0.01, 0.04), (0, 2))}),
    "refinery_return": (SHIFT, "refinery_return", {
        "brix": ((65, 80), (30, 100)), "pol": ((50, 70), (10, 95)),
        "purity?": ((75, 90), (30, 100))}),
}  # fmt: skip
