"""The survey of the invented tandem: one round of its five mills, on a Tuesday morning."""

from collections.abc import Iterator

from .books import Kept, Shift, Written

TUESDAY = 1
FIRST_ROUND = 170  # minutes after the shift began

# mill: pol and moisture of its bagasse, brix and purity of its juice, pressure, speed and lift
MILLS = {
    "1": (7.84, 57.6, 18.74, 85.1, 178, 3.6, 14.5),
    "2": (5.55, 55.2, 9.62, 80.4, 186, 3.8, 12.0),
    "3": (3.94, 53.0, 7.25, 78.3, 190, 4.0, 10.5),
    "4": (2.58, 51.7, 5.41, 75.2, 196, 4.1, 9.0),
}
LAST_SETTINGS = (204, 4.2, 8.0)


def survey(shift: Shift) -> Iterator[Written]:
    """Yield the samples of a round, mill after mill; the last shows what the sheet has."""
    if shift.day.weekday() != TUESDAY or shift.of_day != 1:
        return
    last = [shift.texts[f"{name}"] for name in (
        "bagasse_pol", "bagasse_moisture", "last_expressed_juice_brix", "last_expressed_juice_pol",
    )]  # fmt: skip
    rounds = {
        mill: (f"{pol:.2f}", f"{moisture:.2f}", f"{brix:.2f}", f"{brix * purity / 100:.2f}", *set_)
        for mill, (pol, moisture, brix, purity, *set_) in MILLS.items()
    } | {"last": (*last, *LAST_SETTINGS)}
    for place, (mill, shown) in enumerate(rounds.items()):
        pol, moisture, brix, juice_pol, pressure, speed, lift = shown
        minutes = FIRST_ROUND + 6 * place
        yield minutes + 90, {
            "sampled": shift.clock(minutes), "mill": mill, "bagasse_pol": f"{pol}",
            "bagasse_moisture": f"{moisture}", "juice_brix": f"{brix}",
            "juice_pol": f"{juice_pol}", "hydraulic_pressure": f"{pressure}",
            "roller_speed": f"{speed}", "top_roll_lift": f"{lift}",
        }  # fmt: skip


BOOK = Kept("mill_survey", survey)
