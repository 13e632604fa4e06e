"""The engine a question is about, read against the published words and the maker's way of numbering."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from catalog.domain.fuels import known_fuel
from catalog.domain.rules import Rulebook
from catalog.domain.serials import Serial, SerialScheme
from catalog.loading import LoadedSpecification
from catalog.usecases.refusals import Gathered
from service.errors import DomainError, Invalid

PLACE_OF_USE = "place_of_use"
FLAGS = ("dusty", "certified", "ecu")


def read_application(
    body: Mapping[str, Any] | None,
    specification: LoadedSpecification | None,
    rulebook: Rulebook,
    *,
    today: date,
    at: str = "/application",
) -> dict[str, Any]:
    """The application as a document of facts. Raises what `Gathered.tell` raises, with every problem there is.

    `at` is where the application stands in what was sent, for the pointers of problems.

    The day of asking is not among the facts: nothing is decided by it, and the same question asked again has to
    come to the same digest. It only bounds the dates of what was found.
    """
    body = body or {}
    problems = Gathered()
    document = {
        "specification": specification.key if specification else None,
        **_serial(body.get("serial"), specification, f"{at}/serial", problems),
        "plate_fuels": read_fuels(body.get("plate_fuels"), rulebook, f"{at}/plate_fuels", problems),
        "fuel_records": [
            _record(record, rulebook, f"{at}/fuel_records/{index}", today, problems)
            for index, record in enumerate(body.get("fuel_records") or ())
        ],
        PLACE_OF_USE: read_place(body.get(PLACE_OF_USE), rulebook, f"{at}/{PLACE_OF_USE}", problems),
        **{flag: body.get(flag) for flag in FLAGS},
        "on": body["date"].isoformat() if body.get("date") else None,
    }
    problems.tell()
    return document


def _serial(
    text: str | None, specification: LoadedSpecification | None, pointer: str, problems: Gathered
) -> dict[str, Any]:
    """A serial in no block is an answer, and one that holds no number at all is a problem."""
    serial: Serial | None = None
    if text is not None:
        scheme = specification.scheme if specification else SerialScheme()
        try:
            serial = scheme.read(text)
        except DomainError as error:
            problems.errors.append(Invalid(error.message, pointer=pointer, code=error.code))
    in_no_block = text is not None and serial is None and specification is not None
    return {
        "serial": None if serial is None else [serial.prefix, serial.number],
        "serial_in_no_block": in_no_block,
    }


def read_fuels(texts: Sequence[str] | None, rulebook: Rulebook, pointer: str, problems: Gathered) -> list[str]:
    """Fuels with their grades in the published words, each once."""
    found: list[str] = []
    for index, text in enumerate(texts or ()):
        try:
            found.append(known_fuel(text, rulebook.fuels).text)
        except DomainError as error:
            problems.errors.append(Invalid(error.message, pointer=f"{pointer}/{index}", code=error.code))
    return list(dict.fromkeys(found))


def _record(
    body: Mapping[str, Any], rulebook: Rulebook, pointer: str, today: date, problems: Gathered
) -> dict[str, Any]:
    found_on: date = body["found_on"]
    if found_on > today:
        words = f"Found on {found_on.isoformat()}, and today is {today.isoformat()}; give the day it was looked at."
        problems.errors.append(Invalid(words, pointer=f"{pointer}/found_on", code="found_in_the_future"))
    return {
        "fuels": read_fuels(body["fuels"], rulebook, f"{pointer}/fuels", problems),
        "mode": body["mode"],
        "found_on": found_on.isoformat(),
        "conversion_paper": bool(body.get("conversion_paper")),
    }


def read_place(text: str | None, rulebook: Rulebook, pointer: str, problems: Gathered) -> str | None:
    """A place of use in the published words."""
    definition = rulebook.attributes.get(PLACE_OF_USE)
    known = definition.vocabulary if definition else ()
    if text is not None and known and text not in known:
        words = f"{text[:40]!r} is no place of use; use one of {', '.join(known)}."
        problems.errors.append(Invalid(words, pointer=pointer, code="unknown_code"))
    return text
