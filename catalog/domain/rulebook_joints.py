"""What mates, read from a rulebook document: pairs of halves, and for joints their forms, threads and look-alikes.

`joints` of a mate table: `form`, `size`, `pitch` and `external_gender` name attributes and the gender that goes in;
`rows` hold one row for each external form with a cell for every internal one; `threads` give diameter in millimetres
and threads to the inch by form and size, or name the thread of a dash number; `look_alikes` pair sizes of one group of
forms with sizes of another; `one_size` groups sizes that one hose serves alike. Refused in words: a row that lacks a
cell, one that says other than the row for the same two forms the other way round without saying why, a pair of genders
that is answered one way only.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from catalog.domain.answers import Answer, distinct
from catalog.domain.document_fields import Fields, refusal, source_of
from catalog.domain.joints import INCH, Cell, Form, JointTable, Place, Thread, diameter_of, size_key, size_of
from catalog.domain.rules import AttributeDefinition, Category, ComparisonKind, MateTable, Rule

_TABLE = ("name", "equal", "paired", "pairs", "joints", "source")
_JOINTS = ("form", "size", "pitch", "external_gender", "names", "internal", "external", "rows", "threads",
           "look_alikes", "pitch_needed", "gas_free_slots", "one_size")  # fmt: skip
_CELL = ("answer", "condition", "because", "on_fuel_gas", "one_way")
_SIZE = ("diameter", "per_inch", "thread", "also")
_LISTED = "listed_twice"


def read_mate_tables(top: Fields) -> dict[str, MateTable]:
    """Every table of what mates by its code. Raises Invalid with the path of what is wrong, in words."""
    return {code: _mate_table(code, table) for code, table in top.named("mate_tables", _TABLE)}


def _mate_table(code: str, table: Fields) -> MateTable:
    joints = None
    if table.has("joints"):
        joints = _joints(Fields.of(table.get("joints"), table.path("joints"), _JOINTS))
    return MateTable(code, table.texts("equal"), table.text("paired", ""), _halves(table), joints)


def _halves(table: Fields) -> dict[tuple[str, str], tuple[Answer, str]]:
    pairs: dict[tuple[str, str], tuple[Answer, str]] = {}
    for row in table.rows("pairs", ("demanded", "offered", "answer", "condition")):
        pair = row.text("demanded"), row.text("offered")
        if pair in pairs:
            raise refusal(row.pointer, f"{pair[0]} with {pair[1]} is listed twice; keep one", _LISTED)
        pairs[pair] = row.one_of("answer", Answer), row.text("condition", "")
    for (one, other), answered in pairs.items():
        if pairs.get((other, one)) != answered:
            detail = f"{one} with {other} is {answered[0].value}, so {other} with {one} has to say the same"
            raise refusal(table.path("pairs"), detail, "asymmetric")
    return pairs


def _joints(section: Fields) -> JointTable:
    names = Fields.of(section.raw.get("names", {}), section.path("names"))
    table = JointTable(
        form=section.text("form"),
        size=section.text("size"),
        pitch=section.text("pitch"),
        external_gender=section.text("external_gender"),
        cells=_cells(section),
        names={form: names.text(form) for form in names.raw},
        pitch_needed=frozenset(section.texts("pitch_needed")),
        gas_free_slots=frozenset(section.texts("gas_free_slots")),
    )
    table = _with_threads(table, section)
    table = replace(table, spelled={**table.spelled, **_of_one_size(table, section)})
    return replace(table, look_alikes=dict(_look_alikes(table, section)))


def _cells(section: Fields) -> dict[tuple[Form, Form], Cell]:
    internal, external = section.texts("internal"), section.texts("external")
    cells: dict[tuple[Form, Form], Cell] = {}
    excused: set[tuple[Form, Form]] = set()
    for row in section.rows("rows", ("external", "cells", "source")):
        source_of(row)
        form, raw = row.text("external"), Fields.of(row.get("cells"), row.path("cells"))
        if form not in external or any((form, other) in cells for other in internal):
            raise refusal(row.path("external"), f"{form!r} has a row already or is not an external form", _LISTED)
        _complete(raw, internal, f"the row of external {form}")
        for other in internal:
            cell = Fields.of(raw.get(other), raw.path(other), _CELL)
            cells[form, other] = _cell(cell)
            if cell.has("one_way"):
                excused.add((form, other))
    _complete(Fields(dict.fromkeys(form for form, _ in cells), section.path("rows")), external, "the table")
    _both_ways(section, cells, excused)
    return cells


def _cell(cell: Fields) -> Cell:
    answer = cell.one_of("answer", Answer)
    condition = cell.text("condition", None if answer is Answer.MET_IF else "")
    on_gas = cell.one_of("on_fuel_gas", Answer) if cell.has("on_fuel_gas") else None
    return Cell(answer, condition, cell.text("because", ""), on_gas)


def _complete(held: Fields, wanted: Iterable[str], what: str) -> None:
    lacking, unknown = [c for c in wanted if c not in held.raw], [c for c in held.raw if c not in tuple(wanted)]
    if lacking:
        raise refusal(held.pointer, f"{what} says nothing of {', '.join(lacking)}", "incomplete")
    if unknown:
        raise refusal(held.pointer, f"{what} names {', '.join(unknown)}, which is not among the forms", "unknown_name")


def _both_ways(section: Fields, cells: Mapping[tuple[Form, Form], Cell], excused: Iterable[tuple[Form, Form]]) -> None:
    for (one, other), cell in cells.items():
        back = cells.get((other, one))
        if back is None or (back.answer, back.on_fuel_gas) == (cell.answer, cell.on_fuel_gas):
            continue
        if not {(one, other), (other, one)} & set(excused):
            detail = (
                f"external {one} in internal {other} is {cell.answer.value}, and external {other} in internal {one} is "
                f"{back.answer.value}; make them one, or say in one_way why they differ"
            )
            raise refusal(section.path("rows"), detail, "asymmetric")


def _with_threads(table: JointTable, section: Fields) -> JointTable:
    """Threads by form and size; sizes that are dash numbers make the form one that is read by dash."""
    threads: dict[Place, Thread] = {}
    spelled: dict[Place, str] = {}
    for group in section.rows("threads", ("forms", "angle", "sizes", "source")):
        source_of(group)
        sizes = Fields.of(group.get("sizes"), group.path("sizes"))
        angle = group.whole("angle", 0) or None
        for form in group.texts("forms"):
            if any(size.startswith("-") for size in sizes.raw):
                table = replace(table, by_dash=table.by_dash | {form})
            for size, row in ((size, Fields.of(sizes.raw[size], sizes.path(size), _SIZE)) for size in sizes.raw):
                key = table.sized(form, size).key
                if (form, key) in threads:
                    raise refusal(row.pointer, f"{form} {size} is listed twice; keep one", _LISTED)
                threads[form, key] = _thread(row, angle)
                also = (*row.texts("also"), *((row.text("thread"),) if row.has("thread") else ()))
                spelled |= {(form, size_key(other)): key for other in also}
    return replace(table, threads=threads, spelled=spelled)


def _of_one_size(table: JointTable, section: Fields) -> dict[Place, str]:
    """Sizes without a thread that one hose or pipe serves alike, each group under the first that is written."""
    found: dict[Place, str] = {}
    for row in section.rows("one_size", ("forms", "sizes", "source")):
        source_of(row)
        first, *others = row.texts("sizes")
        for form in row.texts("forms"):
            key = table.sized(form, first).key
            taken = [other for other in (first, *others) if (form, size_key(other)) in found]
            if taken:
                raise refusal(row.path("sizes"), f"{form} {taken[0]} is in another group already; keep one", _LISTED)
            found |= {(form, size_key(other)): key for other in (first, *others)}
    return found


def _thread(row: Fields, angle: int | None) -> Thread:
    if row.has("thread"):
        size = size_of(size_key(row.text("thread")))
        diameter = diameter_of(size.key)
        if diameter is None or size.pitch is None:
            raise refusal(row.path("thread"), "a thread is written like 3/4-16 or M20x1.5", "malformed")
        return Thread(diameter, size.pitch, angle)
    return Thread(_positive(row, "diameter"), INCH / _positive(row, "per_inch"), angle)


def _positive(row: Fields, key: str) -> Fraction:
    try:
        found = Fraction(row.text(key))
    except ValueError:
        found = Fraction(0)
    if found <= 0:
        raise refusal(row.path(key), "a decimal above zero is expected, as text", "not_a_decimal")
    return found


def _look_alikes(table: JointTable, section: Fields) -> Iterator[tuple[tuple[Place, Place], str]]:
    for row in section.rows("look_alikes", ("one", "other", "sizes", "because", "source")):
        source_of(row)
        because = row.text("because")
        for place, _ in enumerate(row.items("sizes")):
            sizes = Fields({str(place): row.items("sizes")[place]}, row.path("sizes")).texts(str(place))
            if len(sizes) != 2:
                raise refusal(f"{row.path('sizes')}/{place}", "two sizes are expected: one of each side")
            for one in row.texts("one"):
                for other in row.texts("other"):
                    pair = table.sized(one, sizes[0]).place(one), table.sized(other, sizes[1]).place(other)
                    yield pair, because
                    yield (pair[1], pair[0]), because


def reading_pitch(
    category: Category, mates: Mapping[str, MateTable], attributes: Mapping[str, AttributeDefinition]
) -> Category:
    """The category with the pitch read along wherever one of its rules weighs a joint: a joint is one thing."""
    rules = tuple(_with_pitch(rule, mates, attributes) for rule in category.rules)
    added = (member for rule in rules for member in rule.attributes if member not in category.attributes)
    return replace(category, rules=rules, attributes=distinct((*category.attributes, *added)))


def _with_pitch(rule: Rule, mates: Mapping[str, MateTable], attributes: Mapping[str, AttributeDefinition]) -> Rule:
    table = mates.get(rule.comparison.table) if rule.comparison.kind is ComparisonKind.MATES_WITH else None
    pitch = attributes.get(table.joints.pitch) if table is not None and table.joints is not None else None
    if pitch is None or pitch.code in rule.attributes or not set(rule.slots) <= set(pitch.slots):
        return rule
    return replace(rule, attributes=(*rule.attributes, pitch.code))
