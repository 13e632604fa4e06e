"""A rulebook document as rows that are edited one at a time: a rule, an attribute, one pair of a table.

`split` and `join` are each other's reverse. The key of a row is its code; of a rule `<category>.<rule>`; of a table's
pair, grade or window `<table>.<what it is about>`; of a row of a list what it is about, e.g. `LPG-CL`. Where two rows
are about the same, the second is `...2`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from catalog.domain.document_fields import refusal
from catalog.domain.rulebook_document import KEYED, LISTED

Content = Mapping[str, Any]
RULES = "rules"
_OF_CATEGORY = "categories"
_STRANGE = re.compile(r"[^A-Za-z0-9_-]+")
_CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")


@dataclass(frozen=True, slots=True)
class Nested:
    """A list inside the rows of a section, whose entries are rows of their own; `about` are the members of the key."""

    table: str
    member: str
    about: tuple[str, ...]


NESTED: Mapping[str, Nested] = {
    "mate_pairs": Nested("mate_tables", "pairs", ("demanded", "offered")),
    "order_pairs": Nested("order_tables", "pairs", ("offered", "demanded")),
    "rating_grades": Nested("rating_tables", "grades", ("material", "medium")),
    "rating_windows": Nested("rating_tables", "windows", ("material",)),
}
_ABOUT: Mapping[str, tuple[str, ...]] = {
    "covers": ("recorded",),
    "never_serves": ("made_for", "must_not_serve"),
    "may_serve": ("offered", "position"),
    "code_floors": ("category", "attribute", "classes"),
}
ROW_SECTIONS = (*KEYED, RULES, *NESTED, *LISTED)


@dataclass(frozen=True, slots=True)
class Row:
    section: str
    key: str
    content: Content

    @property
    def within(self) -> str:
        """The category of a rule, the table of a pair; empty for what stands by itself."""
        return self.key.partition(".")[0] if self.section == RULES or self.section in NESTED else ""

    @property
    def code(self) -> str:
        return self.key.partition(".")[2] if self.within else self.key


def split(document: Mapping[str, Any]) -> tuple[Row, ...]:
    """Every row of a document, those of a list in their order."""
    rows: list[Row] = []
    for section in KEYED:
        for code, content in document.get(section, {}).items():
            head, inner = _parted(section, code, content)
            rows += [Row(section, code, head), *inner]
    for section in LISTED:
        rows += _keyed_by(section, "", _ABOUT[section], document.get(section, ()))
    return tuple(rows)


def _parted(section: str, code: str, content: Content) -> tuple[Content, list[Row]]:
    if section == _OF_CATEGORY:
        rules = [Row(RULES, f"{code}.{name}", rule) for name, rule in content.get(RULES, {}).items()]
        return {name: value for name, value in content.items() if name != RULES or not value}, rules
    inner: list[Row] = []
    head = dict(content)
    for name, nested in NESTED.items():
        if nested.table == section and head.get(nested.member):
            inner += _keyed_by(name, f"{code}.", nested.about, head.pop(nested.member))
    return head, inner


def _keyed_by(section: str, before: str, about: tuple[str, ...], entries: Iterable[Content]) -> list[Row]:
    seen: dict[str, int] = {}
    rows = []
    for entry in entries:
        key = before + ".".join(_word(entry.get(name)) for name in about)
        seen[key] = seen.get(key, 0) + 1
        rows.append(Row(section, key if seen[key] == 1 else f"{key}.{seen[key]}", entry))
    return rows


def _word(value: object) -> str:
    first = value[0] if isinstance(value, list) and value else value
    return _STRANGE.sub("-", str(first or "")).strip("-") or "none"


def join(rows: Iterable[Row]) -> dict[str, Any]:
    """The document of rows, lists in the order given. A rule without its category gets one that holds nothing else."""
    document: dict[str, Any] = {section: {} for section in KEYED} | {section: [] for section in LISTED}
    inner: list[Row] = []
    for row in rows:
        if row.section in KEYED:
            document[row.section][row.key] = dict(row.content)
        elif row.section in LISTED:
            document[row.section].append(row.content)
        else:
            inner.append(row)
    for row in inner:
        if row.section == RULES:
            document[_OF_CATEGORY].setdefault(row.within, {}).setdefault(RULES, {})[row.code] = row.content
        else:
            nested = NESTED[row.section]
            document[nested.table].setdefault(row.within, {}).setdefault(nested.member, []).append(row.content)
    return document


def check_row(section: str, key: str, content: object) -> None:
    """Raises Invalid for a key or a content that could be no row of the section, whatever else is in the draft."""
    codes = key.split(".")
    inside = section == RULES or section in NESTED
    if not all(_CODE.fullmatch(code) for code in codes) or len(codes) < 1 + inside:
        shape = "<category>.<rule>" if section == RULES else "<table>.<what it is about>" if inside else "<code>"
        raise refusal("", f"the key {key[:80]!r} is none of the shape {shape}, of letters, digits, - and _", "row_key")
    if (section in KEYED and len(codes) != 1) or (section == RULES and len(codes) != 2):
        raise refusal("", f"the key {key[:80]!r} has too many points in it", "row_key")
    if not isinstance(content, Mapping):
        raise refusal("", "a row is an object", "malformed")
    for member in _members_apart(section):
        if content.get(member):
            raise refusal(f"/{member}", "these are rows of their own; leave them out here", "rows_apart")


def _members_apart(section: str) -> Iterator[str]:
    if section == _OF_CATEGORY:
        yield RULES
    yield from (nested.member for nested in NESTED.values() if nested.table == section)


def row_at(pointer: str, rows: Iterable[Row]) -> tuple[str, str | None]:
    """The section and the key of the row that a path of the joined document lies in; no key for a whole section."""
    steps = [step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:]]
    section, rest = (steps[0] if steps else ""), steps[1:]
    if section == _OF_CATEGORY and len(rest) > 2 and rest[1] == RULES:
        return RULES, f"{rest[0]}.{rest[2]}"
    for name, nested in NESTED.items():
        if nested.table == section and len(rest) > 1 and rest[1] == nested.member:
            own = [row.key for row in rows if row.section == name and row.within == rest[0]]
            return name, _placed(own, rest[2:])
    if section in LISTED:
        return section, _placed([row.key for row in rows if row.section == section], rest)
    return section, rest[0] if rest else None


def _placed(keys: list[str], rest: list[str]) -> str | None:
    place = int(rest[0]) if rest and rest[0].isdecimal() else len(keys)
    return keys[place] if place < len(keys) else None
