"""Recomputes the sugar account of a season from the CSV files of its archive alone.

    python3 recompute.py [ARCHIVE.zip|FOLDER]      without one: the folder that this file lies in

It needs Python 3.9 or later and nothing else. Exit 0: every total equals the printed one in every
digit. 1: one differs. 2: the archive cannot be recomputed, and it says why.
"""

from __future__ import annotations

import csv
import io
import math
import sys
import zipfile
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path
from typing import Any

Row = dict[str, Any]
Tables = dict[str, list[dict[str, str]]]
NONE = math.nan  # no value; whatever follows from it has none either
# Tonnes that are summed over shifts, and the results they ask for: where one is taken once a day,
# the tonnes stand on the last shift of the day.
SUMS = {
    **{name: name for name in ("cane", "imbibition", "filter_cake", "sugar", "final_molasses")},
    "mixed_juice": "mixed_juice bagasse", "fibre_in_cane": "", "pol_in_bagasse": "bagasse_pol",
    "bagasse": "bagasse mixed_juice bagasse_moisture bagasse_pol cane_fibre",
    "pol_in_mixed_juice": "mixed_juice_brix mixed_juice_pol mixed_juice_purity",
    "pol_in_filter_cake": "filter_cake_pol", "pol_in_sugar_bagged": "sugar_pol",
    "pol_in_final_molasses_weighed": "final_molasses_brix final_molasses_pol final_molasses_purity",
}  # fmt: skip
# The choices that this program knows.
KNOWN = {
    "bagasse_weight": ["weighed", "weighed, else by difference", "by difference"],
    "mixed_juice_weight": ["weighed", "by difference"],
    "residual_juice": ["last expressed juice", "fixed"],
    "suspended_solids": ["left in juice", "counted as fibre"],
    "sugar_accounted": ["bagged", "made and estimated"],
}
# Vessels of stock: whether air is taken out, and what gives the purity of their mother liquor.
VESSELS = {
    **dict.fromkeys(("juice_tanks", "syrup_tanks", "remelt_tank"), (False, "")),
    **dict.fromkeys(("a_molasses_tanks", "b_molasses_tanks"), (True, "")),
    **dict.fromkeys(("b_pans", "magma_mixers"), (True, "standing_b_molasses_purity")),
    "a_pans": (True, "standing_a_molasses_purity"), "c_pans": (True, "standing_molasses_purity"),
}  # fmt: skip
# Density of sucrose solutions (ICUMSA SPS-4): powers of the mass fraction of sucrose from 1 on,
# each by powers of (temperature - 20) / 100; of water, by powers of the temperature; of crystals.
SUCROSE = (
    (385.1761, -46.2720, 59.7712, -47.2207, 18.3184),
    (135.3705, -7.1720, 7.2491, -21.6977, 12.3081),
    (40.9299, 1.1597, 12.3630, 27.6301), (-3.9643, 5.1126, -35.4791), (13.4853, 17.5254),
    (-17.2890,),
)  # fmt: skip
WATER = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)
CRYSTAL = 1588.0


def ratio(part: float, whole: float) -> float:
    """Return one over another; none where that is nothing."""
    return part / whole if whole else NONE


def first(*values: float) -> float:
    """Return the first value that there is."""
    return next((value for value in values if math.isfinite(value)), NONE)


def tonnes(v: Row, c: dict[str, str]) -> Row:
    """Return the tonnes of one shift, from its results `v` by the conventions `c` of its day."""
    both = v["cane"] + v["imbibition"]
    juice_weighed = c["mixed_juice_weight"] == "weighed"
    scale = v["bagasse"] if c["bagasse_weight"].startswith("weighed") else NONE
    differs = juice_weighed and c["bagasse_weight"] != "weighed"
    bagasse = first(scale, both - v["mixed_juice"] if differs else NONE)
    juice = v["mixed_juice"] if juice_weighed else both - scale
    counted = c["suspended_solids"] == "counted as fibre"
    solids = juice * v["mixed_juice_suspended_solids"] / 100 if counted else 0.0
    purity = float(c["residual_juice_fixed_purity"])  # of the juice left in bagasse
    if c["residual_juice"] == "last expressed juice":
        pol, brix = v["last_expressed_juice_pol"], v["last_expressed_juice_brix"]
        purity = first(100 * ratio(pol, brix), v["last_expressed_juice_purity"])
    pol_in_bagasse = bagasse * v["bagasse_pol"] / 100
    brix_in_bagasse = first(bagasse * v["bagasse_brix"] / 100, 100 * ratio(pol_in_bagasse, purity))
    return {
        **v, "mixed_juice": juice, "bagasse": bagasse,  # the other weights, as they were entered
        "fibre_in_cane": bagasse * (1 - v["bagasse_moisture"] / 100) - brix_in_bagasse + solids,
        "pol_in_mixed_juice": pol_in(juice - solids, "mixed_juice", v),
        "pol_in_bagasse": pol_in_bagasse,
        "pol_in_filter_cake": v["filter_cake"] * v["filter_cake_pol"] / 100,
        "pol_in_sugar_bagged": v["sugar"] * v["sugar_pol"] / 100,
        "pol_in_final_molasses_weighed": pol_in(v["final_molasses"], "final_molasses", v),
    }  # fmt: skip


