"""The tables `specifications`, `positions` and `supply_stages`: what is read of an engine build, as its document."""

from __future__ import annotations

from operator import itemgetter

from catalog.domain.import_cells import medium, port
from catalog.domain.import_parts import source_of
from catalog.domain.import_rows import Gathering, RowReader
from catalog.domain.import_tables import (
    CODE_LENGTH,
    LARGEST_SMALL,
    MAKER_LENGTH,
    NAME_LENGTH,
    VALUE_PREFIX,
    Aggregate,
    Column,
    Reading,
    Table,
    keyed_by,
    value_column,
)
from catalog.domain.supply.stages import StageKind
from catalog.domain.value_text import value_document
from service.errors import Invalid

BETWEEN_DEMANDS = ";"
NO_PREFIX = "-"  # a block of serial numbers that have no prefix


def _read_specification(row: RowReader, built: Gathering, _: Reading) -> None:
    for column, code in zip(("model", "spec"), built.key, strict=True):
        built.put(column, code, row.cell(column))
    _put(row, built, "maker", row.text("maker", longest=MAKER_LENGTH))
    for column in ("maker_name", "name"):
        _put(row, built, column, row.text(column, longest=NAME_LENGTH))
    _put(row, built, "status", _status(row))
    for column in ("cylinders", "heads"):
        _put(row, built, column, row.whole(column, most=LARGEST_SMALL))
    _put(row, built, "fuels", row.several("fuels"))
    prefixes = row.several("serial_prefixes")
    if prefixes is not None:
        _put(row, built, "serial_prefixes", ["" if prefix == NO_PREFIX else prefix for prefix in prefixes])


def _status(row: RowReader) -> str | None:
    found = row.text("status")
    if found not in (None, "active", "withdrawn"):
        row.refuse("status", "unknown_code", f"status: {found!r} was given; use active or withdrawn.")
        return None
    return found


def _put(row: RowReader, built: Gathering, column: str, value: object) -> None:
    if value is not None:
        built.put(column, value, row.cell(column))


def _read_position(row: RowReader, built: Gathering, reading: Reading) -> None:
    for column, spec in zip(("model", "spec"), built.key, strict=True):
        built.put(column, spec, row.cell(column))
    code = row.needed("position", "the position's code", longest=CODE_LENGTH)
    stated: dict[str, object] = {
        "code": code,
        "inside_of": row.text("inside_of"),
        "name": row.text("name", longest=NAME_LENGTH),
        "category": row.text("category"),
        "quantity": row.whole("quantity", most=LARGEST_SMALL),
        "branch": row.text("branch"),
        "carries_fuel": row.flag("carries_fuel"),
        "adapter_forbidden": row.text("adapter_forbidden", longest=NAME_LENGTH),
        "ports": row.each("ports", port, known_by=itemgetter("port", "fuel")),
        "media": row.each("media", lambda text: medium(text, decimal=row.decimal), known_by=itemgetter("name", "slot")),
        "demands": _demands(row, reading),
    }
    entry = {name: value for name, value in stated.items() if value is not None}
    pointer = built.append("positions", entry, known_by=code, cell=row.cell("position"))
    if pointer is not None:
        built.cells |= {f"{pointer}/{name}": row.cell(name) for name in entry if name != "code"}


def _demands(row: RowReader, reading: Reading) -> list[dict[str, object]] | None:
    found = _stated_values("demands", row, reading)
    return None if found is None else [{**demand, "basis": "stated"} for demand in found]


def _stated_values(column: str, row: RowReader, reading: Reading) -> list[dict[str, object]] | None:
    """`max_pressure = 310 kPa gauge; joint_form@inlet = npt`, each with the source of the row."""
    written = row.text(column)
    source = source_of(row) if written is not None else None
    if written is None or source is None:
        return None
    found: dict[object, dict[str, object]] = {}
    for text in written.split(BETWEEN_DEMANDS):
        if text.strip():
            with row.reading(column):
                stated = _stated_value(text.strip(), row, reading, source)
                place = stated["attribute"], stated["slot"]
                if place in found:
                    raise Invalid(f"{column}: {text.strip()[:60]!r} states the same thing again.", code="stated_twice")
                found[place] = stated
    return list(found.values())


def _stated_value(text: str, row: RowReader, reading: Reading, source: dict[str, str]) -> dict[str, object]:
    place, equals, value = text.partition("=")
    if not equals:
        raise Invalid(f"{text[:60]!r} is no value; write it like max_pressure = 310 kPa gauge.", code="not_a_value")
    column = value_column(f"{VALUE_PREFIX}{place.strip()}", reading.attributes)
    stated = value_document(value, column.definition, measured_in=column.measured_in, decimal=row.decimal)
    return {"attribute": column.definition.code, "slot": column.slot, "value": stated, "source": source}


