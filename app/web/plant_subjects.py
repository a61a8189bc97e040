"""What is chosen on one page of the plant: its fields, what they hold now, what a form says."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date

from app.figures import CONVENTIONS
from app.language import _, either
from app.ledger.choosing import (
    TAKEN,
    conventions_change,
    part_change,
    rules_of,
    sampling_change,
    target_change,
    widest,
)
from app.ledger.desk import Desk
from app.ledger.mills import AS_SET_UP, OF_EQUIPMENT, Mill
from app.ledger.plan import Change, Choices
from app.plant.measures import MEASURES
from app.plant.samples import RULES
from app.plant.streams import TANDEM
from app.plant.typed import Unreadable, both_readings, number
from app.reports.listing import PUBLIC
from app.reports.numbers import as_read, typed_words, with_numbers
from app.reports.plant import (
    OFTEN,
    kind_of_part,
    limits_text,
    number_text,
    part_titles,
    sampling_words,
    value_words,
    with_unit,
)
from app.reports.sources import source_words

EQUIPMENT = "equipment"
FIGURES = {figure.name: figure for figure in PUBLIC}
LARGEST_TARGET = 1e9
_SWITCHED_OFF = {
    "check": "A check that is switched off is not made, and asks for no answer.",
    "station": "The sheet asks for nothing of a station that is switched off.",
    "stream": "The sheet asks for nothing of a stream that is switched off.",
    "vessel": "The sheet asks for nothing of a vessel that is switched off.",
}
A_NUMBER = "Write a number with one decimal sign, like 14.26 or 14,26"


@dataclass(frozen=True)
class Field:
    """A box of a form, for a number or a day, or with `choices` a list of value and words."""

    name: str
    label: str
    hint: str = ""
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Subject:
    """What may be chosen on one page: its kind and name as in its address, and its fields."""

    kind: str
    name: str
    title: str
    about: str
    fields: tuple[Field, ...]

    @property
    def address(self) -> str:
        """Where its page is."""
        return f"/plant/{self.kind}/{self.name}"

    @property
    def names(self) -> tuple[str, ...]:
        """What its choices are kept under."""
        return OF_EQUIPMENT if self.name == EQUIPMENT else (self.name,)

    @property
    def labels(self) -> dict[str, str]:
        """What its fields are called, with those of every form."""
        own = {field.name: field.label for field in self.fields}
        return own | {"since": _("Holds from"), "reason": _("Why")}

    @property
    def asks_reason(self) -> bool:
        """Whether a reason is kept with it; a target has none."""
        return self.kind != "targets"


def subject_of(kind: str, name: str) -> Subject | None:
    """Return what an address names, if it names anything that may be chosen."""
    known: dict[str, tuple[Collection[str], Callable[[str], Subject]]] = {
        "measures": (MEASURES, _of_measure),
        "parts": (part_titles(), _of_part),
        "conventions": ({EQUIPMENT, *CONVENTIONS}, _of_convention),
        "targets": (FIGURES, _of_target),
    }
    names, subject = known.get(kind, ((), _of_target))
    return subject(name) if name in names else None


def _of_measure(name: str) -> Subject:
    measure = MEASURES[name]
    often = tuple((_often_code(*key), _(words)) for key, words in OFTEN.items())
    rules = tuple((rule, _(RULES[rule])) for rule in rules_of(measure))
    possible = _("outside is refused; within {limits}", limits=limits_text(widest(measure)))
    fields = (
        Field("taken", _("Taken"), _("due: the sheet asks for it"), choices=_same(TAKEN)),
        Field("often", _("How often"), _("what is taken once a day or week may be a composite"),
              choices=often),
        Field("rule", _("What several samples make"), _("the result of the shift"), choices=rules),
        Field("usual_low", _("Usual from"), _("outside is marked, never refused"), measure.unit),
        Field("usual_high", _("Usual to"), "", measure.unit),
        Field("hard_low", _("Possible from"), possible, measure.unit),
        Field("hard_high", _("Possible to"), "", measure.unit),
    )  # fmt: skip
    about = ""
    if measure.carrier:
        about = _("Averaged by: {title}.", title=_(MEASURES[measure.carrier].title))
    return Subject("measures", measure.name, measure.title, about, fields)


def _of_part(name: str) -> Subject:
    kind = kind_of_part(name)
    switch = (("yes", _("switched on")), ("no", _("switched off")))
    field = Field("in_use", _("In use"), choices=switch)
    return Subject("parts", name, part_titles()[name], _(_SWITCHED_OFF[kind]), (field,))


def _of_convention(name: str) -> Subject:
    if name == EQUIPMENT:
        fields = tuple(_convention(each) for each in OF_EQUIPMENT)
        about = _("What the mill has decides which streams the sheet asks for.")
        return Subject("conventions", name, _("Equipment"), about, fields)
    convention = CONVENTIONS[name]
    about = _(
        "{note} Source of the default: {source}.",
        note=with_numbers(_(convention.note)), source=source_words(convention.source),
    )  # fmt: skip
    return Subject("conventions", name, convention.title, about, (_convention(name),))


def _of_target(name: str) -> Subject:
    field = Field("value", _("Target"), unit=FIGURES[name].unit)
    return Subject("targets", name, FIGURES[name].title, "", (field,))


def _convention(name: str) -> Field:
    convention = CONVENTIONS[name]
    if convention.choices:
        return Field(name, _(convention.title), choices=_same(convention.choices))
    if convention.longest:
        hint = _("at most {count} characters", count=convention.longest)
        return Field(name, _(convention.title), hint)
    limits = limits_text((convention.low, convention.high))
    return Field(name, _(convention.title), limits, convention.unit)


def _same(values: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((value, with_numbers(_(value))) for value in values)


def _often_code(grain: str, every: int) -> str:
    return f"{grain}-{every}" if grain == "shift" else grain


def convention_holds(choices: Choices, name: str, day: date) -> str:
    """Return what holds of a convention on `day`, as the form of its page says it."""
    chosen = choices.convention(name, day)
    value = CONVENTIONS[name].read(begins_with(choices.mill, name) if chosen is None else chosen)
    return number_text(value) if isinstance(value, float) else value


def begins_with(mill: Mill, name: str) -> str | float:
    """Return what holds of a convention where nothing was chosen."""
    as_set_up = name == "tandem_mills" and mill.extraction_plant == TANDEM
    return str(mill.mills) if as_set_up else CONVENTIONS[name].default


def holds(subject: Subject, choices: Choices, day: date) -> dict[str, str]:
    """Return what the fields of a subject hold on `day`, as its form says it."""
    plan, name = choices.plan, subject.name
    if subject.kind == "measures":
        now = plan.sampling(name, day)
        limits = zip(("usual_low", "usual_high", "hard_low", "hard_high"), (*now.usual, *now.hard),
                     strict=True)  # fmt: skip
        said = {"taken": now.taken, "often": _often_code(now.grain, now.every), "rule": now.rule}
        return said | {limit: _as_typed(value) for limit, value in limits}
    if subject.kind == "parts":
        return {"in_use": "no" if plan.is_off(name, day) else "yes"}
    if subject.kind == "targets":
        target = choices.targets_on(day).get(name)
        return {"value": "" if target is None else _as_typed(target)}
    return {each: _plainly(convention_holds(choices, each, day)) for each in subject.names}


def _as_typed(value: float) -> str:
    return _plainly(number_text(value))


def _plainly(text: str) -> str:
    """Return a text so written that nobody could take its point for a mark between thousands."""
    readings = both_readings(text)
    return readings[1] if readings else text


def words(subject: Subject, choices: Choices, day: date) -> dict[str, str]:
    """Return what holds on `day` in words, under what each of it is."""
    name = subject.name
    if subject.kind == "measures":
        return sampling_words(choices.plan.sampling(name, day))
    now = holds(subject, choices, day)
    if subject.kind == "targets":
        target = choices.targets_on(day).get(name)
        return {_("Target"): _("none") if target is None else value_words(name, target)}
    said = {}
    for field in subject.fields:
        value = now[field.name]
        chosen = dict(field.choices).get(value) or typed_words(value)
        said[field.label] = with_unit(chosen, field.unit)
    if now.get("extraction_plant") == AS_SET_UP:
        plant = CONVENTIONS["extraction_plant"]
        said[_(plant.title)] += f": {_(choices.mill.extraction_plant)}"
    return said


def change_of(subject: Subject, desk: Desk, typed: Mapping[str, str]) -> Change:
    """Return what a form would change; WrongFields says by field what is wrong with it."""
    name, wrong = subject.name, dict[str, str]()
    if subject.kind == "measures":
        return sampling_change(desk, MEASURES[name], typed)
    if subject.kind == "parts":
        return part_change(desk, name, typed)
    if subject.kind == "targets":
        target = _number("value", typed, -LARGEST_TARGET, LARGEST_TARGET, wrong)
        return target_change(desk, name, target, typed, wrong)
    values = {each: _read(each, typed, wrong) for each in subject.names}
    return conventions_change(
        desk, values, lambda each, day: convention_holds(desk.choices, each, day), typed, wrong
    )


def _read(name: str, typed: Mapping[str, str], wrong: dict[str, str]) -> str:
    convention = CONVENTIONS[name]
    if convention.choices:
        if typed[name] not in convention.choices:
            wrong[name] = _(
                "Choose one of: {choices}", choices=", ".join(map(_, convention.choices))
            )
        return typed[name]
    if convention.longest:
        try:
            return str(convention.read(typed[name]))
        except ValueError:
            wrong[name] = _("Write 1 to {count} characters", count=convention.longest)
            return typed[name]
    value = _number(name, typed, convention.low, convention.high, wrong)
    if name == "evaporator_effects" and name not in wrong and not value.is_integer():
        wrong[name] = _("Write a whole number")
    return number_text(value)


def _number(
    name: str, typed: Mapping[str, str], low: float, high: float, wrong: dict[str, str]
) -> float:
    """Read a number between two others; what is wrong with it is put into `wrong`."""
    text = typed[name].strip()
    try:
        value = float(number(text))
    except Unreadable:
        wrong[name] = _(A_NUMBER)
        return 0.0
    if not low <= value <= high:
        wrong[name] = _(
            "Write a number from {low} to {high}",
            low=as_read(number_text(low)), high=as_read(number_text(high)),
        )  # fmt: skip
    elif (readings := both_readings(text)) and all(low <= float(r) <= high for r in readings):
        wrong[name] = _("{typed}: write {readings}", typed=text, readings=either(readings))
    return value
