"""Every figure, measure and convention, listed for people and for programs."""

import json
from collections.abc import Iterator

from app.figures import CONVENTIONS, FIGURES
from app.figures.declare import ENTERED
from app.figures.uncertainties import default_uncertainty
from app.plant.measures import MEASURES

PUBLIC = [figure for figure in FIGURES.values() if not figure.internal]


def as_text() -> str:
    """Return a line for each: name, unit and title, with formula or usual range."""
    return "\n".join(_lines())


def _lines() -> Iterator[str]:
    yield f"{len(PUBLIC)} figures"
    for figure in PUBLIC:
        yield f"  {figure.name} [{figure.unit or '-'}] {figure.title} = {figure.formula}"
    yield f"{len(MEASURES)} measures"
    for measure in MEASURES.values():
        low, high = measure.usual
        said = f"usual {low:g} to {high:g}, each {measure.grain}"
        yield f"  {measure.name} [{measure.unit}] {measure.title}: {said}"
    yield f"{len(CONVENTIONS)} conventions"
    for convention in CONVENTIONS.values():
        choices = " | ".join(convention.choices) or f"{convention.low:g} to {convention.high:g}"
        if convention.longest:
            choices = f"a word of at most {convention.longest} characters"
        yield f"  {convention.name} [{convention.unit or '-'}] {convention.title}: {choices}"


def as_json() -> str:
    """Return `{"figures": {name: …}, "measures": {name: …}, "conventions": {name: …}}`."""
    listed = {"figures": _figures(), "measures": _measures(), "conventions": _conventions()}
    return json.dumps(listed, indent=2, ensure_ascii=False)


def _figures() -> dict[str, object]:
    return {
        figure.name: {
            "title": figure.title,
            "unit": figure.unit,
            "decimals": figure.decimals,
            "station": figure.station,
            "kind": figure.kind,
            "note": figure.note,
            "source": figure.source.work,
            "mark": figure.source.mark,
            "ways": [
                {
                    "formula": way.formula,
                    "source": str(figure.source_of(way)),
                    "inputs": [name.removeprefix(ENTERED) for name in way.inputs],
                    "when": {name: list(choices) for name, choices in way.when.items()},
                }
                for way in figure.ways
            ],
        }
        for figure in PUBLIC
    }


def _measures() -> dict[str, object]:
    found: dict[str, object] = {}
    for measure in MEASURES.values():
        uncertainty = default_uncertainty(measure.name)
        found[measure.name] = {
            "title": measure.title,
            "unit": measure.unit,
            "decimals": measure.decimals,
            "station": measure.station,
            "taken": f"each {measure.grain}",
            "due": measure.due,
            "usual": list(measure.usual),
            "hard": list(measure.hard),
            "averaged_by": measure.carrier or None,
            "uncertainty": {
                "random": uncertainty.random,
                "systematic": uncertainty.systematic,
                "relative": uncertainty.relative,
                "source": str(uncertainty.source),
            },
        }
    return found


def _conventions() -> dict[str, object]:
    return {
        convention.name: {
            "title": convention.title,
            "unit": convention.unit,
            "default": convention.default,
            "choices": list(convention.choices),
            "range": [convention.low, convention.high] if convention.is_number else None,
            "note": convention.note,
            "source": str(convention.source),
        }
        for convention in CONVENTIONS.values()
    }
