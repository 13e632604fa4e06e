"""Orders of a rulebook document: which class serves where another is asked.

An order is written as `pairs`, as `chains` (lowest first, each class serving where an earlier one is asked), or both.
It is refused where it runs in a circle, and where it has a hole: a class that serves for a second which serves for a
third has to serve for the third.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import combinations

from catalog.domain.answers import Answer
from catalog.domain.document_fields import Fields, refusal
from catalog.domain.rules import OrderTable

Pair = tuple[str, str]  # offered, demanded
_ROW = ("offered", "demanded", "answer", "because", "condition")


def ordered(section: Fields, table: OrderTable) -> OrderTable:
    """The table with its chains written out and the reasons of its pairs. Raises Invalid in words for a broken one."""
    pairs, reasons = dict(table.pairs), {}
    listed: set[Pair] = set()
    for row in section.rows("pairs", _ROW):
        pair = row.text("offered"), row.text("demanded")
        if pair in listed:
            raise refusal(row.pointer, f"{pair[0]} for {pair[1]} is listed twice; keep one", "listed_twice")
        listed.add(pair)
        if row.has("because"):
            reasons[pair] = row.text("because")
    for path, pair in _chained(section, table.families):
        if pair in pairs:
            detail = f"{pair[0]} for {pair[1]} is listed among the pairs too, or in two chains; keep one"
            raise refusal(path, detail, "listed_twice")
        pairs[pair] = Answer.MET
    _unbroken(section, pairs)
    return replace(table, pairs=pairs, reasons=reasons)


def _chained(section: Fields, families: Mapping[str, str]) -> Iterator[tuple[str, Pair]]:
    """Each later class of a chain over each earlier one, with the path of the chain."""
    for place, entry in enumerate(section.items("chains")):
        path = f"{section.path('chains')}/{place}"
        chain = Fields({str(place): entry}, section.path("chains")).texts(str(place))
        if len(set(chain)) != len(chain):
            raise refusal(path, "a class stands in this chain twice, so the order would run in a circle", "circle")
        if len({families.get(code) for code in chain}) != 1 or chain[0] not in families:
            raise refusal(path, "the classes of a chain are all of one family of this table", "unknown_name")
        for lower, higher in combinations(chain, 2):
            yield path, (higher, lower)


def _unbroken(section: Fields, pairs: Mapping[Pair, Answer]) -> None:
    serves: dict[str, set[str]] = {}
    for (offered, asked), answer in pairs.items():
        if answer is Answer.MET:
            serves.setdefault(offered, set()).add(asked)
    for first, seconds in serves.items():
        for second in seconds:
            if first in serves.get(second, ()):
                detail = f"{first} and {second} each serve where the other is asked: the order runs in a circle"
                raise refusal(section.path("pairs"), detail, "circle")
            for third in serves.get(second, set()) - seconds:
                detail = f"{first} serves for {second} and {second} for {third}: say that {first} serves for {third}"
                raise refusal(section.path("pairs"), detail, "hole")
