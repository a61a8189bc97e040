"""What the chemists of the invented mill answer to checks, by the name of the check."""

ANSWERS: dict[str, tuple[str, ...]] = {
    "usual_range": (
        "tested again, the same",
        "sample taken again by the shift foreman, it is so",
        "low cane supply, the station ran slow",
    ),
    "slipped_point": ("the first pans of the season, volume is right", "checked against the log"),
    "sudden_jump": (
        "tested again, the same; cane from another field came in",
        "followed a stop of the mill",
        "a vessel was drawn off and filled anew",
        "operator changed the setting at the start of the shift",
    ),
    "long_run": (
        "instrument held against the standard, found right",
        "new level since the set point was changed",
        "passed on to the station",
    ),
    "same_again": ("read again from the book, both are right", "second flask gave the same"),
    "standard_check_failed": ("kept samples read again after it was adjusted, within 0.1",),
}
OTHERWISE = (
    "both samples tested again, the difference stays within what we can read",
    "samples were taken an hour apart",
    "passed on to the chief chemist",
)


def answer(check: str, turn: int) -> str:
    """Return what is answered to a check, one answer after the other."""
    said = ANSWERS.get(check, OTHERWISE)
    return said[turn % len(said)]