def pol_in(weight: float, stream: str, v: Row) -> float:
    """Return tonnes of pol by its analysis, else by brix and purity."""
    brix, pol, purity = (v[f"{stream}_{part}"] for part in ("brix", "pol", "purity"))
    return weight * first(pol, brix * purity / 100) / 100


def with_estimates(rows: list[Row], weights: list[Row], measures: Row) -> list[Row]:
    """Return the results of all shifts, an analysis that lacks made the mean of its day or week.

    The mean is weighted by what carries it. Brix and pol are not guessed both where purity stands.
    """
    whole = [dict(row) for row in rows]
    for name, measure in measures.items():
        carrier = measure["carrier"]
        if carrier not in weights[0] or all(math.isnan(row[name]) for row in rows):
            continue
        parts: Row = {row[span]: [] for row in rows for span in ("day", "week")}
        for row, weight in zip(rows, weights):
            if math.isfinite(row[name]) and math.isfinite(weight[carrier]):
                parts[row["day"]].append((weight[carrier], row[name]))
                parts[row["week"]].append((weight[carrier], row[name]))
        for row, weight in zip(whole, weights):
            if math.isnan(row[name]):
                nothing = 1.0 if weight[carrier] == 0 else NONE  # of nothing, any number will do
                row[name] = first(mean(parts[row["day"]]), mean(parts[row["week"]]), nothing)
    for row, name in spoken_against(rows, whole, measures):
        row[name] = NONE
    return whole


def spoken_against(rows: list[Row], whole: list[Row], measures: Row) -> list[tuple[Row, str]]:
    """Return which guesses a purity speaks against: of brix and pol both, where it was entered."""
    found = []
    for stream, _, prop in (name.rpartition("_") for name in measures):
        if prop in ("brix", "pol"):
            name, other = f"{stream}_{prop}", f"{stream}_{'pol' if prop == 'brix' else 'brix'}"
            for row, made in zip(rows, whole):
                stands = row.get(f"{stream}_purity", NONE) + made.get(other, NONE)
                if math.isnan(row[name]) and math.isfinite(stands):
                    found.append((made, name))
    return found


def mean(pairs: list[tuple[float, float]]) -> float:
    """Return the mean of values, each with its weight before it; none of nothing."""
    return ratio(math.fsum(w * value for w, value in pairs), math.fsum(w for w, _ in pairs))


def total(sheets: list[tuple[float, float, bool, float]], needed: float) -> float:
    """Return the sum of tonnes made, else guessed; none where less was analysed than is needed."""
    filled = [first(made, guess, NONE if due else 0.0) for made, guess, due, _ in sheets]
    real = (abs(v) * sheet[3] for v, sheet in zip(filled, sheets) if math.isfinite(sheet[0]))
    analysed, whole = math.fsum(real), math.fsum(map(abs, filled))
    return NONE if whole > 0 and 100 * analysed / whole < needed else math.fsum(filled)


def density(brix: float, temperature: float) -> float:
    """Return the density of a sucrose solution, kg/m³; none outside 0 to 100 of either."""
    if not (0 <= brix <= 100 and 0 <= temperature <= 100):
        return NONE
    water = sum(a * temperature**n for n, a in enumerate(WATER)) / (1 + 16.887236e-3 * temperature)
    sucrose, warmer = brix / 100, (temperature - 20) / 100
    powers = ((a, power, n) for power, terms in enumerate(SUCROSE, 1) for n, a in enumerate(terms))
    return water + sum(a * sucrose**power * warmer**n for a, power, n in powers)


