"""A dealer's machines as they come in, read against the published words and the maker's way of numbering."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from catalog.domain.answers import Source, SourceKind
from catalog.domain.rules import Rulebook
from catalog.domain.serials import SerialScheme
from catalog.loading import LoadedSpecification
from catalog.usecases.applications import FLAGS, PLACE_OF_USE, read_fuels, read_place
from catalog.usecases.asked import NamedPart, named_part
from catalog.usecases.reading_drafts import read_medium
from catalog.usecases.refusals import Gathered
from service.errors import DomainError, Invalid

Row = Mapping[str, Any]
FOUND_IN_THE_FUTURE = "found_in_the_future"


@dataclass(frozen=True, slots=True)
class Confirmation:
    """The licensed person who confirmed the equipment after a conversion, on a day the licence was in force."""

    name: str
    licence: str
    area: str
    expires: date
    on: date


@dataclass(frozen=True, slots=True)
class FuelRecordDraft:
    fuels: tuple[str, ...]
    mode: str
    found_on: date
    by: str = ""
    evidence: str = ""
    conversion_paper: bool = False
    confirmed_by: Confirmation | None = None


@dataclass(frozen=True, slots=True)
class AsBuiltDraft:
    """`ports` are (port, fuel, classes), `media` what its seals touch, in the form it is stated in."""

    position: str
    category: str
    quantity: int | None
    branch: str
    ports: tuple[tuple[str, str | None, tuple[str, ...]], ...]
    media: tuple[Row, ...]
    part: NamedPart | None
    maker_text: str
    number_text: str
    removed: bool
    source: Source


@dataclass(frozen=True, slots=True)
class MachineFacts:
    """What is stated of a machine: only what is given, by the column it is kept in."""

    columns: Mapping[str, Any] = field(default_factory=dict)


def read_machine(row: Row, rulebook: Rulebook, specification: LoadedSpecification | None) -> MachineFacts:
    """The columns of a machine that `row` states. Raises what `Gathered.tell` raises, with every problem."""
    problems, columns = Gathered(), dict[str, Any]()
    if "serial" in row:
        with problems.each():
            columns["serial"] = _serial(row["serial"], specification)
    if "plate_fuels" in row:
        columns["plate_fuels"] = read_fuels(row["plate_fuels"] or (), rulebook, "/plate_fuels", problems)
    if PLACE_OF_USE in row:
        columns[PLACE_OF_USE] = read_place(row[PLACE_OF_USE], rulebook, f"/{PLACE_OF_USE}", problems) or ""
    columns |= {flag: row[flag] for flag in FLAGS if flag in row}
    columns |= {name: row[name] for name in ("name", "status") if name in row}
    problems.tell()
    return MachineFacts(columns)


def _serial(text: str | None, specification: LoadedSpecification | None) -> str:
    """As typed. It must be one that can be read; one in no block is kept, since the engine plate may say so."""
    if text is None:
        return ""
    scheme = specification.scheme if specification else SerialScheme()
    try:
        scheme.read(text)
    except DomainError as error:
        raise Invalid(error.message, pointer="/serial", code=error.code) from None
    return text


def read_fuel_record(row: Row, rulebook: Rulebook, *, today: date) -> FuelRecordDraft:
    """Raises what `Gathered.tell` raises, with every problem."""
    problems = Gathered()
    fuels = read_fuels(row["fuels"], rulebook, "/fuels", problems)
    confirmed = row.get("confirmed_by")
    for pointer, day in (("/found_on", row["found_on"]), ("/confirmed_by/on", (confirmed or {}).get("on"))):
        if day is not None and day > today:
            words = f"{day.isoformat()} is still to come; today is {today.isoformat()}. Give the day it was looked at."
            problems.errors.append(Invalid(words, pointer=pointer, code=FOUND_IN_THE_FUTURE))
    if confirmed is not None and confirmed["expires"] < confirmed["on"]:
        words = "The licence had expired on the day of the confirmation; a licence in force on that day is needed."
        problems.errors.append(Invalid(words, pointer="/confirmed_by/expires", code="licence_expired"))
    problems.tell()
    return FuelRecordDraft(
        fuels=tuple(fuels),
        mode=row["mode"],
        found_on=row["found_on"],
        by=row.get("by") or "",
        evidence=row.get("evidence") or "",
        conversion_paper=bool(row.get("conversion_paper")),
        confirmed_by=None if confirmed is None else Confirmation(**confirmed),
    )


def read_as_built(row: Row, rulebook: Rulebook) -> AsBuiltDraft:
    """A position as it is on a converted machine. Raises what `Gathered.tell` raises, with every problem."""
    problems, removed = Gathered(), bool(row.get("removed"))
    category, described, part = row.get("category") or "", row.get("described") or {}, row.get("part")
    branch = read_fuels([row["branch"]], rulebook, "/branch", problems) if row.get("branch") else []
    ports = [
        _port(entry, rulebook, f"/ports/{index}", problems) for index, entry in enumerate(row.get("ports") or ())
    ]  # fmt: skip
    media = [_medium(entry, f"/media/{index}", problems) for index, entry in enumerate(row.get("media") or ())]
    if not removed and not category:
        words = "Give the category of what stands there, or say that it was removed."
        problems.errors.append(Invalid(words, pointer="/category", code="required"))
    if category and category not in rulebook.categories:
        words = f"There is no category {category[:60]!r}; use one of {', '.join(rulebook.categories)}."
        problems.errors.append(Invalid(words, pointer="/category", code="unknown_category"))
    if removed and (part or described):
        words = "A position that was removed holds no part; leave the part out."
        problems.errors.append(Invalid(words, pointer="/part", code="removed_and_filled"))
    if part and described:
        words = "Name the part or describe it, not both."
        problems.errors.append(Invalid(words, pointer="/described", code="part_not_named"))
    problems.tell()
    return AsBuiltDraft(
        position=row["position"],
        category=category,
        quantity=row.get("quantity"),
        branch="".join(branch),
        ports=tuple(ports),
        media=tuple(media),
        part=named_part(part, "/part") if part else None,
        maker_text=described.get("maker_text") or "",
        number_text=described.get("number_text") or "",
        removed=removed,
        source=Source(SourceKind(row["source"]["kind"]), row["source"]["citation"]),
    )


def _medium(entry: Row, pointer: str, problems: Gathered) -> Row:
    with problems.each():
        read_medium(entry, pointer)
    stated = {name: entry.get(name) for name in ("slot", "temperature", "dynamic")}
    return {"name": entry["name"], **stated, "slot": stated["slot"] or None}


def _port(entry: Row, rulebook: Rulebook, pointer: str, problems: Gathered) -> tuple[str, str | None, tuple[str, ...]]:
    classes: Sequence[str] = entry["classes"]
    for index, code in enumerate(classes):
        if code not in rulebook.classes:
            words = f"There is no fuel service class {code[:40]!r}; use one of {', '.join(rulebook.classes)}."
            problems.errors.append(Invalid(words, pointer=f"{pointer}/classes/{index}", code="unknown_code"))
    fuel = read_fuels([entry["fuel"]], rulebook, f"{pointer}/fuel", problems) if entry.get("fuel") else []
    return entry["port"], fuel[0] if fuel else None, tuple(classes)
