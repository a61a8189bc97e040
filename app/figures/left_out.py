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
        "Net titre and the later Australian standard sugars",
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
)