def stock(v: Row, c: dict[str, str]) -> tuple[float, float]:
    """Return the pol held in process, and how much of it will become sugar by the s-j-m rule."""
    sugar, molasses = float(c["standing_sugar_purity"]), float(c["standing_molasses_purity"])
    held, recoverable = [], []
    for vessel, (airy, liquor) in VESSELS.items():
        parts = ("volume", "brix", "temperature", "purity")
        volume, brix, temperature, purity = (v[f"{vessel}_{part}"] for part in parts)
        kilograms = density(brix, temperature)
        if liquor and math.isfinite(purity):  # volumes of crystals and of mother liquor add
            mother = float(c[liquor])
            crystal = brix * (max(purity, mother) - mother) / (100 - mother)
            between = density(100 * ratio(brix - crystal, 100 - crystal), temperature)
            volume_of_1 = crystal / 100 / CRYSTAL + (1 - crystal / 100) / between
            kilograms = first(1 / volume_of_1, kilograms)
        air = float(c["stock_air"]) if airy else 0.0
        solids = volume * kilograms * (1 - air / 100) / 1000 * brix / 100 if volume else 0.0
        share = min(max((purity - molasses) / (sugar - molasses), 0.0), 1.0)
        held.append(solids * purity / 100 if solids else 0.0)
        recoverable.append(solids * share * max(purity, sugar) / 100 if solids else 0.0)
    return math.fsum(held), math.fsum(recoverable)


def account(t: Row, closing: tuple[float, float], c: dict[str, str]) -> Row:
    """Return the account from the totals of its tonnes and the closing stock; none opened it."""
    bagged, weighed = t.pop("pol_in_sugar_bagged"), t.pop("pol_in_final_molasses_weighed")
    held, recoverable = closing if c["sugar_accounted"] == "made and estimated" else (0.0, 0.0)
    cane = t["pol_in_cane"] = t["pol_in_mixed_juice"] + t["pol_in_bagasse"]
    sugar = t["pol_in_sugar"] = bagged + recoverable
    t["pol_in_final_molasses"] = weighed + held - recoverable
    found = {place: t[f"pol_in_{place}"] for place in ("bagasse", "filter_cake", "final_molasses")}
    found["undetermined"] = t["undetermined_pol"] = cane - sugar - sum(found.values())
    t["pol_extraction"] = 100 * ratio(t["pol_in_mixed_juice"], cane)
    t["boiling_house_recovery"] = 100 * ratio(sugar, t["pol_in_mixed_juice"])
    t["overall_recovery"] = 100 * ratio(sugar, cane)
    return {**t, **{f"{place}_loss": 100 * ratio(pol, cane) for place, pol in found.items()}}


def recompute(tables: Tables) -> Row:
    """Return the account of a season; ValueError for a choice that is not known here."""
    measures = {row["name"]: row for row in tables["measures"]}
    rows = sheets(tables, measures)
    in_force = [conventions(tables, row["day"]) for row in rows]
    made = [tonnes(row, c) for row, c in zip(rows, in_force)]
    guessed = [tonnes(row, c) for row, c in zip(with_estimates(rows, made, measures), in_force)]
    until = max(row["day"] for row in tables["figures"] if row["record"] == "total")
    size = sum(row["day"] <= until for row in rows)  # the season to its last day that was over
    c, totals = in_force[size - 1], {}
    for name, asked in SUMS.items():
        owed = [v["ends"] or v["day"] not in map(v["of"].get, asked.split()) for v in rows[:size]]
        shares = [min((v["shares"].get(n, 1.0) for n in asked.split()), default=1.0) for v in rows]
        halves = ([t[name] for t in half] for half in (made, guessed))
        totals[name] = total(list(zip(*halves, owed, shares)), float(c["coverage_needed"]))
    return account(totals, stock(rows[size - 1], c), c)


