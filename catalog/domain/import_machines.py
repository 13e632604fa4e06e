"""The tables `machines`, `fuel_records` and `as_built`: a dealer's engines as they stand, in their document form."""

from __future__ import annotations

from datetime import date
from operator import itemgetter

from catalog.domain.fuels import RecordMode
from catalog.domain.import_cells import medium, port
from catalog.domain.import_parts import source_of, undamaged
from catalog.domain.import_rows import Gathering, RowReader
from catalog.domain.import_tables import (
    CODE_LENGTH,
    LARGEST_SMALL,
    MAKER_LENGTH,
    NUMBER_LENGTH,
    Aggregate,
    Column,
    Reading,
    Table,
    keyed_by,
)

MACHINE_NAME_LENGTH, CUSTOMER_NAME_LENGTH, SERIAL_LENGTH, EVIDENCE_LENGTH = 120, 200, 40, 500
_FLAGS = ("dusty", "certified", "ecu")
_NAME = Column("machine", "The dealer's own name for the machine.", "Truck 7", needed=True)


def _put(row: RowReader, machine: Gathering, column: str, value: object, key: str = "") -> None:
    if value is not None:
        machine.put(key or column, value, row.cell(column))


def _read_machine(row: RowReader, machine: Gathering, _: Reading) -> None:
    machine.put("name", row.text("machine", longest=MACHINE_NAME_LENGTH), row.cell("machine"))
    _put(row, machine, "customer", row.text("customer", longest=CUSTOMER_NAME_LENGTH))
    model, spec = row.text("model", longest=CODE_LENGTH), row.text("spec", longest=CODE_LENGTH)
    if (model is None) != (spec is None):
        row.refuse("spec", "missing", "Give model and specification number together, or neither where unknown.")
    _put(row, machine, "spec", {"model": model, "spec": spec} if model and spec else None)
    if row.text("serial"):
        undamaged(row, "serial")
    _put(row, machine, "serial", row.text("serial", longest=SERIAL_LENGTH))
    _put(row, machine, "plate_fuels", row.several("plate_fuels"))
    _put(row, machine, "place_of_use", row.text("place_of_use", longest=CODE_LENGTH))
    for flag in _FLAGS:
        _put(row, machine, flag, row.flag(flag))


def _read_record(row: RowReader, machine: Gathering, _: Reading) -> None:
    fuels, mode, found_on = row.several("fuels"), row.one_of("mode", RecordMode), _day(row, "found_on")
    record = {
        "fuels": fuels,
        "mode": mode,
        "found_on": found_on,
        "by": row.text("by", longest=CUSTOMER_NAME_LENGTH),
        "evidence": row.text("evidence", longest=EVIDENCE_LENGTH),
        "conversion_paper": row.flag("conversion_paper") or False,
    }
    for column in ("fuels", "mode", "found_on"):
        row.needed(column, "it; a record says what was found, and when")
    if fuels and mode and found_on:
        known_by = (found_on, mode, tuple(fuels))
        machine.append("fuel_records", record, known_by=known_by, cell=row.whole_row)


def _day(row: RowReader, column: str) -> date | None:
    text = row.text(column)
    if text is None:
        return None
    try:
        found = date.fromisoformat(text)
    except ValueError:
        found = None
    if found is None or found.isoformat() != text:
        row.refuse(column, "not_a_day", f"{column}: {text[:60]!r} was given; write a date like 2026-03-09.")
        return None
    return found


def _read_as_built(row: RowReader, machine: Gathering, _: Reading) -> None:
    position = row.needed("position", "the position's code", longest=CODE_LENGTH)
    maker, number = row.text("maker", longest=MAKER_LENGTH), row.text("number", longest=NUMBER_LENGTH)
    if (maker is None) != (number is None):
        row.refuse("number", "missing", "Give maker and number together, or neither.")
    if number:
        undamaged(row, "number")
    entry = {
        "position": position,
        "category": row.text("category", longest=CODE_LENGTH),
        "quantity": row.whole("quantity", most=LARGEST_SMALL),
        "branch": row.text("branch", longest=CODE_LENGTH),
        "ports": row.each("ports", port, known_by=itemgetter("port", "fuel")) or [],
        "media": row.each("media", lambda text: medium(text, decimal=row.decimal), known_by=itemgetter("name", "slot"))
        or [],
        "part": {"maker": maker, "number": number} if maker and number else None,
        "removed": row.flag("removed") or False,
        "source": source_of(row),
    }
    if position is not None and entry["source"] is not None:
        machine.append("as_built", entry, known_by=position, cell=row.whole_row)


_SOURCE = (
    Column("source_kind", "What sort of source says it.", "record", needed=True),
    Column("source", "The source itself.", "looked at on 2024-05-06", needed=True),
)
MACHINES = Table(
    name="machines",
    says="A machine of the dealer a row. What a row does not mention stays as it is.",
    aggregate=Aggregate.MACHINE,
    key=keyed_by("machine"),
    read=_read_machine,
    columns=(
        _NAME,
        Column("customer", "Whose it is, by name; added where it is not there yet.", "Cold Ash Ice Hall"),
        Column("model", "The engine model.", "VRD-H40"),
        Column("spec", "The number of the build, with model.", "S-131"),
        Column("serial", "As typed off the engine plate; empty is unknown. Keep the cell as text.", "131077"),
        Column("plate_fuels", "The fuels on the plate.", "natural_gas | lpg_vapour"),
        Column("place_of_use", "Where it runs.", "indoor"),
        Column("dusty", "yes or no; empty is unknown.", "yes"),
        Column("certified", "yes or no: whether the engine is certified for emissions.", "no"),
        Column("ecu", "yes or no: whether it has an engine control unit.", "no"),
    ),
)
FUEL_RECORDS = Table(
    name="fuel_records",
    says="What a machine was found burning, a look a row. A record is added where it is not there yet.",
    aggregate=Aggregate.MACHINE,
    key=keyed_by("machine"),
    read=_read_record,
    columns=(
        _NAME,
        Column("fuels", "The fuels found.", "lpg_vapour", needed=True),
        Column("mode", "burns_today, or only_fuel where it can burn nothing else now.", "only_fuel", needed=True),
        Column("found_on", "The day it was looked at.", "2024-05-06", needed=True),
        Column("by", "Who looked.", "J. Haverill"),
        Column("evidence", "What shows it.", "photo, work order 4471"),
        Column("conversion_paper", "yes where a paper of the conversion is on record.", "no"),
    ),
)
AS_BUILT = Table(
    name="as_built",
    says="A position as it stands on a converted machine, a position a row; it takes the specification's place.",
    aggregate=Aggregate.MACHINE,
    key=keyed_by("machine"),
    read=_read_as_built,
    columns=(
        _NAME,
        Column("position", "The position's code.", "vaporiser", needed=True),
        Column("category", "What stands there, see GET /categories/; needed unless removed.", "regulator"),
        Column("quantity", "How many sit there; empty is as many as the specification has.", "1"),
        Column("branch", "The fuel it is for; empty where it is common to all.", "lpg_vapour"),
        Column("ports", "The fuel services at its ports.", "inlet: LPG-CV @ lpg_vapour | outlet: LPG-V2 @ lpg_vapour"),
        Column(
            "media",
            "What its seals touch: medium, @side, temperatures, static or dynamic; all but the medium may be left out.",
            "lpg_vapour@fuel_side -30..60 degC",
        ),
        Column("maker", "The maker of the part that stands there.", "TSK"),
        Column("number", "Its number as printed, with maker.", "Z-90"),
        Column("removed", "yes where nothing stands there any more.", "no"),
        *_SOURCE,
    ),
)
