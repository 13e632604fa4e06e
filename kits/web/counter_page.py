"""A counter answer as its page shows it: the documents of the answer turned into lines that a person reads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from catalog.domain.answers import Answer, Effect
from catalog.usecases.answerable import Question
from catalog.usecases.slip_words import APPROVERS, OUTCOMES, Names, plain
from kits.web.counter_fields import HOW, MODES, Asked

SOURCES = {
    "published": "published", "common_practice": "common practice", "from_memory": "from memory, not checked",
    "maker": "the maker", "record": "our records",
}  # fmt: skip
ROWS_KEPT = 4_096  # about 4 MB
FIELDS_KEPT = 512
_HEAVIEST_FIRST = [Effect.REJECT, Effect.UNDETERMINED, Effect.CONDITION, Effect.NOTE, Effect.NONE]


@dataclass(frozen=True, slots=True)
class Side:
    """What is asked of a part, or what it offers, and what that rests on."""

    value: str
    basis: str


@dataclass(frozen=True, slots=True)
class Weighed:
    """One finding. `tone` is the outcome by which its mark is chosen; `decides` that it moved the verdict."""

    name: str
    asked: Side | None
    offered: Side | None
    tone: str
    outcome: str
    text: str
    margin: str
    source: str
    citation: str
    decides: bool


def weighed(findings: Iterable[Mapping[str, Any]], names: Names) -> tuple[list[Weighed], list[str]]:
    """What was weighed, that which moves the verdict furthest first; and the names of what was not asked here."""
    asked, idle = [], []
    for finding in findings:
        if finding["effect"] == Effect.NOT_ASKED:
            idle.append(names.attribute(finding))
        else:
            asked.append(finding)
    asked.sort(key=lambda finding: _HEAVIEST_FIRST.index(Effect(finding["effect"])))
    return [_weighed(finding, names) for finding in asked], idle


def _weighed(finding: Mapping[str, Any], names: Names) -> Weighed:
    source = finding["source"]
    return Weighed(
        name=names.attribute(finding),
        asked=_side(finding["demand"], names),
        offered=_side(finding["offer"], names),
        tone=finding["outcome"],
        outcome=OUTCOMES[Answer(finding["outcome"])],
        text=finding["text"],
        margin=finding["margin"] or "",
        source=SOURCES[source["kind"]],
        citation="" if source["citation"].startswith("common practice") else source["citation"],
        decides=finding["effect"] in (Effect.REJECT, Effect.UNDETERMINED, Effect.CONDITION),
    )


@lru_cache(maxsize=ROWS_KEPT)
def row_of(one: Weighed) -> SafeString:
    """One finding as a row of the table. The same finding stands in many answers, so its row is drawn once."""
    return render_to_string("kits/counter_finding.html", {"one": one})


def field_of(one: Asked, machine: str, today: date) -> SafeString:
    """One question as a field of a form. Where nothing was typed yet it is the same for all who are asked it."""
    return _empty_field(one.question, one.name, machine, today) if one.untouched else _field(one, machine, today)


@lru_cache(maxsize=FIELDS_KEPT)
def _empty_field(question: Question, name: str, machine: str, today: date) -> SafeString:
    return _field(Asked(name, question), machine, today)


def _field(one: Asked, machine: str, today: date) -> SafeString:
    page = {"one": one, "machine": machine, "today": today, "hows": HOW, "modes": MODES}
    return render_to_string("kits/counter_question.html", page)


def _side(side: Mapping[str, Any] | None, names: Names) -> Side | None:
    return None if side is None else Side(names.value(side["value"]), plain(side["basis"]))


def engine_line(words: Iterable[tuple[str, str]]) -> str:
    """In one line what was known of the machine's engine: what it is, its serial, its fuel as found, where it is used.

    The line names no engine where its model and specification are not known.
    """
    said = dict(words)
    engine = "Engine not known" if said["Engine"].startswith("none named") else said["Engine"]
    return f"{engine}, serial {said['Serial']}; fuel as found: {said['Fuel as found']}; used: {said['Place of use']}"


def approver_words(code: str | None) -> str:
    return "" if code is None else next((words for role, words in APPROVERS.items() if role.value == code), plain(code))


def ages(age: Mapping[str, Any], zone: str) -> Iterator[str]:
    """How old what is shown is, a line each."""
    for name, words in (("stock", "Stock"), ("prices", "Prices")):
        heard = age[name]
        if heard["as_of"] is None:
            yield f"{words}: nothing has ever been heard."
        else:
            late = "; that is old, so look before you promise" if heard["stale"] else ""
            yield f"{words} as of {heard['as_of']}, taken in {moment(heard['applied_at'], zone)}{late}."
    if age["check_catalogue_version"] != age["others_catalogue_version"]:
        yield "The catalogue has changed since this was answered; ask anew to be sure."


def moment(text: str, zone: str) -> str:
    """An instant of a document in the words of the branch's clock."""
    return f"{datetime.fromisoformat(text).astimezone(ZoneInfo(zone)):%Y-%m-%d %H:%M}"
