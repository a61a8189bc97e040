"""Rules of the trade that are not worked out, each with the reason."""

LEFT_OUT: tuple[tuple[str, str], ...] = (
    (
        "Corrected reduced extraction (Rein)",
        "Its exponent and its base of sucrose are remembered, not confirmed.",
    ),
    ("Reduced extraction after Mittal", "Its published coefficients are not confirmed."),
    (
        "Reduced extraction by 12.5 over fibre alone",
        "It drops the juice lost with the fibre, and its name is that of Deerr's rule.",
    ),
    (
        "Estimated recoverable crystal",
        "No set of its three constants is confirmed: those remembered miss the four published "
        "season means.",
    ),
    (
        "Target purity 40 - 4 r/c (Hugot), and the sets of Hawaii, Cuba and Audubon 1993",
        "Remembered roughly or not at all.",
    ),
    (
        "Reducing sugars after Knight and Allen; sucrose correction of Lane and Eynon",
        "Their tables were not found.",
    ),
    (
        "Temperature correction of 1974 above 20 °C",
        "Its printed rows were not seen; the table of 1936 reaches 30 °C.",
    ),
    (
        "Tonnes of 94 net titre sugar and the later Australian standard sugars",
        "Remembered with little certainty.",
    ),
    (
        "Tonnes of 96-degree sugar by the Jamaican tables",
        "The tables were not seen. Tonnes at 96 pol stand by the pol ratio.",
    ),
    (
        "Brix of absolute juice by the Hawaii ratio",
        "Seen only in a training sheet of weak standing.",
    ),
    (
        "Coefficient of work; corrected boiling house yardsticks of South Africa",
        "Their formulas are not recalled safely.",
    ),
    (
        "Colour corrected for buffer salts",
        "The factor is remembered with little certainty.",
    ),
    (
        "Saturation coefficients of cane liquors",
        "They are the mill's own to fit; the constants at hand are those of beet.",
    ),
    (
        "Target purity 51.02 - 10.89 r/a, South African equilibration of 1976",
        "The copy read had lost its signs: minus and ratio are inferred.",
    ),
    (
        "Juice, mud or filtrate returned to the mills or the diffuser",
        "Its pol would be taken from that of mixed juice; no weight of it is entered yet. "
        "Extraction reads too high where some is returned after the scale.",
    ),
    (
        "Water that evaporates between mills and from a diffuser; screenings",
        "0.5 to 1.5 % of cane by common practice, but not measured.",
    ),
    (
        "Press water as the juice left in bagasse",
        "It is taken once a day, and fibre is worked out on each shift; the juice of the last "
        "dewatering mill stands as last expressed juice.",
    ),
    (
        "Relative recoverable value; factory index of Jamaica; Brazilian total recoverable sugar; "
        "cane price",
        "They follow the local agreement of payment.",
    ),
    (
        "Primary extraction by weight of primary juice; juice by its bulk density",
        "Neither is weighed or analysed on the sheet.",
    ),
    (
        "Heat to steam after Hugot; power absorbed by each mill",
        "The sizes of his loss factors are not surely remembered; no power of single drives is "
        "entered.",
    ),
    (
        "Residence in clarifiers from their volume; filter cake from the balance of insolubles; "
        "vapour bled from each effect",
        "No volume, mud weight or vapour weight is entered.",
    ),
    (
        "Capacity of pans, crystallizers and centrifugals; strike yields",
        "They need the mill's own list of vessels and its pan log.",
    ),
    (
        "Benchmark of overall recovery after Wright",
        "Only its abstract was seen.",
    ),
    (
        "Sucrose by a factory factor on pol",
        "The account of true sucrose stands on chromatography where it is entered.",
    ),
    (
        "Change of stock in the refinery",
        "No stock of it is taken; its yields are those of the period's melt.",
    ),
)
