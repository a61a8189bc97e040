"""Stations and streams of a raw sugar factory, in the order that cane passes them."""

from dataclasses import dataclass

STATIONS = {
    "cane_receiving": "Cane receiving",
    "preparation": "Preparation",
    "milling": "Milling",
    "clarification": "Clarification",
    "evaporation": "Evaporation",
    "syrup_clarification": "Syrup clarification",
    "pans_and_crystallizers": "Pans and crystallizers",
    "centrifugals": "Centrifugals",
    "magma_and_remelt": "Magma and remelt",
    "drying_and_packing": "Drying and packing",
    "final_molasses": "Final molasses",
    "boilers": "Boilers",
    "stock": "Stock in process",
}

MOST_MILLS = 7


@dataclass(frozen=True)
class Stream:
    """One material of the factory: its name, title and the station that samples it."""

    name: str
    title: str
    station: str


STREAMS = {
    stream.name: stream
    for stream in (
        Stream("cane", "Cane", "cane_receiving"),
        Stream("prepared_cane", "Prepared cane", "preparation"),
        Stream("imbibition", "Imbibition water", "milling"),
        Stream("first_expressed_juice", "First expressed juice", "milling"),
        Stream("last_expressed_juice", "Last expressed juice", "milling"),
        *(
            Stream(f"mill_{n}_bagasse", f"Mill {n} bagasse", "milling")
            for n in range(1, MOST_MILLS)
        ),
        Stream("diffuser_bagasse", "Diffuser bagasse", "milling"),
        Stream("press_water", "Press water", "milling"),
        Stream("bagasse", "Bagasse", "milling"),
        Stream("mixed_juice", "Mixed juice", "milling"),
        Stream("limed_juice", "Limed juice", "clarification"),
        Stream("clear_juice", "Clear juice", "clarification"),
        Stream("filtrate", "Filtrate", "clarification"),
        Stream("filter_cake", "Filter cake", "clarification"),
        Stream("lime", "Lime, as CaO", "clarification"),
        Stream("syrup", "Syrup", "evaporation"),
        Stream("clarified_syrup", "Clarified syrup", "syrup_clarification"),
        Stream("a_massecuite", "A massecuite", "pans_and_crystallizers"),
        Stream("b_massecuite", "B massecuite", "pans_and_crystallizers"),
        Stream("c_massecuite", "C massecuite", "pans_and_crystallizers"),
        Stream("a_molasses", "A molasses", "centrifugals"),
        Stream("b_molasses", "B molasses", "centrifugals"),
        Stream("b_magma", "B magma", "magma_and_remelt"),
        Stream("c_magma", "C magma", "magma_and_remelt"),
        Stream("remelt", "Remelt", "magma_and_remelt"),
        Stream("sugar", "Sugar", "drying_and_packing"),
        Stream("final_molasses", "Final molasses", "final_molasses"),
        Stream("steam", "Steam", "boilers"),
        Stream("power", "Power generated", "boilers"),
        Stream("feed_water", "Boiler feed water", "boilers"),
    )
}


def streams_in_use(extraction_plant: str, mills: int) -> tuple[str, ...]:
    """Return the names of the streams of a mill: a "tandem" of so many `mills`, or a "diffuser".

    The bagasse of the last mill is bagasse itself; a diffuser has press water instead of mills.
    """
    of_tandem = {f"mill_{n}_bagasse" for n in range(1, MOST_MILLS)}
    of_diffuser = {"diffuser_bagasse", "press_water"}
    if extraction_plant == "diffuser":
        absent = of_tandem
    else:
        absent = of_diffuser | {f"mill_{n}_bagasse" for n in range(mills, MOST_MILLS)}
    return tuple(name for name in STREAMS if name not in absent)
