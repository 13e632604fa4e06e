"""What differs between two rulebooks, row by row, in sentences an editor can read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from catalog.domain.fuels import listed_words
from catalog.domain.rulebook_rows import ROW_SECTIONS, RULES, Content, Row

Book = Mapping[tuple[str, str], Content]
_KINDS = {
    "fuels": "fuel",
    "service_classes": "fuel service class",
    "places_of_use": "place of use",
    "cautions": "caution",
    "attributes": "attribute",
    "categories": "category",
    "mate_tables": "mating table",
    "order_tables": "ranking table",
    "rating_tables": "rating table",
    "reference_tables": "reference table",
}
_TABLES = {
    "mate_pairs": ("mate_tables", "{demanded} with {offered}"),
    "order_pairs": ("order_tables", "{offered} for {demanded}"),
    "rating_grades": ("rating_tables", "{material} in {medium}"),
    "rating_windows": ("rating_tables", "{material}"),
}
_LISTS = {
    "covers": "what {recorded} covers",
    "never_serves": "{made_for} never for {must_not_serve}",
    "may_serve": "{offered} for {position}",
    "code_floors": "code floor of {attribute}, {category} at {classes}",
}
_NOT_STATED = "not stated"


class Kind(StrEnum):
    ADDED = "added"
    REMOVED = "removed"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class Member:
    """One thing of a row that changed, in words."""

    name: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Difference:
    kind: Kind
    section: str
    key: str
    text: str
    before: Content | None = None
    after: Content | None = None
    members: tuple[Member, ...] = ()


def differences(before: Iterable[Row], after: Iterable[Row]) -> tuple[Difference, ...]:
    """Rows added, removed and changed, in the order of sections and keys. Nothing where the two are the same."""
    old, new = book_of(before), book_of(after)
    places = sorted({*old, *new}, key=lambda place: (ROW_SECTIONS.index(place[0]), place[1]))
    found = (_difference(place, old, new) for place in places)
    return tuple(difference for difference in found if difference is not None)


def book_of(rows: Iterable[Row]) -> dict[tuple[str, str], Content]:
    return {(row.section, row.key): row.content for row in rows}


def _difference(place: tuple[str, str], old: Book, new: Book) -> Difference | None:
    was, is_now = old.get(place), new.get(place)
    if was == is_now:
        return None
    kind = Kind.ADDED if was is None else Kind.REMOVED if is_now is None else Kind.CHANGED
    subject = subject_of(place, new if is_now is not None else old)
    members = tuple(_members(was, is_now)) if was is not None and is_now is not None else ()
    said = "; ".join(f"{member.name} was {member.before}, is {member.after}" for member in members)
    return Difference(kind, *place, f"{subject}: {said or kind.value}.", was, is_now, members)


def subject_of(place: tuple[str, str], book: Book) -> str:
    """What a row is about, by the names the rulebook itself gives, e.g. `hose clamp, band width`."""
    section, key = place
    row = Row(section, key, book.get(place, {}))
    if section == RULES:
        first = (row.content.get("attributes") or [row.code])[0]
        rule = row.content.get("name") or _name("attributes", str(first), book)
        return f"{_name('categories', row.within, book)}, {rule}"
    if section in _TABLES:
        table, form = _TABLES[section]
        return f"{_name(table, row.within, book)}, {_filled(form, row.content)}"
    if section in _LISTS:
        return _filled(_LISTS[section], row.content)
    return f"{_KINDS[section]} {_name(section, key, book)}"


def _name(section: str, code: str, book: Book) -> str:
    return str(book.get((section, code), {}).get("name") or code.replace("_", " "))


def _filled(form: str, content: Content) -> str:
    class Words(dict[str, str]):
        def __missing__(self, name: str) -> str:
            return _shown(content.get(name))

    return form.format_map(Words())


def _members(was: Content, is_now: Content) -> Iterator[Member]:
    old, new = dict(_leaves("", was)), dict(_leaves("", is_now))
    for name in dict.fromkeys((*old, *new)):
        before, after = old.get(name, _NOT_STATED), new.get(name, _NOT_STATED)
        if before != after:
            yield Member(name, before, after)


def _leaves(name: str, node: Any) -> Iterator[tuple[str, str]]:
    """What can be said in a word or two, by where it stands: `comparison, inner 1, both`."""
    before = f"{name}, " if name else ""
    if isinstance(node, Mapping) and not _is_measure(node) and not _is_source(node):
        for key, entry in node.items():
            yield from _leaves(f"{before}{key.replace('_', ' ')}", entry)
    elif isinstance(node, list) and any(isinstance(entry, Mapping) for entry in node):
        for place, entry in enumerate(node, 1):
            yield from _leaves(f"{name} {place}", entry)
    else:
        yield name, _shown(node)


def _is_measure(node: Mapping[str, Any]) -> bool:
    return bool(node) and set(node) <= {"value", "min", "max", "unit", "reference", "state"}


def _is_source(node: Mapping[str, Any]) -> bool:
    return set(node) == {"kind", "citation"}


def _shown(node: Any) -> str:
    if isinstance(node, bool):
        return "yes" if node else "no"
    if isinstance(node, list):
        return listed_words([_shown(entry) for entry in node]) or "none"
    if isinstance(node, Mapping):
        return _shown_object(node)
    return _NOT_STATED if node is None or node == "" else str(node).replace("_", " ")


def _shown_object(node: Mapping[str, Any]) -> str:
    if _is_source(node):
        return f"{node['citation']} ({_shown(node['kind'])})"
    low, high = (node.get(end) if node.get(end) is not None else "" for end in ("min", "max"))
    span = f"{low}..{high}" if "min" in node or "max" in node else ""
    words = (str(node.get("value", "")) or span, str(node.get("unit", "")), str(node.get("reference", "")),
             _shown(node["state"]) if "state" in node else "")  # fmt: skip
    return " ".join(word for word in words if word) or "nothing"
