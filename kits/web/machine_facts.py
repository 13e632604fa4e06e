"""The form of what is known of a machine: to put one on file, and to change what is on file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from catalog.domain.rules import Rulebook
from catalog.models import Machine
from catalog.usecases.applications import FLAGS, PLACE_OF_USE
from catalog.usecases.machine_words import fuel_choices
from catalog.usecases.slip_words import plain
from kits.web.machine_forms import CODE_LENGTH, MODES, SERIAL_LENGTH, TEXT_LENGTH, fuel_fields
from service.http.fields import Choice, Day, Text
from service.http.typed import Choices, Field, FormShape, Typed, chosen_of, once_field

NAME_LENGTH, CUSTOMER_NAME_LENGTH = 120, 200
MOST_FUELS = 12  # on a plate, as the interface takes
FEWEST_FUELS = 2
YES_NO = (("yes", "yes"), ("no", "no"))
NOT_KNOWN = "not known"
IS = {"yes": True, "no": False}
SAYS = {True: "yes", False: "no", None: ""}
BOTH = "Both stand on the plate, model and specification number."
PLATE, USE, FOUND = "What the engine plate says", "How it is used", "What it was found burning"
NAMES = {"dusty": "Runs in dust", "certified": "Emission-certified", "ecu": "Has an electronic controller"}
HINTS = {"certified": "See the emission label."}


class FactsTyped(FormShape):
    once = Text(required=False, max_length=CODE_LENGTH)
    version = Text(required=False, max_length=CODE_LENGTH)
    name = Text(max_length=NAME_LENGTH)
    customer = Text(required=False, max_length=CUSTOMER_NAME_LENGTH)
    new_customer = Choice(choices=["yes"], required=False)
    model = Text(required=False, max_length=CODE_LENGTH)
    spec = Text(required=False, max_length=CODE_LENGTH)
    serial = Text(required=False, max_length=SERIAL_LENGTH)
    place_of_use = Text(required=False, max_length=CODE_LENGTH)

    def get_fields(self) -> dict[str, Any]:
        plate = {_plate(at): Text(required=False, max_length=CODE_LENGTH) for at in range(MOST_FUELS)}
        flags = {flag: Choice(choices=["yes", "no"], required=False) for flag in FLAGS}
        return {**super().get_fields(), **plate, **flags}

    def among(self, typed: Mapping[str, Any]) -> dict[str, str]:
        if ("model" in typed) == ("spec" in typed):
            return {}
        return {"spec" if "model" in typed else "model": BOTH}


class NewMachineTyped(FactsTyped):
    carry = Choice(choices=["yes"], required=False)
    found = Text(required=False, max_length=CODE_LENGTH)
    second = Text(required=False, max_length=CODE_LENGTH)
    mode = Choice(choices=MODES, required=False)
    found_on = Day(required=False)
    evidence = Text(required=False, max_length=TEXT_LENGTH)
    conversion_paper = Choice(choices=["yes", "no"], required=False)

    def among(self, typed: Mapping[str, Any]) -> dict[str, str]:
        """A fuel record is whole or none; the day alone, which stands there already, says nothing."""
        faults = super().among(typed)
        begun = any(name in typed for name in ("found", "second", "mode", "evidence", "conversion_paper"))
        if begun and "found" not in typed:
            faults["found"] = "Say what was found, or leave all of this empty."
        if begun and "mode" not in typed:
            faults["mode"] = "Say whether it can burn anything else."
        if begun and "found_on" not in typed:
            faults["found_on"] = "Give the day on which somebody looked."
        return faults


def _plate(at: int) -> str:
    return f"plate_{at}"


PLACES = {
    **{f"plate_fuels/{at}": _plate(at) for at in range(MOST_FUELS)},
    "fuel_records/0/fuels/0": "found",
    "fuel_records/0/fuels/1": "second",
}


def new_form(rulebook: Rulebook, today: date, customers: Sequence[str], told: Mapping[str, Any] | None = None) -> Typed:
    """`told` is an engine as `POST /checks/` has it, of which the form is filled."""
    found = told or {}
    values = {**found, **(found.get("spec") or {})}
    fields = [once_field(), *_facts_fields(rulebook, customers, values)]
    if found.get("fuel_records"):
        fields.append(Field("carry", "Put this on its record", "tick", value="yes", group=FOUND, wide=True))
    fields += fuel_fields(rulebook, today, group=FOUND, needed=False)
    return Typed("machine", fields, NewMachineTyped, PLACES)


def change_form(machine: Machine, rulebook: Rulebook, customers: Sequence[str]) -> Typed:
    spec, customer = machine.specification, machine.customer
    values = {
        "name": machine.name,
        "customer": customer.name if customer else "",
        "model": spec.model if spec else "",
        "spec": spec.spec if spec else "",
        **{name: getattr(machine, name) for name in ("serial", "plate_fuels", PLACE_OF_USE, *FLAGS)},
    }
    version = Field("version", "", "hidden", value=str(machine.version))
    fields = [once_field(), version, *_facts_fields(rulebook, customers, values)]
    return Typed("machine", fields, FactsTyped, PLACES)


def _facts_fields(rulebook: Rulebook, customers: Sequence[str], known: Mapping[str, Any]) -> list[Field]:
    return [
        Field("name", "Name of the machine", hint="As your people call it. No two of yours have the same.",
              value=known.get("name", ""), needed=True),
        Field("customer", "Customer", hint="May be left empty.", value=known.get("customer", ""), offers=customers),
        Field("new_customer", "The customer is new", "tick", "Puts the name on file with your customers."),
        *_plate_fields(rulebook, known),
        Field(PLACE_OF_USE, "Place of use", "select", value=known.get(PLACE_OF_USE) or "",
              choices=chosen_of(_places(rulebook), NOT_KNOWN), group=USE),
        *(Field(flag, NAMES[flag], "select", HINTS.get(flag, ""), SAYS[known.get(flag)],
                chosen_of(YES_NO, NOT_KNOWN), group=USE) for flag in FLAGS),
    ]  # fmt: skip


def _plate_fields(rulebook: Rulebook, known: Mapping[str, Any]) -> list[Field]:
    plate = list(known.get("plate_fuels") or ())
    return [
        Field("model", "Model", value=known.get("model", ""), group=PLATE),
        Field("spec", "Specification number", value=known.get("spec", ""), group=PLATE),
        Field("serial", "Serial", hint="Parts that changed with a serial are told apart by it.",
              value=known.get("serial") or "", group=PLATE),
        *(Field(_plate(at), f"{'Fuel' if at == 0 else 'Second fuel' if at == 1 else 'Another fuel'} on the plate",
                "select", "What left the factory, whatever it burns today." if at == 0 else "",
                value=plate[at] if at < len(plate) else "", group=PLATE,
                choices=chosen_of(_fuels(rulebook, plate), NOT_KNOWN if at == 0 else "none"))
          for at in range(max(FEWEST_FUELS, len(plate)))),
    ]  # fmt: skip


def _fuels(rulebook: Rulebook, on_file: Sequence[str]) -> Choices:
    """What is on file stays to be chosen even where the rules of today do not name it."""
    choices = fuel_choices(rulebook)
    return [*choices, *((code, code) for code in on_file if code not in dict(choices))]


def _places(rulebook: Rulebook) -> Choices:
    definition = rulebook.attributes.get(PLACE_OF_USE)
    return [(code, plain(code)) for code in (definition.vocabulary if definition else ())]


def facts_body(typed: Mapping[str, Any]) -> dict[str, Any]:
    """What was typed as the use cases take it; what was left empty is null, which is unknown."""
    return {
        "name": typed["name"],
        "customer": typed.get("customer"),
        "new_customer": "new_customer" in typed,
        "spec": {"model": typed["model"], "spec": typed["spec"]} if "model" in typed else None,
        "serial": typed.get("serial"),
        "plate_fuels": [typed[_plate(at)] for at in range(MOST_FUELS) if _plate(at) in typed],
        PLACE_OF_USE: typed.get(PLACE_OF_USE),
        **{flag: IS.get(typed.get(flag, "")) for flag in FLAGS},
    }


def tell_differences(typed: Typed, on_file: Typed) -> None:
    """Beside each field that says otherwise, what is on file now."""
    now = {field.name: field for field in on_file.fields}
    for field in typed.fields:
        other = now.get(field.name)
        if field.kind in ("hidden", "tick") or other is None or field.value.strip() == other.value:
            continue
        said = dict(other.choices).get(other.value, other.value) if other.choices else other.value
        field.faults.append(f"On file now: {said or NOT_KNOWN}.")
