"""Streams and measures of cane receiving, preparation, and the milling tandem or diffuser."""

from app.plant.grains import DAY, SHIFT, WEEK, Amounts, Analyses, Titles, Weights

MOST_MILLS = 7

STREAMS: Titles = {
    "cane": ("Cane", "cane_receiving"),
    "cane_received": ("Cane received", "cane_receiving"),
    "consignment_juice": ("Juice of consignments", "cane_receiving"),
    "cane_in_yard": ("Cane in the yard", "cane_receiving"),
    "prepared_cane": ("Prepared cane", "preparation"),
    "imbibition": ("Imbibition water", "milling"),
    "first_expressed_juice": ("First expressed juice", "milling"),
    "primary_juice": ("Primary juice", "milling"),
    "last_expressed_juice": ("Last expressed juice", "milling"),
    **{
        f"mill_{n}_{kind}": (f"Mill {n} {kind}", "milling")
        for n in range(1, MOST_MILLS)
        for kind in ("bagasse", "juice")
    },
    "diffuser_bed": ("Diffuser bed", "milling"),
    "diffuser_bagasse": ("Diffuser bagasse", "milling"),
    "press_water": ("Press water", "milling"),
    "bagasse": ("Bagasse", "milling"),
    "mixed_juice": ("Mixed juice", "milling"),
}

WEIGHTS: Weights = {
    "cane": ("Cane crushed", "t", 1, (600, 2600), (0, 20_000), SHIFT),
    "cane_received?": ("Cane received", "t", 1, (600, 2600), (0, 20_000), SHIFT),
    "cane_in_yard?": ("Cane in the yard", "t", 0, (50, 1500), (0, 50_000), DAY),
    "imbibition": ("Imbibition water", "t", 1, (150, 1000), (0, 10_000), SHIFT),
    "mixed_juice": ("Mixed juice", "t", 1, (600, 2800), (0, 25_000), SHIFT),
    "bagasse?": ("Bagasse", "t", 1, (150, 900), (0, 8000), SHIFT),
}

AMOUNTS: Amounts = {
    "crushing_hours": ("cane", "hours", "Hours crushing", "h", 2, (6, 12), (0, 13), SHIFT),
}

ANALYSES: Analyses = {
    "cane": (SHIFT, "cane", {
        "fibre?": ((12, 16), (5, 30)), "pol?": ((11, 15), (3, 25)),
        "brix?": ((13.5, 17.5), (5, 30)),
        "ash?": ((1, 3), (0, 20)), "extraneous_matter?": ((2, 12), (0, 60))}),
    "cane_received": (SHIFT, "cane_received", {
        "fibre?": ((12, 16), (5, 30)), "pol?": ((11, 15), (3, 25)),
        "brix?": ((13.5, 17.5), (5, 30)), "extraneous_matter?": ((2, 12), (0, 60))}),
    "consignment_juice": (SHIFT, "cane_received", {
        "brix?": ((16, 22), (5, 35)), "pol?": ((13, 20), (3, 33)),
        "reducing_sugars?": ((0.3, 1.5), (0, 10))}),
    "prepared_cane": (DAY, "cane", {"open_cells": ((82, 92), (30, 100))}),
    "imbibition": (SHIFT, "imbibition", {"temperature": ((60, 85), (5, 100))}),
    "first_expressed_juice": (SHIFT, "cane", {
        "brix": ((16, 22), (5, 35)), "pol": ((13, 20), (3, 33)), "purity?": ((80, 90), (40, 100)),
        "ph?": ((4.8, 5.8), (2, 13)), "reducing_sugars?": ((0.3, 1.5), (0, 10)),
        "ash?": ((0.2, 0.8), (0, 10))}),
    "primary_juice": (WEEK, "cane", {
        "brix?": ((15, 21), (5, 35)), "pol?": ((12, 19), (3, 33)),
        "purity?": ((80, 90), (40, 100))}),
    "last_expressed_juice": (SHIFT, "cane", {
        "brix": ((2, 6), (0, 20)), "pol": ((1.2, 4.8), (0, 18)), "purity?": ((66, 78), (30, 100))}),
    **{f"mill_{n}_bagasse": (WEEK, "cane", {
        "pol": ((1, 9), (0, 20)), "moisture": ((48, 66), (20, 85))}) for n in range(1, MOST_MILLS)},
    **{f"mill_{n}_juice": (WEEK, "cane", {
        "brix?": ((2, 20), (0, 35)), "pol?": ((1, 18), (0, 33)),
        "purity?": ((66, 88), (30, 100))}) for n in range(1, MOST_MILLS)},
    "diffuser_bed": (SHIFT, "cane", {"temperature?": ((75, 85), (20, 100))}),
    "diffuser_bagasse": (DAY, "cane", {
        "pol": ((0.6, 2.5), (0, 15)), "moisture": ((80, 84), (50, 95))}),
    "press_water": (DAY, "cane", {
        "brix": ((0.8, 3), (0, 15)), "pol": ((0.5, 2.4), (0, 15)),
        "purity?": ((60, 80), (30, 100))}),
    "bagasse": (SHIFT, "bagasse", {
        "pol": ((1.2, 2.6), (0, 15)), "moisture": ((48, 52), (20, 80)),
        "brix?": ((1.5, 4), (0, 20)),
        "purity?": ((66, 78), (30, 100)), "ash?": ((1.5, 4), (0, 30)),
        "sucrose?": ((1.2, 2.6), (0, 15))}),
    "mixed_juice": (SHIFT, "mixed_juice", {
        "brix": ((11.5, 16), (3, 30)), "pol": ((9.5, 14), (2, 28)),
        "purity?": ((79, 88), (40, 100)), "sucrose?": ((9.5, 14), (2, 28)),
        "ph": ((5.0, 5.8), (2, 13)), "suspended_solids": ((0.1, 0.9), (0, 10)),
        "temperature?": ((25, 45), (5, 100)), "colour?": ((8000, 25_000), (0, 200_000)),
        "reducing_sugars?": ((0.3, 1.2), (0, 10)), "ash?": ((0.2, 0.8), (0, 10)),
        "phosphate?": ((200, 400), (0, 3000))}),
}  # fmt: skip
