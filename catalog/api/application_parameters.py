"""An engine as it stands, as the parameters of a GET: a machine, or the facts of an application one by one."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from rest_framework.exceptions import ErrorDetail, ValidationError

from catalog.api.shapes import CODE_LENGTH, TEXT_LENGTH, ApplicationShape
from catalog.domain.fuels import RecordMode
from service.http.fields import Choice, Day, Identifier, Text
from service.http.query import FlagParameter, QueryParameters

FUELS_LENGTH = 500
_RECORD = ("found_fuels", "found_mode", "found_on")
_PLAIN = ("serial", "place_of_use", "certified", "dusty", "ecu")


class ApplicationParameters(QueryParameters):
    """What is left out is unknown. Several fuels are set apart by commas."""

    machine = Identifier(required=False, help_text="A machine of yours, instead of what follows.")
    model = Text(required=False, max_length=CODE_LENGTH, help_text="The engine's model; give spec with it.")
    spec = Text(required=False, max_length=CODE_LENGTH, help_text="The number of its build.")
    serial = Text(required=False, max_length=TEXT_LENGTH)
    plate_fuels = Text(required=False, max_length=FUELS_LENGTH, help_text="Set apart by commas.")
    found_fuels = Text(required=False, max_length=FUELS_LENGTH, help_text="What it was found burning.")
    found_mode = Choice(
        choices=[mode.value for mode in RecordMode], required=False,
        help_text="burns_today where it is left out; only_fuel takes the plate's place.",
    )  # fmt: skip
    found_on = Day(required=False, help_text="When it was found burning that; needed with found_fuels.")
    place_of_use = Text(required=False, max_length=CODE_LENGTH)
    certified = FlagParameter(required=False)
    dusty = FlagParameter(required=False)
    ecu = FlagParameter(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        faults = dict[str, list[ErrorDetail]]()
        others = [name for name in attrs if name in ("model", "spec", "plate_fuels", *_RECORD, *_PLAIN)]
        if "machine" in attrs and others:
            words = "The machine stands for the engine; leave this out."
            faults |= {name: [ErrorDetail(words, code="machine_and_application")] for name in others}
        if ("model" in attrs) != ("spec" in attrs):
            lacking = "spec" if "model" in attrs else "model"
            faults[lacking] = [ErrorDetail("Give model and spec together.", code="required")]
        if "found_fuels" in attrs and "found_on" not in attrs:
            faults["found_on"] = [ErrorDetail("Say when it was found burning that.", code="required")]
        if "found_fuels" not in attrs and ("found_mode" in attrs or "found_on" in attrs):
            faults["found_fuels"] = [ErrorDetail("Say what it was found burning.", code="required")]
        if faults:
            raise ValidationError(faults)
        return attrs


def engine_of(wanted: Mapping[str, Any]) -> dict[str, Any]:
    """The members `machine` or `application` of a check's body; neither where no engine is named."""
    if "machine" in wanted:
        return {"machine": wanted["machine"]}
    found: dict[str, Any] = {name: wanted[name] for name in _PLAIN if name in wanted}
    if "model" in wanted:
        found["spec"] = {"model": wanted["model"], "spec": wanted["spec"]}
    if "plate_fuels" in wanted:
        found["plate_fuels"] = _listed(wanted["plate_fuels"])
    if "found_fuels" in wanted:
        mode = wanted.get("found_mode", RecordMode.BURNS_TODAY.value)
        day = wanted["found_on"].isoformat()
        found["fuel_records"] = [{"fuels": _listed(wanted["found_fuels"]), "mode": mode, "found_on": day}]
    return {"application": _shape().run_validation(found)} if found else {}


@cache
def _shape() -> ApplicationShape:
    """One reader for every request: making its nested fields anew costs more than reading with them."""
    return ApplicationShape()


def _listed(text: str) -> list[str]:
    return [fuel.strip() for fuel in text.split(",") if fuel.strip()]
