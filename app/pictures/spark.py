"""A line as small as a word: the last days of one figure, with its target. Plain SVG, no axis.

Its numbers stand in words beside it. A day without a value is a gap in the line.
"""

from collections.abc import Sequence

WIDTH, HEIGHT, EDGE = 132, 26, 3
INK, GREY = "#14532d", "#4b5563"


def spark(values: Sequence[float | None], target: float | None = None) -> str:
    """Return the line as an SVG element; the last value is a dot, the target a dashed level."""
    known = [value for value in values if value is not None]
    levels = known if target is None else [*known, target]
    if not known:
        return ""
    low, high = min(levels), max(levels)
    step = (WIDTH - 2 * EDGE) / max(len(values) - 1, 1)

    def across(place: int) -> str:
        return f"{EDGE + place * step:.1f}"

    def up(value: float) -> str:
        share = (value - low) / (high - low) if high > low else 0.5
        return f"{HEIGHT - EDGE - share * (HEIGHT - 2 * EDGE):.1f}"

    parts = []
    if target is not None:
        parts.append(
            f'<line x1="0" x2="{WIDTH}" y1="{up(target)}" y2="{up(target)}" stroke="{GREY}" '
            'stroke-dasharray="3 2"/>'
        )
    for run in _runs(values):
        if len(run) == 1:
            parts.append(_dot(across(run[0][0]), up(run[0][1]), "1.5"))
        else:
            points = " ".join(f"{across(place)},{up(value)}" for place, value in run)
            parts.append(
                f'<polyline points="{points}" fill="none" stroke="{INK}" stroke-width="1.5"/>'
            )
    last = max(place for place, value in enumerate(values) if value is not None)
    parts.append(_dot(across(last), up(known[-1]), "2.5"))
    return (
        f'<svg aria-hidden="true" width="{WIDTH}" height="{HEIGHT}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}">{"".join(parts)}</svg>'
    )


def _dot(across: str, up: str, radius: str) -> str:
    return f'<circle cx="{across}" cy="{up}" r="{radius}" fill="{INK}"/>'


def _runs(values: Sequence[float | None]) -> list[list[tuple[int, float]]]:
    """Return the values that follow each other without a gap, each with its place."""
    runs: list[list[tuple[int, float]]] = [[]]
    for place, value in enumerate(values):
        if value is None:
            runs.append([])
        else:
            runs[-1].append((place, value))
    return [run for run in runs if run]
