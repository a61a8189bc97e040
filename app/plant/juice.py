"""Streams and measures of clarification, filters, sulphitation and evaporation."""

from app.plant.grains import DAY, SHIFT, WEEK, Analyses, Titles, Weights

MOST_EFFECTS = 6

STREAMS: Titles = {
    "sulphited_juice": ("Sulphited juice", "clarification"),
    "limed_juice": ("Limed juice", "clarification"),
    "clear_juice": ("Clear juice", "clarification"),
    "mud": ("Mud underflow", "clarification"),
    "filter_wash": ("Filter wash water", "clarification"),
    "filtrate": ("Filtrate", "clarification"),
    "filter_cake": ("Filter cake", "clarification"),
    "lime": ("Lime", "clarification"),
    "sulphur": ("Sulphur burnt", "clarification"),
    "phosphoric_acid": ("Phosphoric acid", "clarification"),
    "flocculant": ("Flocculant", "clarification"),
    "bagacillo": ("Bagacillo", "clarification"),
    **{
        f"effect_{n}": (f"Effect {n}", "evaporation") for n in range(1, MOST_EFFECTS + 1)
    },
    "evaporator_steam": ("Evaporator steam", "evaporation"),
    "syrup": ("Syrup", "evaporation"),
    "clarified_syrup": ("Clarified syrup", "syrup_clarification"),
}  # fmt: skip

WEIGHTS: Weights = {
    "clear_juice?": ("Clear juice", "t", 1, (600, 2800), (0, 25_000), SHIFT),
    "filter_wash?": ("Filter wash water", "t", 1, (20, 200), (0, 3000), SHIFT),
    "filter_cake": ("Filter cake", "t", 1, (15, 150), (0, 2000), SHIFT),
    "lime": ("Lime", "t", 3, (0.4, 2.6), (0, 40), SHIFT),
    "sulphur": ("Sulphur burnt", "t", 3, (0.3, 1.5), (0, 20), SHIFT),
    "phosphoric_acid?": ("Phosphoric acid, as P₂O₅", "kg", 1, (20, 400), (0, 5000), SHIFT),
    "flocculant?": ("Flocculant", "kg", 2, (1, 12), (0, 200), SHIFT),
    "bagacillo?": ("Bagacillo", "t", 2, (3, 20), (0, 300), SHIFT),
    "evaporator_steam?": ("Steam to the evaporator", "t", 1, (200, 900), (0, 10_000), SHIFT),
}

ANALYSES: Analyses = {
    "sulphited_juice": (SHIFT, "mixed_juice", {
        "ph": ((7.0, 7.2), (2, 13)), "temperature?": ((70, 75), (20, 115))}),
    "limed_juice": (SHIFT, "mixed_juice", {
        "ph": ((7.4, 8.2), (2, 13)), "temperature": ((98, 105), (20, 115))}),
    "clear_juice": (SHIFT, "cane", {
        "brix": ((12, 16), (3, 30)), "pol": ((10, 14), (2, 28)), "purity?": ((80, 89), (40, 100)),
        "ph": ((6.9, 7.3), (2, 13)), "colour?": ((6000, 18_000), (0, 200_000)),
        "reducing_sugars?": ((0.3, 1.2), (0, 10)), "ash?": ((0.2, 0.8), (0, 10)),
        "turbidity?": ((5, 60), (0, 10_000)), "calcium_oxide?": ((500, 1100), (0, 10_000)),
        "sulphur_dioxide?": ((200, 500), (0, 5000))}),
    "mud": (DAY, "cane", {"suspended_solids?": ((5, 10), (0, 30))}),
    "filtrate": (SHIFT, "cane", {
        "brix": ((8, 15), (1, 30)), "pol": ((6, 13), (0.5, 28)), "purity?": ((76, 88), (40, 100)),
        "suspended_solids?": ((0.5, 2), (0, 15))}),
    "filter_cake": (SHIFT, "filter_cake", {
        "pol": ((0.8, 2.5), (0, 20)), "moisture": ((70, 78), (20, 95)),
        "suspended_solids?": ((15, 28), (0, 60)), "sucrose?": ((0.8, 2.5), (0, 20))}),
    "lime": (WEEK, "lime", {"available?": ((75, 95), (10, 100))}),
    **{f"effect_{n}": (DAY, "cane", {
        "brix?": ((15, 68), (3, 85)), "temperature?": ((50, 115), (30, 140)),
        "vapour_temperature?": ((50, 115), (30, 140))}) for n in range(1, MOST_EFFECTS + 1)},
    "evaporator_steam": (SHIFT, "cane", {"temperature?": ((110, 130), (80, 200))}),
    "syrup": (SHIFT, "cane", {
        "brix": ((60, 68), (30, 85)), "pol": ((50, 60), (15, 83)), "purity?": ((80, 89), (40, 100)),
        "ph": ((6.0, 6.8), (2, 13)), "colour?": ((7000, 20_000), (0, 200_000)),
        "reducing_sugars?": ((1.5, 5), (0, 30)), "ash?": ((1, 4), (0, 20)),
        "sulphur_dioxide?": ((200, 800), (0, 5000))}),
    "clarified_syrup": (SHIFT, "cane", {
        "brix": ((58, 68), (30, 85)), "pol": ((48, 60), (15, 83)), "purity?": ((80, 89), (40, 100)),
        "ph?": ((5.8, 6.8), (2, 13)), "colour?": ((5000, 16_000), (0, 200_000)),
        "turbidity?": ((5, 60), (0, 10_000))}),
}  # fmt: skip
