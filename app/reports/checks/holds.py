"""Consistency tests of the trade that nothing typed could fail, each with where it holds."""

HOLDS: tuple[tuple[str, str], ...] = (
    (
        "Extraction from masses is that from bagasse pol, fibre and cane",
        "Pol and fibre in cane are taken from mixed juice and bagasse; with suspended solids as "
        "fibre the two differ as they should.",
    ),
    (
        "Reduced extraction, lost absolute juice and milling loss agree",
        "All follow from one extraction and one fibre.",
    ),
    (
        "Net retentions of the mills multiply to 100 less the extraction",
        "Each mill is worked out from the one before it.",
    ),
    (
        "Overall recovery is extraction times boiling house recovery; the account adds to 100",
        "Undetermined is what is left.",
    ),
    (
        "Exhaustion × purity ÷ 100 is crystal % brix",
        "Both follow from the purities of massecuite and molasses; crystal is not entered.",
    ),
    (
        "Virtual purity lies above final molasses by what cake and undetermined took",
        "It follows from the same recovery as the check against the s-j-m rule.",
    ),
    (
        "Dilution indicator and safety factor agree",
        "Both follow from pol and moisture of sugar.",
    ),
    (
        "Evaporation of the effects adds to that of the evaporator",
        "Each effect takes its share of the whole.",
    ),
    (
        "The stock at the end of a day is that at the beginning of the next",
        "A change is closing less opening, and there is one figure of each.",
    ),
    (
        "To date is made of sums, groups by weight",
        "Percentages follow from summed tonnes; there is no name by which to average one.",
    ),
)