def _read_stage(row: RowReader, built: Gathering, reading: Reading) -> None:
    for column, code in zip(("model", "spec"), built.key, strict=True):
        built.put(column, code, row.cell(column))
    fuel = row.needed("fuel", "the fuel whose line it is", longest=CODE_LENGTH)
    number = row.whole("stage", most=LARGEST_SMALL)
    stated: dict[str, object] = {
        "fuel": fuel,
        "kind": row.needed("kind", "what kind of stage it is", longest=CODE_LENGTH),
        "name": row.text("name", longest=NAME_LENGTH),
        "position": row.text("position", longest=CODE_LENGTH),
        "values": _stated_values("values", row, reading),
    }
    if fuel is None or number is None or not _in_order(row, built, fuel, number):
        return
    entry = {name: value for name, value in stated.items() if value is not None}
    pointer = built.append("supply_stages", entry, known_by=(fuel, number), cell=row.cell("stage"))
    if pointer is not None:
        built.cells |= {f"{pointer}/{name}": row.cell(name) for name in entry}


def _in_order(row: RowReader, built: Gathering, fuel: str, number: int) -> bool:
    """Whether this is the next stage of its line, or one said before."""
    stages = built.document.get("supply_stages")
    before = sum(stage["fuel"] == fuel for stage in stages) if isinstance(stages, list) else 0
    if 1 <= number <= before + 1:
        return True
    words = f"stage: {number} was given where {before + 1} is next; count the stages of a fuel from 1, row by row."
    row.refuse("stage", "out_of_order", words)
    return False


_SPEC = (
    Column("model", "The engine model.", "OLM-K55", needed=True),
    Column("spec", "The number of the build that decides parts.", "D-30A", needed=True),
)

SPECIFICATIONS = Table(
    name="specifications",
    says="An engine specification a row. What a row does not mention stays as it is.",
    aggregate=Aggregate.SPECIFICATION,
    key=keyed_by("model", "spec"),
    read=_read_specification,
    columns=(
        Column("maker", "The engine maker's short name. Needed for a specification that is new.", "OLM"),
        Column("maker_name", "The maker's name in full, for a maker that is new.", "Olmsey Diesel"),
        *_SPEC,
        Column("name", "What it drives, in words.", "pump-set engine, diesel"),
        Column("cylinders", "How many cylinders.", "4"),
        Column("heads", "How many cylinder heads.", "1"),
        Column("fuels", "The fuels it can be built for.", "gasoline | lpg_liquid"),
        Column("serial_prefixes", f"The prefixes of its blocks of serial numbers; {NO_PREFIX} is a block without one.",
               f"{NO_PREFIX} | K"),
        Column("status", "active or withdrawn.", "active"),
    ),
)  # fmt: skip

POSITIONS = Table(
    name="positions",
    says="A position of an engine specification a row. A position that is not mentioned stays, and so does what a row "
    "leaves empty.",
    aggregate=Aggregate.SPECIFICATION,
    key=keyed_by("model", "spec"),
    read=_read_position,
    columns=(
        *_SPEC,
        Column("position", "The position's code in this specification.", "fuel_feed_hose", needed=True),
        Column("name", "What it is called at a counter.", "fuel feed hose"),
        Column("category", "The code of the category that sits there.", "fuel_hose", needed=True),
        Column("quantity", "How many sit there; empty is not known.", "1"),
        Column("branch", "The fuel whose branch it is in; empty is common to all.", "lpg_liquid"),
        Column("carries_fuel", "yes or no; yes where it is left out.", "yes"),
        Column("ports", "The fuel service at each port, with @ and a fuel where it holds for that fuel burned only.",
               "inlet: GAS-PI @ gasoline | inlet: LPG-VI + LPG-CL @ lpg_liquid"),
        Column("media", "What the seals touch: medium, @side, temperatures, static or dynamic; all but the medium may "
               "be left out.", "coolant@coolant_side 0..105 degC dynamic"),
        Column("demands", "What the maker asks here: attribute, @slot, = value, with ; between them. A joint names the "
               "half that mates.", "max_pressure = 310 kPa gauge; joint_form@inlet = npt"),
        Column("inside_of", "The code of the position whose kit fills this one.", "regulator_kit"),
        Column("adapter_forbidden", "Why no adapter may stand here; empty where one may.", "keyed to the liquid phase"),
        Column("source_kind", "What sort of source states the demands. Needed where one is stated.", "maker"),
        Column("source", "The source itself.", "engine sheet 2025"),
    ),
)  # fmt: skip

SUPPLY_STAGES = Table(
    name="supply_stages",
    says="A stage of a fuel's supply line a row, from the container to the engine. The rows of a fuel take the place "
    "of all that was recorded of its line.",
    aggregate=Aggregate.SPECIFICATION,
    key=keyed_by("model", "spec"),
    read=_read_stage,
    columns=(
        *_SPEC,
        Column("fuel", "The fuel whose line it is.", "lpg_liquid", needed=True),
        Column("stage", "Its place in the line, counted from 1 at the container or meter.", "1", needed=True),
        Column("kind", f"What it does: {', '.join(StageKind)}.", "container", needed=True),
        Column("name", "What it is called; a position's own name where it is left empty.", "gas rail"),
        Column("position", "The code of the position that it is, where a part of the build is it.", "vaporiser"),
        Column("values", "What is known of it by itself: attribute, @slot, = value, with ; between them.",
               "rail_pressure = 24..30 psi gauge"),
        Column("source_kind", "What sort of source states the values. Needed where one is stated.", "maker"),
        Column("source", "The source itself.", "engine sheet 2025"),
    ),
)  # fmt: skip