def sheets(tables: Tables, measures: Row) -> list[Row]:
    """Return the results of every shift in order, of those that have no sheet too."""
    samples: Row = {}
    for row in tables["entries"]:
        if row["status"] == "standing" and row["value"]:
            place = f"{row['day']}-{row['shift']}-{row['measure']}"
            of_place = samples.setdefault(place, {})
            of_place.setdefault(int(row["sample"]), []).append(float(row["value"]))
    written = sorted((row["day"], int(row["number"])) for row in tables["shifts"])
    spans = ((f"{r['day']}-{r['number']}", r["begins_at"], r["ends_at"]) for r in tables["shifts"])
    at = datetime.fromisoformat
    lasted = ((key, at(ends[:19]) - at(begins[:19])) for key, begins, ends in spans)
    hours = {key: lasting.total_seconds() / 3600 for key, lasting in lasted}
    shifts, rows = int(tables["mill"][0]["shifts_a_day"]), {}
    day, number = date.fromisoformat(written[0][0]), 1
    while (str(day), number) <= written[-1]:
        said = {row["measure"]: row for row in dated(tables.get("samplings", []), str(day))}
        taken, key = {**measures, **said}, f"{day}-{number}"
        off = {row["name"]: row["in_use"] for row in dated(tables.get("parts", []), str(day))}
        empty = {f"{name}_volume": 0.0 for name, used in off.items() if used == "false"}
        lasts = hours.get(key, NONE)
        found = {n: result(taken[n], samples.get(f"{key}-{n}", {}), lasts) for n in measures}
        stands: Row = {"shift": key, "day": str(day), "week": day.isocalendar()[:2]}
        of = {name: stands[how["grain"]] for name, how in taken.items()}  # what a result stands for
        ends = number == shifts or (str(day), number) == written[-1]
        rows[key] = {**found, **empty, **stands, "of": of, "ends": ends, "shares": {}}
        day, number = day + timedelta(days=number // shifts), number % shifts + 1
    read_in(rows, tables["figures"], "book")
    stand_for_all(list(rows.values()), measures)
    read_in(rows, tables["figures"], "reading")
    return list(rows.values())


def read_in(rows: Row, figures: list[dict[str, str]], kind: str) -> None:
    """Let results stand that follow from other books or from readings, where none was typed."""
    for figure in (figure for figure in figures if figure["record"] == kind):
        row, name = rows[f"{figure['day']}-{figure['shift']}"], figure["name"]
        row[name], row["shares"][name] = float(figure["value"]), float(figure.get("coverage") or 1)


def result(taken: dict[str, str], samples: dict[int, list[float]], hours: float) -> float:
    """Return what the samples of a shift make, by the rule that archives since 0.2 tell."""
    values = [math.fsum(tests) / len(tests) for _, tests in sorted(samples.items())] or [NONE]
    rule, total = taken.get("rule"), round(math.fsum(values), 8)
    if samples and rule == "sum" and 0 < len(values) * float(taken["every"]) < hours:
        return NONE  # an hour that was not weighed is not nothing
    return values[-1] if rule == "last" else total / (rule == "sum" or len(values))


def stand_for_all(rows: list[Row], measures: Row) -> None:
    """Let the analysis of a composite of a day or week stand on each sheet it was sampled over."""
    for name, carrier in ((n, row["carrier"]) for n, row in measures.items() if row["carrier"]):
        often = "shift" if measures[carrier]["grain"] != "shift" else measures[name]["grain"]
        asked = ["day" if row["of"][carrier] == row["day"] else often for row in rows]
        made = {row["of"][name]: row[name] for row in rows if math.isfinite(row[name])}
        for row, how, of in zip(rows, asked, (row["of"] for row in rows)):
            if how == "shift" or (how == "day" and row["ends"] and of[name] == row["week"]):
                row[name], of[name] = first(row[name], made.get(of[name], NONE)), row["shift"]


def dated(rows: list[dict[str, str]], day: str) -> list[dict[str, str]]:
    """Return what was said for a day or one before it; what counts comes last."""
    return sorted((r for r in rows if r["since"] <= day), key=lambda r: (r["since"], int(r["id"])))


def conventions(tables: Tables, day: str) -> dict[str, str]:
    """Return what is in force on a day: the last that was said, else what holds by default."""
    found = {row["name"]: row["value"] for row in tables["convention_defaults"]}
    for row in dated(tables["conventions"], day):
        name, value = row["name"], row["value"]
        found[name] = value if name in KNOWN else value.replace(",", ".")
    for name, choices in KNOWN.items():
        if found[name] not in choices:
            raise ValueError(f"{name} is “{found[name]}”, which this program does not know")
    return found


def printed(value: float, like: str) -> str:
    """Return a value rounded half to even to as many decimals as `like` has; nothing for none."""
    if not math.isfinite(value):
        return ""
    unit = Decimal(1).scaleb(-len(like.partition(".")[2]))
    return f"{Decimal(repr(value)).quantize(unit, ROUND_HALF_EVEN) + 0:f}" if like else repr(value)


def main(arguments: list[str]) -> int:
    """Recompute one archive and compare every total with the printed one."""
    try:
        (path,) = map(Path, arguments or [str(Path(__file__).resolve().parent)])
        folder = (path if path.is_dir() else zipfile.Path(path)) / "data"
        texts = {file.name[:-4]: file.read_bytes().decode("utf-8") for file in folder.iterdir()}
        tables = {n: list(csv.DictReader(io.StringIO(t, newline=""))) for n, t in texts.items()}
        found = recompute(tables)
    except (OSError, zipfile.BadZipFile, KeyError, ValueError) as why:
        print(f"CANNOT BE RECOMPUTED: {why}\n{__doc__}", file=sys.stderr)
        return 2
    ledger = {row["name"]: row["printed"] for row in tables["figures"] if row["record"] == "total"}
    ours = {name: printed(value, ledger[name]) for name, value in found.items()}
    different = [name for name in found if ours[name] != ledger[name]]
    print(f"{'':24}{'recomputed':>16}{'printed':>16}")
    for name in found:
        print(f"{name:24}{ours[name] or '-':>16}{ledger[name] or '-':>16}", end="  ")
        print("DIFFERENT" if name in different else "equal")
    print(f"{len(found)} totals, {len(different)} different")
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
