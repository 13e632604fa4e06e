"""What is typed on the counter's pages, read into the shapes of `POST /checks/`, and told where something is amiss."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.http import QueryDict

from catalog.domain.fuels import RecordMode
from catalog.domain.values import How
from catalog.usecases.answerable import Ask, Question
from service.errors import DomainError, Invalid, Problems

Faults = dict[str, str]  # by the name of the field
HOW = ((How.MEASURED.value, "measured it"), (How.LABEL.value, "read it off the label"), (How.TOLD.value, "was told"))
MODES = (
    (RecordMode.ONLY_FUEL.value, "the only fuel it can burn now (the other system is removed or sealed)"),
    (RecordMode.BURNS_TODAY.value, "burns it today, and could still burn what the plate says"),
)


@dataclass(slots=True)
class Asked:
    """One question with the field it is answered in, what was typed there, and what is wrong with it."""

    name: str
    question: Question
    typed: Mapping[str, Any] = field(default_factory=dict)
    fault: str = ""

    @property
    def untouched(self) -> bool:
        return not self.typed and not self.fault

    @property
    def chosen(self) -> Sequence[str]:
        found: Sequence[str] = self.typed.get("all", ())
        return found


@dataclass(frozen=True, slots=True)
class Told:
    """An answered question: its value as `POST /checks/` takes it, and how it came to be known."""

    asked: Asked
    value: Any
    how: str


def asked_of(questions: Sequence[Question], form: QueryDict | None = None) -> list[Asked]:
    """The questions with what the form says to each; without a form nothing is typed yet."""
    found = []
    for place, question in enumerate(questions):
        one = Asked(f"f{place}", question)
        if form is not None:
            one.typed = {
                **{part: form.get(f"{one.name}_{part}", "").strip() for part in ("unit", "how", "max", "mode", "on")},
                "value": form.get(one.name, "").strip(),
                "all": form.getlist(one.name),
                "paper": f"{one.name}_paper" in form,
            }
        found.append(one)
    return found


def told_by(asked: Sequence[Asked], today: date) -> Iterator[Told]:
    """What was answered; a question left empty stays open. A fault is written beside its question."""
    for one in asked:
        try:
            value = _value(one, today)
        except Invalid as error:
            one.fault = error.message
            continue
        if value is not None:
            yield Told(one, value, one.typed["how"] or How.TOLD.value)


def _value(one: Asked, today: date) -> Any:
    """None where nothing was answered."""
    if one.question.ask is Ask.FUEL:
        return _fuel_record(one, today)
    read = _READERS.get(one.question.ask)
    return None if read is None else read(one)


def _yes_no(one: Asked) -> bool | None:
    return {"yes": True, "no": False}.get(one.typed["value"])


def _measure(one: Asked) -> dict[str, str] | None:
    return _in_unit({"value": one.typed["value"]}, one) if one.typed["value"] else None


def _range(one: Asked) -> dict[str, str] | None:
    ends = {"min": one.typed["value"], "max": one.typed["max"]}
    given = {end: text for end, text in ends.items() if text}
    return _in_unit(given, one) if given else None


def _words(one: Asked) -> str | list[str] | None:
    if not one.question.several:
        return one.typed["value"] or None
    told = one.chosen if one.question.choices else one.typed["value"].split(",")
    return [word.strip() for word in told if word.strip()] or None


def _in_unit(numbers: Mapping[str, str], one: Asked) -> dict[str, str]:
    """Whoever types 0,5 means 0.5. A comma and a point in one number could mean two things, and stay to be refused."""
    plain = {end: text.replace(",", ".") if "." not in text else text for end, text in numbers.items()}
    unit = one.typed["unit"] or (one.question.units[0] if one.question.units else "")
    reference = {} if one.question.reference is None else {"reference": one.question.reference}
    return {**plain, "unit": unit, **reference}


_READERS: Mapping[Ask, Callable[[Asked], Any]] = {
    Ask.YES_NO: _yes_no,
    Ask.MEASURE: _measure,
    Ask.RANGE: _range,
    Ask.CHOICE: _words,
    Ask.TEXT: _words,
    Ask.DAY: _words,
    Ask.SERIAL: _words,
}


def _fuel_record(one: Asked, today: date) -> dict[str, Any] | None:
    fuels = [code for code in one.chosen if code]
    if not fuels:
        return None
    if one.typed["mode"] not in {code for code, _ in MODES}:
        raise Invalid("Say whether it is the only fuel it can burn now, or burns it today beside the plate's.")
    try:
        found_on = date.fromisoformat(one.typed["on"]) if one.typed["on"] else today
    except ValueError:
        raise Invalid(f"{one.typed['on'][:20]!r} is no date; write it like 2026-03-09.") from None
    return {
        "fuels": fuels,
        "mode": one.typed["mode"],
        "found_on": found_on,
        "conversion_paper": one.typed["paper"],
    }


def place_faults(error: DomainError, places: Mapping[str, str]) -> tuple[Faults, list[str]]:
    """The faults of an error by field, and those of no field. `places` gives pointers' beginnings their fields.

    The longest beginning that fits decides.
    """
    faults: Faults = {}
    others: list[str] = []
    for pointer, message in _told(error):
        fits = [begin for begin in places if pointer == begin or pointer.startswith(f"{begin}/")]
        if fits:
            faults.setdefault(places[max(fits, key=len)], message)
        else:
            others.append(message)
    return faults, others


def _told(error: DomainError) -> Iterator[tuple[str, str]]:
    if isinstance(error, Problems):
        yield from ((one.pointer, one.detail) for one in error.problems)
    else:
        yield error.pointer or "", error.message
