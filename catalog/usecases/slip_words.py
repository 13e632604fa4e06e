"""The words of a slip: values, bases and outcomes of a recorded answer as a person at a counter reads them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from catalog.domain.answers import Answer, Verdict
from catalog.domain.applicability import Application
from catalog.domain.fuels import Fuel, RecordMode, differs_from_plate, fuel_words, listed
from catalog.domain.rules import Approver, Rulebook

VERDICTS = {
    Verdict.ACCEPTED: ("\u2713", "Use it"),
    Verdict.CONDITIONAL: ("!", "Use it only if"),
    Verdict.REJECTED: ("\u2717", "Do not use"),
    Verdict.UNDETERMINED: ("?", "Cannot tell yet"),
}
OUTCOMES = {Answer.MET: "met", Answer.MET_IF: "met if", Answer.NOT_MET: "not met", Answer.UNKNOWN: "not known"}
APPROVERS = {
    Approver.SERVICE_MANAGER: "a service manager",
    Approver.GAS_TECHNICIAN: "a licensed gas technician",
}
SEEN = {RecordMode.ONLY_FUEL: "the only fuel it can burn now", RecordMode.BURNS_TODAY: "burned on that day"}
NOT_KNOWN = "not known"


def plain(code: str) -> str:
    return code.replace("_", " ")


def sentence(words: str) -> str:
    """With a capital and a full stop."""
    return f"{words[:1].upper()}{words[1:]}{'' if words.endswith(('.', '?', '!')) else '.'}"


@dataclass(frozen=True, slots=True)
class Names:
    """What codes are called, as the rulebook of the check has it."""

    rulebook: Rulebook

    def attribute(self, finding: Mapping[str, Any]) -> str:
        code = finding["attribute"]
        known = self.rulebook.attributes.get(code)
        name = known.name if known else self.rulebook.rule_names.get(code) or plain(code)
        return f"{name}, {plain(finding['slot'])}" if finding["slot"] else name

    def side(self, side: Mapping[str, Any] | None) -> str | None:
        """A demand or an offer with what it rests on; None where there is none."""
        if side is None:
            return None
        return f"{self.value(side['value'])} ({plain(side['basis'])})"

    def value(self, value: Any) -> str:
        if value is None:
            return NOT_KNOWN
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, list):
            return ", ".join(self.value(one) for one in value) or "none"
        if isinstance(value, Mapping):
            return _measure(value)
        return self._code(str(value))

    def fuels(self, fuels: tuple[Fuel, ...]) -> str:
        return listed(fuels, self.rulebook.fuels)

    def found(self, application: Application) -> Iterator[str]:
        """What somebody saw the engine burning, the latest look first."""
        for record in sorted(application.fuel_records, key=lambda record: record.found_on, reverse=True):
            other = differs_from_plate(application.plate_fuels, (record,)) is not None
            paper = f", {'' if record.conversion_paper else 'no '}conversion paper on record" if other else ""
            yield f"{self.fuels(record.fuels)}, {SEEN[record.mode]}; found {record.found_on.isoformat()}{paper}"
        if application.told_as_plate:
            yield "as the plate says, told at the counter"

    def _code(self, code: str) -> str:
        fuel = Fuel.parse(code)
        if fuel.code in self.rulebook.fuels:
            return fuel_words(fuel, self.rulebook.fuels)
        return plain(code) if code.islower() else code


def _measure(value: Mapping[str, Any]) -> str:
    if "state" in value:
        return {"known_none": "known to be none", "not_applicable": "does not apply"}[value["state"]]
    unit = "" if value.get("unit") in (None, "each", "") else f" {value['unit']}"
    reference = f" {value['reference']}" if value.get("reference") else ""
    return f"{_amount(value)}{unit}{reference}"


def _amount(value: Mapping[str, Any]) -> str:
    if "value" in value:
        return str(value["value"])
    low, high = value.get("min"), value.get("max")
    if low is None or high is None:
        return f"at most {high}" if low is None else f"at least {low}"
    return f"{low} to {high}"


def engine_words(application: Application, names: Names) -> Iterator[tuple[str, str]]:
    """The engine that was asked about, as it stood then: what each line is called, and what it says."""
    yield "Engine", application.specification or "none named: part held against part"
    yield "Serial", _serial(application)
    yield "Fuel on the plate", names.fuels(application.plate_fuels) or NOT_KNOWN
    found = tuple(names.found(application)) or ("nobody has looked, or it is not on record",)
    yield from (("Fuel as found" if place == 0 else "Before that", words) for place, words in enumerate(found))
    yield "Place of use", plain(application.place_of_use or NOT_KNOWN)


def _serial(application: Application) -> str:
    serial = application.serial
    if serial is None:
        return "given, in no known block" if application.serial_in_no_block else NOT_KNOWN
    return f"{serial.prefix}{serial.number}"
