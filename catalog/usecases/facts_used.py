"""All that one decision reads, as one text: what the digest is taken over, and what a check can be decided from again.

The decision is a function of this text and the rulebook alone, so an equal digest is an equal verdict.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog import loading
from catalog.domain.answers import Basis, Source, SourceKind
from catalog.domain.applicability import Application
from catalog.domain.fuels import FuelRecord, RecordMode
from catalog.domain.outcomes import OnHold, OutcomeKind, ReportedOn
from catalog.domain.parts import Part, Position
from catalog.domain.questions import NOTHING_REPLACED, Engine, Item, Question, Replacements
from catalog.domain.rules import Rulebook
from catalog.domain.serials import Serial
from catalog.domain.supersession_chains import Chains, InCatalogue, Numbered
from catalog.domain.value_documents import unpack_value
from catalog.domain.values import Demand, How, Offer, Place
from catalog.models.facts import as_text
from catalog.usecases.told_facts import Told


@dataclass(frozen=True, slots=True)
class FactsUsed:
    """`parts` and `positions` are the texts derived from rows, as they are; `rest` refers to parts by their index."""

    parts: tuple[str, ...]
    positions: tuple[str, ...]
    rest: Mapping[str, Any]

    @property
    def text(self) -> str:
        parts, positions = ",".join(self.parts), ",".join(self.positions)
        return f'{{"parts":[{parts}],"positions":[{positions}],"rest":{as_text(self.rest)}}}'

    @classmethod
    def read(cls, text: str) -> FactsUsed:
        document = json.loads(text)
        parts, positions = (tuple(as_text(entry) for entry in document[name]) for name in ("parts", "positions"))
        return cls(parts, positions, document["rest"])


def application_asked(text: str) -> Application:
    """The application alone of such a text, which is quickly read."""
    return application_of(json.loads(text)["rest"]["application"])


def adapters_asked(text: str) -> list[tuple[str, str]]:
    """Maker and number of the adapters named in such a text, each once."""
    document = json.loads(text)
    indexes = dict.fromkeys(index for entry in document["rest"]["candidate"] for index in entry["with"])
    return [(part["maker"], part["number"]) for part in (document["parts"][index] for index in indexes)]


def digest_of(text: str, rulebook: Rulebook) -> str:
    """SHA-256 over question and facts as understood, and the rulebook; not the version, the dealer or the clock."""
    return hashlib.sha256(f'{{"facts":{text},"rulebook":"{rulebook.digest}"}}'.encode()).hexdigest()


def question_of(facts: FactsUsed, rulebook: Rulebook, ids: Sequence[int | None] = ()) -> Question:
    """The question in the domain's values; `ids` gives each part its row's id, in the same order."""
    rest = facts.rest
    named = tuple(zip(facts.parts, ids or (None,) * len(facts.parts), strict=True))
    parts = [loading.part_from(text, number) for text, number in named]
    return Question(
        rulebook=rulebook,
        candidate=tuple(_item(entry, parts) for entry in rest["candidate"]),
        application=application_of(rest["application"]),
        engine=_engine(facts, named),
        position=rest["position"],
        replaces=None if rest["replaces"] is None else parts[rest["replaces"]],
        replacements=_replacements(rest, parts),
        reported=tuple(
            ReportedOn((maker, number), hold)
            for maker, number, row in rest.get("reported", ())
            for hold in holds_of((row,))
        ),
    )


def _replacements(rest: Mapping[str, Any], parts: Sequence[Part]) -> Replacements:
    """What is published of the numbers in question; the chains know a part by its place among the facts."""
    steps = rest.get("supersessions")
    if not steps:
        return NOTHING_REPLACED
    withdrawn, named = set(rest["withdrawn"]), {index for old, new, *_ in steps for index, _ in (*old, *new)}
    numbered = {
        index: Numbered(
            index, parts[index].maker, parts[index].number,
            InCatalogue.WITHDRAWN if index in withdrawn else InCatalogue.LIVE,
        )
        for index in named
    }  # fmt: skip
    published = (loading.supersession_from(order, step, numbered) for order, step in enumerate(steps))
    return Replacements(
        Chains.of(published),
        {index: parts[index] for index in named},
        {parts[index].key: number for index, number in numbered.items()},
        tuple(rest["blocks"]),
        {index: holds_of(rows) for index, rows in rest.get("held", ())},
    )


def _item(entry: Mapping[str, Any], parts: Sequence[Part]) -> Item:
    part = parts[entry["part"]]
    if entry["told"]:
        part = part.with_offers(_offers(entry["told"]))
    adapters = tuple(parts[index] for index in entry["with"])
    return Item(part, entry["quantity"], adapters, holds_of(entry.get("holds", ())))


def holds_of(rows: Sequence[Any]) -> tuple[OnHold, ...]:
    """Open reports from the days, kinds and positions that facts say of them."""
    return tuple(OnHold(date.fromisoformat(on), OutcomeKind(kind), position) for on, kind, position in rows)


def hold_document(hold: OnHold) -> list[str]:
    """An open report as facts say it, see `holds_of`."""
    return [hold.reported_on.isoformat(), hold.kind.value, hold.position]


def _offers(told: Sequence[Told]) -> dict[Place, tuple[Offer, ...]]:
    found: dict[Place, tuple[Offer, ...]] = {}
    for attribute, slot, packed, how in told:
        offer = Offer(unpack_value(packed), counter_source(how), Basis.COUNTER, How(how))
        found[attribute, slot] = (*found.get((attribute, slot), ()), offer)
    return found


def _demands(told: Sequence[Told]) -> dict[Place, tuple[Demand, ...]]:
    found: dict[Place, tuple[Demand, ...]] = {}
    for attribute, slot, packed, how in told:
        demand = Demand(unpack_value(packed), Basis.COUNTER, counter_source(how), How(how))
        found[attribute, slot] = (*found.get((attribute, slot), ()), demand)
    return found


_WORDS = {How.MEASURED: "measured at the counter", How.LABEL: "read from the label", How.TOLD: "told at the counter"}


def counter_source(how: str) -> Source:
    """Who says so, of a fact given with the question."""
    return Source(SourceKind.RECORD, _WORDS[How(how)])


def _engine(facts: FactsUsed, parts: Sequence[tuple[str, int | None]]) -> Engine | None:
    engine = facts.rest["engine"]
    if engine is None:
        return None
    told = facts.rest["told_position"]
    return Engine(
        name=engine["key"],
        fuels=loading.fuels_from(engine["fuels"]),
        positions=tuple(_position(text, told, facts.rest["position"]) for text in facts.positions),
        statements=tuple(
            loading.statement_from(parts[entry["part"]], engine["key"], entry["says"]) for entry in engine["statements"]
        ),
    )


def _position(text: str, told: Sequence[Told], asked: str | None) -> Position:
    """What is told is of the position asked about, and of no other to which a piece of a set may go."""
    position = loading.position_from(text)
    return position.with_demands(_demands(told)) if told and position.code == asked else position


def application_of(document: Mapping[str, Any]) -> Application:
    """The application as its document of facts says it."""
    serial = document["serial"]
    return Application(
        specification=document["specification"],
        serial=None if serial is None else Serial(*serial),
        serial_in_no_block=document["serial_in_no_block"],
        plate_fuels=loading.fuels_from(document["plate_fuels"]),
        fuel_records=tuple(_record(entry) for entry in document["fuel_records"]),
        told_as_plate=document["told_as_plate"],
        place_of_use=document["place_of_use"],
        dusty=document["dusty"],
        certified=document["certified"],
        ecu=document["ecu"],
        on=None if document["on"] is None else date.fromisoformat(document["on"]),
    )


def _record(entry: Mapping[str, Any]) -> FuelRecord:
    return FuelRecord(
        fuels=loading.fuels_from(entry["fuels"]),
        mode=RecordMode(entry["mode"]),
        found_on=date.fromisoformat(entry["found_on"]),
        conversion_paper=entry["conversion_paper"],
    )
