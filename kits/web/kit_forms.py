"""The forms on the page of a kit: choosing a part, picking, handing out and cancelling."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from types import new_class
from typing import Any

from rest_framework.serializers import Field as ShapeField

from kits.domain.engine_hours import HOUR
from service.errors import FieldProblem, Problems
from service.http.fields import Choice, Day, Text
from service.http.serializers import StrictSerializer
from service.http.typed import DecimalTyped, Field, Typed, WholeTyped, once_field

Document = dict[str, Any]
WHY_LENGTH, NUMBER_LENGTH, PERSON_LENGTH, SHOWN_LENGTH = 500, 200, 200, 40
MOST_PIECES = 32_767
MOST_HOURS = Decimal(1_000_000)
STILL_OPEN = "This line is open: settle and reserve it, or say why it follows later."


class SettleTyped(StrictSerializer):
    """A part that is offered, by maker and number, or another by the text of its number."""

    once = Text(required=False, max_length=WHY_LENGTH)
    line = WholeTyped(min_value=1, max_value=MOST_PIECES)
    maker = Text(required=False, max_length=NUMBER_LENGTH)
    part = Text(max_length=NUMBER_LENGTH)


class CancelTyped(StrictSerializer):
    once = Text(required=False, max_length=WHY_LENGTH)
    reason = Text(required=False, max_length=WHY_LENGTH)


class StepTyped(StrictSerializer):
    once = Text(required=False, max_length=WHY_LENGTH)


def step_form(step: str) -> Typed:
    return Typed(step, [once_field()], StepTyped)


def settle_form(line: int | None = None) -> Typed:
    hint = "As it is written on the part, its box or its list."
    fields = [
        once_field(),
        Field("line", "", "hidden", value="" if line is None else str(line)),
        Field("maker", "", "hidden"),
        Field("part", "Number of another part", hint=hint, needed=True),
    ]
    return Typed("settle" if line is None else f"settle-{line}", fields, SettleTyped)


def settle_body(typed: Mapping[str, Any]) -> Document:
    part = {"maker": typed["maker"], "number": typed["part"]} if "maker" in typed else typed["part"]
    return {"line": typed["line"], "part": part}


def cancel_form() -> Typed:
    hint = "Kept with the kit. May be left empty."
    return Typed("cancel", [once_field(), Field("reason", "Why", hint=hint)], CancelTyped)


def pick_form(kit: Document) -> Typed:
    """For each reserved line how many pieces were not in their bins, and why."""
    held = [line for line in kit["lines"] if line["held"]]
    fields, shape = [once_field()], dict[str, Any](StepTyped().get_fields())
    for line in sorted(held, key=lambda one: one["line"]):
        name = f"line {line['line']}, {line['position'] or 'put in by hand'}"
        fields += [Field(f"short-{line['line']}", f"Not in its bin: {name}", "number", f"Of {line['held']} reserved."),
                   Field(f"why-{line['line']}", f"What was found instead: {name}")]  # fmt: skip
        shape |= {
            f"short-{line['line']}": WholeTyped(required=False, min_value=1, max_value=MOST_PIECES),
            f"why-{line['line']}": Text(required=False, max_length=WHY_LENGTH),
        }
    return Typed("pick", fields, _shape("PickTyped", shape))


def pick_body(form: Typed, typed: Mapping[str, Any]) -> Document:
    """Raises Problems where only one of pieces and reason is given."""
    short, problems = list[Document](), list[FieldProblem]()
    for number in _numbers(form, "short-"):
        pieces, why = typed.get(f"short-{number}"), typed.get(f"why-{number}")
        if pieces is not None and why is not None:
            form.places |= {f"short/{len(short)}/{name}": f"short-{number}" for name in ("line", "quantity")}
            short.append({"line": number, "quantity": pieces, "reason": why})
        elif pieces is not None:
            problems.append(FieldProblem(f"/why-{number}", "required", "Say what was found instead."))
        elif why is not None:
            problems.append(FieldProblem(f"/short-{number}", "required", "How many pieces were not there?"))
    if problems:
        raise Problems(problems)
    return {"short": short}


def fulfil_form(kit: Document, today: str, person: str) -> Typed:
    """For each open line why it follows, and whether the work is on file as done."""
    fields, shape = [once_field()], dict[str, Any](StepTyped().get_fields())
    for line in kit["lines"]:
        if line["open"]:
            name = f"line {line['line']}, {line['position'] or 'put in by hand'}"
            fields.append(Field(f"follow-{line['line']}", f"Why {name} follows later", wide=True))
            shape[f"follow-{line['line']}"] = Text(required=False, max_length=WHY_LENGTH)
    done = (("no", "no, the parts only go out"), ("yes", "yes, put the service on file"))
    fields += [
        Field("done", "Was the work done?", "select", value="no", choices=done),
        Field("on", "Done on", "date", value=today),
        Field("by", "Done by", value=person),
        Field("hours", "At lifetime hours", "number", "Leave empty if nobody wrote it down."),
    ]
    if kit["meter"] is not None:
        words = "Instead of lifetime hours; it is filed as a reading too."
        fields.append(Field("shown", f"Meter {kit['meter']} showed", "number", words))
        shape["shown"] = Text(required=False, max_length=SHOWN_LENGTH)
    shape |= {
        "done": Choice(choices=["yes", "no"]),
        "on": Day(required=False),
        "by": Text(required=False, max_length=PERSON_LENGTH),
        "hours": DecimalTyped(required=False, places=1, least=Decimal(0), most=MOST_HOURS),
    }
    return Typed("fulfil", fields, _shape("FulfilTyped", shape))


def fulfil_body(form: Typed, typed: Mapping[str, Any], meter: str | None) -> Document:
    """Raises Problems for an open line of which nobody says why it follows, and for work without a day or a name."""
    problems = [
        FieldProblem(f"/follow-{number}", "required", STILL_OPEN)
        for number in _numbers(form, "follow-")
        if f"follow-{number}" not in typed
    ]
    if typed["done"] == "yes":
        problems += [
            FieldProblem(f"/{name}", "required", "Fill this in.") for name in ("on", "by") if name not in typed
        ]
    if problems:
        raise Problems(problems)
    follow = [{"line": number, "reason": typed[f"follow-{number}"]} for number in _numbers(form, "follow-")]
    if typed["done"] == "no":
        return {"to_follow": follow}
    hours, shown = typed.get("hours"), typed.get("shown")
    if hours is not None and shown is not None:
        raise Problems([FieldProblem("/shown", "hours_twice", "Give lifetime hours or what the meter showed.")])
    done = {"on": typed["on"], "by": typed["by"], "hours": None if hours is None else int(hours * HOUR)}
    if shown is not None:
        done["reading"] = {"meter": meter, "value": shown}
    return {"to_follow": follow, "record_service": done}


def _numbers(form: Typed, start: str) -> Iterator[int]:
    yield from (int(one.name.removeprefix(start)) for one in form.fields if one.name.startswith(start))


def _shape(name: str, fields: Mapping[str, ShapeField[Any, Any, Any, Any]]) -> type[StrictSerializer]:
    """A shape whose fields depend on the lines of the kit."""
    return new_class(name, (StrictSerializer,), {}, lambda members: members.update(fields))
