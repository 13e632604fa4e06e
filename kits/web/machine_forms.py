"""The forms on the page of a machine, with the shape of what each sends."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from rest_framework.exceptions import ErrorDetail, ValidationError

from catalog.domain.rules import Rulebook
from catalog.usecases.machine_words import fuel_choices
from kits.usecases.machine_pages import OneMachine
from service.http.fields import Choice, Day, Text
from service.http.serializers import StrictSerializer
from service.http.typed import DecimalTyped, Field, Typed, WholeTyped, chosen_of, once_field
from service.operations.models import Branch, Dealer

TEXT_LENGTH, CODE_LENGTH, SERIAL_LENGTH = 200, 60, 40
TYPED_LENGTH, METER_LENGTH = 20, 40
MOST_DAYS, MOST_HOURS = 3_650, Decimal(100_000)
NOT_SAID = "not said"
CONFIRMED = "A licensed person has confirmed the equipment"
ALL_OF_IT = "Fill this in; a confirmation is on record with all of it or not at all."
WHAT_FOR = "Say what the kit is for: a level, hours or days."
MODES = (("burns_today", "burns it today; it may be able to burn others"), ("only_fuel", "the only fuel it can burn"))
UNITS = (("hours", "hours, tenths after a dot"), ("tenths", "tenths of an hour, without a dot"))
# The fields of a confirmation, each with what the API calls it.
CONFIRMATION = {f"confirmed_{name}": name for name in ("name", "licence", "area", "expires", "on")}
COUNTS = (("engine", "running hours"), ("key_on", "hours with the key on"))


class ReadingTyped(StrictSerializer):
    once = Text(required=False, max_length=CODE_LENGTH)
    on = Day()
    value = Text(max_length=TYPED_LENGTH)
    meter = Text(required=False, max_length=METER_LENGTH)
    note = Text(required=False, max_length=TEXT_LENGTH)


class MeterTyped(StrictSerializer):
    once = Text(required=False, max_length=CODE_LENGTH)
    code = Text(max_length=METER_LENGTH)
    unit = Choice(choices=UNITS)
    counts = Choice(choices=COUNTS)
    fitted_on = Day(required=False)
    start = Text(required=False, max_length=TYPED_LENGTH)

    def validate_code(self, code: str) -> str:
        if "/" in code:
            raise ValidationError("A slash cannot stand in a meter's code.", code="invalid")
        return code


class FuelTyped(StrictSerializer):
    once = Text(required=False, max_length=CODE_LENGTH)
    found = Text(max_length=CODE_LENGTH)
    second = Text(required=False, max_length=CODE_LENGTH)
    mode = Choice(choices=MODES)
    found_on = Day()
    evidence = Text(required=False, max_length=TEXT_LENGTH)
    conversion_paper = Choice(choices=["yes", "no"], required=False)
    confirmed_name = Text(required=False, max_length=TEXT_LENGTH)
    confirmed_licence = Text(required=False, max_length=CODE_LENGTH)
    confirmed_area = Text(required=False, max_length=CODE_LENGTH)
    confirmed_expires = Day(required=False)
    confirmed_on = Day(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        missing = [name for name in CONFIRMATION if name not in attrs]
        if 0 < len(missing) < len(CONFIRMATION):
            raise ValidationError({name: [ErrorDetail(ALL_OF_IT, code="incomplete")] for name in missing})
        return attrs


class SerialTyped(StrictSerializer):
    once = Text(required=False, max_length=CODE_LENGTH)
    serial = Text(max_length=SERIAL_LENGTH)


class KitTyped(StrictSerializer):
    """What a kit is for, in one of three ways."""

    once = Text(required=False, max_length=CODE_LENGTH)
    level = Text(required=False, max_length=CODE_LENGTH)
    hours = DecimalTyped(required=False, places=1, least=Decimal(0), most=MOST_HOURS)
    days = WholeTyped(required=False, min_value=0, max_value=MOST_DAYS)
    fitted_on = Day(required=False)
    branch = Text(required=False, max_length=40)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        ways = [name for name in ("level", "hours", "days") if name in attrs]
        if not ways:
            raise ValidationError({"level": [ErrorDetail(WHAT_FOR, code="in_one_way")]})
        if len(ways) > 1:
            words = "Say it in one way only: a level, hours or days."
            raise ValidationError({name: [ErrorDetail(words, code="in_one_way")] for name in ways})
        return attrs


def reading_form(asked: OneMachine) -> Typed:
    on_it = [meter for meter in asked.due.asked.records.meters if not meter.removed]
    fields = [
        once_field(),
        Field("on", "Day it was read", "date", value=asked.due.as_of.isoformat(), needed=True),
        Field("value", "What the meter shows", "number", "As it stands on the meter.", needed=True),
    ]
    if len(on_it) != 1:
        choices = [(meter.code, meter.code) for meter in on_it]
        fields.append(Field("meter", "Which meter", "select", choices=chosen_of(choices, "choose"), needed=True))
    fields.append(Field("note", "Note", hint="May be left empty."))
    return Typed("reading", fields, ReadingTyped)


def meter_form() -> Typed:
    return Typed(
        "meter",
        [
            once_field(),
            Field("code", "Name of the meter", value="M1", needed=True),
            Field("unit", "What it prints", "select", value="hours", choices=UNITS, needed=True),
            Field("counts", "What it counts", "select", value="engine", choices=COUNTS, needed=True),
            Field("start", "Showed when it was fitted", "number", "0 where it is the first; leave empty if not known."),
            Field("fitted_on", "Fitted on", "date", "Leave empty if not known."),
        ],
        MeterTyped,
    )


def fuel_form(asked: OneMachine, *, confirms: bool) -> Typed:
    """What was found; with the fields of a confirmation for whoever may put one on record."""
    confirmed = {f"confirmed_by/{says}": name for name, says in CONFIRMATION.items()}
    return Typed(
        "fuel",
        [
            once_field(),
            *fuel_fields(asked.rulebook, asked.due.as_of),
            *(_confirmation_fields() if confirms else ()),
        ],
        FuelTyped,
        {"fuels/0": "found", "fuels/1": "second", **confirmed},
        fold=CONFIRMED,
    )


def fuel_fields(rulebook: Rulebook, today: date, *, group: str = "", needed: bool = True) -> list[Field]:
    """What somebody found the engine burning; `needed` where the form is about nothing else."""
    fuels = fuel_choices(rulebook)
    return [
        Field("found", "Fuel found", "select", "With its grade where that is known.",
              choices=chosen_of(fuels, "choose" if needed else "nobody has looked"), needed=needed, group=group),
        Field("second", "Second fuel", "select", "For an engine that burns two.", choices=chosen_of(fuels, "none"),
              group=group),
        Field("mode", "Can it burn anything else?", "select", choices=chosen_of(MODES, "choose"), needed=needed,
              hint="The only fuel takes the place of what the plate says; any other stands beside it.", group=group),
        Field("found_on", "Looked at on", "date", value=today.isoformat(), needed=needed, group=group),
        Field("conversion_paper", "Conversion paper seen?", "select",
              choices=chosen_of((("yes", "yes"), ("no", "no")), NOT_SAID), group=group),
        Field("evidence", "What shows it", hint="Such as a gas cylinder on the truck, a regulator, a paper.",
              group=group, wide=bool(group)),
    ]  # fmt: skip


def _confirmation_fields() -> list[Field]:
    return [
        Field("confirmed_name", "Who confirmed it", hint="Whoever holds the licence.", folded=True),
        Field("confirmed_licence", "Licence number", folded=True),
        Field("confirmed_area", "What the licence covers, or where", folded=True),
        Field("confirmed_expires", "Last day of the licence", "date", folded=True),
        Field("confirmed_on", "Confirmed on", "date", "The licence must have been in force that day.", folded=True),
    ]


def serial_form() -> Typed:
    hint = "As it stands on the engine plate. Parts that changed with a serial are told apart by it."
    serial = Field("serial", "Serial of the engine", hint=hint, needed=True, wide=True)
    return Typed("serial", [once_field(), serial], SerialTyped)


def kit_form(asked: OneMachine, dealer: Dealer) -> Typed:
    plan = asked.due.asked.plan
    levels = [] if plan is None else [(one.code, one.name or one.code) for one in plan.when.levels]
    branches = [(one.code, one.name) for one in Branch.objects.visible_to(dealer).order_by("code")]
    fields = [
        once_field(),
        Field("level", "For a level of the plan", "select", choices=chosen_of(levels, "none")),
        Field("hours", "or what falls due in hours", "number"),
        Field("days", "or in days", "number"),
        Field("fitted_on", "Day of the service", "date", "Leave empty for today. It decides what is too old to fit."),
    ]
    if len(branches) > 1:
        fields.append(Field("branch", "From the shelf of", "select", choices=branches, needed=True))
    return Typed("kit", fields, KitTyped, {"due_within/hours": "hours", "due_within/days": "days", "tasks": "level"})


def fuel_body(typed: Mapping[str, Any], by: str) -> dict[str, Any]:
    fuels = [typed["found"], *([typed["second"]] if "second" in typed else [])]
    return {
        "fuels": fuels,
        "mode": typed["mode"],
        "found_on": typed["found_on"],
        "by": by,
        "evidence": typed.get("evidence"),
        "conversion_paper": typed.get("conversion_paper") == "yes",
        "confirmed_by": {says: typed[name] for name, says in CONFIRMATION.items() if name in typed} or None,
    }


def kit_body(typed: Mapping[str, Any], asked: OneMachine) -> dict[str, Any]:
    body = {name: typed[name] for name in ("level", "fitted_on", "branch") if name in typed}
    within = {name: typed[name] for name in ("hours", "days") if name in typed}
    return {"machine": asked.row.pk, **body, **({"due_within": within} if within else {})}


def meter_body(typed: Mapping[str, Any]) -> dict[str, Any]:
    return {"fitted_on": None, "start": None, **typed}
