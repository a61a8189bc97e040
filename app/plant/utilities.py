"""Streams and measures of boilers, power, water and the time account."""

from app.plant.grains import DAY, SHIFT, Amounts, Analyses, Titles, Weights

CAUSES = {
    "no_cane": "Lack of cane",
    "scheduled_stop": "Scheduled stops",
    "foreign_matter": "Foreign matter",
    "mechanical_stop": "Mechanical stops",
    "electrical_stop": "Electrical stops",
    "process_stop": "Process stops",
    "force_majeure": "Force majeure",
}

STREAMS: Titles = {
    **{name: (title, "time") for name, title in CAUSES.items()},
    "stopped": ("Stops of every cause", "time"),
    "steam": ("Steam", "boilers"),
    "bagasse_burnt": ("Bagasse burnt", "boilers"),
    "flue_gas": ("Flue gas", "boilers"),
    "air": ("Air to the boilers", "boilers"),
    "power": ("Power generated", "boilers"),
    "power_sold": ("Power sold", "boilers"),
    "power_bought": ("Power bought", "boilers"),
    "feed_water": ("Boiler feed water", "boilers"),
    "condensate": ("Process condensate", "water"),
    "effluent": ("Effluent", "water"),
    "condenser_inlet": ("Condenser water, in", "water"),
    "condenser_outlet": ("Condenser water, out", "water"),
}

WEIGHTS: Weights = {
    "steam": ("Steam raised", "t", 1, (250, 1400), (0, 12_000), SHIFT),
    "bagasse_burnt?": ("Bagasse burnt", "t", 1, (120, 800), (0, 8000), SHIFT),
    "power": ("Power generated", "MWh", 1, (10, 90), (0, 1500), SHIFT),
    "power_sold?": ("Power sold", "MWh", 1, (0, 60), (0, 1500), SHIFT),
    "power_bought?": ("Power bought", "MWh", 1, (0, 10), (0, 500), SHIFT),
    "condenser_outlet?": ("Condenser water", "t", 0, (5000, 40_000), (0, 400_000), SHIFT),
}

# usual hours of a shift in which the mill did stop for that cause
_USUAL_STOP = {"foreign_matter": (0, 1), "electrical_stop": (0, 2), "process_stop": (0, 2)}

_EFFLUENT: Amounts = {
    "effluent_volume?": (
        "effluent",
        "volume",
        "Effluent, volume",
        "m³",
        0,
        (100, 5000),
        (0, 100_000),
        SHIFT,
    ),
}

AMOUNTS: Amounts = _EFFLUENT | {
    f"{cause}_hours?": (
        cause, "hours", f"{title}, hours", "h", 2, _USUAL_STOP.get(cause, (0, 4)), (0, 13), SHIFT,
    )
    for cause, title in {**CAUSES, "stopped": "Stops of every cause"}.items()
}  # fmt: skip

ANALYSES: Analyses = {
    "steam": (SHIFT, "steam", {
        "pressure?": ((15, 65), (1, 120)), "temperature?": ((280, 520), (100, 600))}),
    "flue_gas": (SHIFT, "steam", {
        "temperature?": ((140, 220), (60, 500)), "oxygen?": ((3, 8), (0, 20.5))}),
    "air": (SHIFT, "steam", {"temperature?": ((20, 38), (-20, 60))}),
    "feed_water": (SHIFT, "steam", {
        "ph": ((8.5, 10.5), (2, 13)), "sugar_trace": ((0, 10), (0, 10_000)),
        "temperature?": ((85, 115), (5, 200))}),
    "condensate": (SHIFT, "steam", {"sugar_trace?": ((0, 20), (0, 10_000))}),
    "effluent": (SHIFT, "effluent_volume", {
        "ph?": ((5.5, 9), (1, 14)), "temperature?": ((20, 45), (0, 100)),
        "chemical_oxygen_demand?": ((500, 4000), (0, 500_000)),
        "biochemical_oxygen_demand?": ((200, 2500), (0, 300_000)),
        "suspended_matter?": ((50, 1000), (0, 200_000)),
        "sugar_trace?": ((0, 1000), (0, 200_000))}),
    "condenser_inlet": (DAY, "cane", {"sugar_trace?": ((0, 10), (0, 10_000))}),
    "condenser_outlet": (DAY, "cane", {"sugar_trace?": ((0, 20), (0, 10_000))}),
}  # fmt: skip
