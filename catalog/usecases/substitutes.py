"""Every part of the catalogue that may stand at a position, judged at once and shown the best first.

The columns say which parts are worth a look; what is shown of them is decided by the reference engine, one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from catalog import loading
from catalog.domain.answers import Answer, Effect, Verdict
from catalog.domain.checking import decide, positions_meant
from catalog.domain.columnar.open_questions import OpenQuestion
from catalog.domain.columnar.searching import Found, nearest_misses, search
from catalog.domain.findings import Finding
from catalog.domain.folding import VERDICTS
from catalog.domain.parts import Part, PartKey
from catalog.domain.quantities import Quantity
from catalog.domain.questions import Decision, Question
from catalog.domain.rules import Category, ComparisonKind, Rulebook
from catalog.loading import Standing, remembered
from catalog.loading.category_columns import Kept, columns_of
from catalog.usecases.asked import read_asked
from catalog.usecases.chaining import replacements_of
from catalog.usecases.facts_used import digest_of
from catalog.usecases.one_version import Asking, Machines, at_one_version
from catalog.usecases.questioning import gathered_alone, on_its_machine
from service.errors import Invalid
from service.operations.models import Dealer

MOST_RANKED = 500  # of more that are good, margins are looked at of the first only
USABLE = (Verdict.ACCEPTED, Verdict.CONDITIONAL)
INCLUDES = {"undetermined": Verdict.UNDETERMINED, "rejected": Verdict.REJECTED}


@dataclass(frozen=True, slots=True)
class Wanted:
    """`body` has the shape of a check whose candidate is the part to be replaced; `include` names further verdicts."""

    body: Mapping[str, Any]
    include: tuple[str, ...] = ()
    limit: int = 50


def substitutes(wanted: Wanted, *, dealer: Dealer, now: datetime) -> dict[str, Any]:
    """The answer, at one version of the catalogue; nothing is recorded. Raises what a check raises.

    Raises Invalid where no engine is named, and where several positions could be meant.
    """
    asked = read_asked(wanted.body)
    if asked.application is None and asked.machine_id is None:
        raise Invalid(
            "Substitutes are for a position of an engine; name a machine, or the model and spec.",
            pointer="/application", code="engine_needed",
        )  # fmt: skip

    def decided(standing: Standing, rulebook: Rulebook, machines: Machines) -> dict[str, Any]:
        placed = on_its_machine(asked, machines)
        found = gathered_alone(placed, rulebook, standing.stamp, Asking(dealer, "", now))
        question = found.question(rulebook)
        open_question, pair = _open(question), placed.specification or ("", "")
        specification = loading.specifications(standing.stamp, [pair])[pair]
        passed_over = frozenset(item.part.key for item in question.candidate)
        digest = digest_of(found.facts.text, rulebook)
        ranking = Ranking(open_question, digest, specification, dealer.pk, rulebook, standing.stamp, passed_over)
        return _answer(ranking, wanted, standing)

    machine: tuple[UUID, ...] = () if asked.machine_id is None else (asked.machine_id,)
    return at_one_version(dealer, machine, decided, lambda _standing, _rulebook, answer: answer)


def _answer(ranking: Ranking, wanted: Wanted, standing: Standing) -> dict[str, Any]:
    asked, rulebook = ranking.asked, ranking.rulebook
    (category,) = (place.category for place in asked.engine.positions if place.code == asked.position)
    kept = columns_of(category, standing, rulebook)
    found = search(kept.columns, asked, kept.look_ups)
    ranking = replace(ranking, specified=frozenset(found.ids[found.specified].tolist()))
    good: list[int] = found.ranked(USABLE).tolist()
    shown = ranking.best_first(good[:MOST_RANKED])
    answer = {
        "position": asked.position,
        "category": category,
        "counts": _counts(found, set(good[:MOST_RANKED]) - {one.number for one in shown}),
        "results": [_entry(one) for one in shown[: wanted.limit]],
        "more": max(0, len(shown) + max(0, len(good) - MOST_RANKED) - wanted.limit),
        "catalogue_version": standing.version,
        "rulebook": rulebook.number,
    }
    for name in wanted.include:
        others = ranking.of(_others(name, found, kept, asked, wanted.limit))
        answer[name] = [_entry(one) | _why(one.decision) for one in others]
    return answer


def _counts(found: Found, left_out: set[int]) -> dict[str, int]:
    """Of each verdict, without the part asked about, numbers that are another one here, and what is on hold."""
    return {verdict.value: count for verdict, count in found.counts(left_out).items()}


def _open(question: Question) -> OpenQuestion:
    """The question with any candidate. The part named lends no geometry: nobody says that it was found there."""
    if question.engine is None:
        raise Invalid("Name the engine's model and spec.", pointer="/application/spec", code="engine_needed")
    positions = positions_meant(question, question.engine)
    if len(positions) != 1:
        codes = ", ".join(place.code for place in positions or question.engine.positions) or "none is recorded"
        raise Invalid(
            f"Cannot tell which position of {question.engine.name} is meant; name one: {codes}.",
            pointer="/position", code="which_position",
        )  # fmt: skip
    return OpenQuestion(
        engine=question.engine,
        position=positions[0].code,
        application=question.application,
        replaces=question.replaces,
        replacements=question.replacements,
    )


def _others(name: str, found: Found, kept: Kept, asked: OpenQuestion, limit: int) -> list[int]:
    if name == "rejected":
        numbers: list[int] = nearest_misses(kept.columns, asked, kept.look_ups, limit).tolist()
        return numbers
    open_ones: list[int] = found.ranked((INCLUDES[name],)).tolist()
    return open_ones[:limit]


@dataclass(frozen=True, slots=True)
class Judged:
    """A part with what the reference engine says of it. `specified` is whether the engine's maker names it here.

    `room` is the least share by which it exceeds what is asked of it, None where nothing is asked by amount.
    """

    number: int
    row: loading.LoadedPart
    decision: Decision
    specified: bool
    room: Room | None

    @property
    def order(self) -> tuple[int, bool, float, str, str, int]:
        """Better verdicts first, then what the maker specifies, then what has room to spare, then by number."""
        least = -self.room.share if self.room else 0.0
        return (
            VERDICTS.index(self.decision.verdict),
            not self.specified,
            least,
            self.row.maker,
            self.row.number,
            self.number,
        )


@dataclass(frozen=True, slots=True)
class Room:
    share: float
    finding: Finding


@dataclass(frozen=True, slots=True)
class Ranking:
    """What parts are ranked for. `passed_over` are those asked about, which are no substitutes for themselves.

    `digest` stands for all that was asked and is known of it. A part may be on hold on the `specification` for this
    dealer.
    """

    asked: OpenQuestion
    digest: str
    specification: loading.LoadedSpecification
    dealer: UUID
    rulebook: Rulebook
    stamp: str
    passed_over: frozenset[PartKey]
    specified: frozenset[int] = frozenset()

    def best_first(self, numbers: Sequence[int]) -> tuple[Judged, ...]:
        """What is good of these, kept as each of them is. One on hold is not, whatever the columns say of it."""
        kept = remembered.at(self.stamp)
        key = "best first", self.digest, self.asked.position, self.dealer, tuple(numbers)
        if key not in kept:
            good = (one for one in self.of(numbers) if one.decision.verdict in USABLE)
            kept[key] = tuple(sorted(good, key=lambda one: one.order))
        found: tuple[Judged, ...] = kept[key]
        return found

    def of(self, numbers: Sequence[int]) -> list[Judged]:
        """Decided one by one, as they come. A number that another one replaces here is no substitute by itself."""
        rows = {row.id: row for row in loading.parts_answering(self.stamp, (), numbers)}
        judged = (self._judged(rows[number]) for number in numbers if number in rows)
        return [one for one in judged if one is not None]

    def _judged(self, row: loading.LoadedPart) -> Judged | None:
        """Kept while the catalogue stands still: the same engine is asked about again and again."""
        kept = remembered.at(self.stamp)
        key = "judged", self.digest, self.asked.position, self.dealer, row.id
        if key not in kept:
            kept[key] = self._judge(row)
        found: Judged | None = kept[key]
        return found

    def _judge(self, row: loading.LoadedPart) -> Judged | None:
        part = loading.part_from(row.text, row.id)
        if part.key in self.passed_over:
            return None
        question = self._about(part, row)
        if row.held:
            holds = loading.holds_on(row, self.specification.id, self.dealer)
            inside = loading.holds_inside(row, self.specification.id, self.dealer)
            question = replace(question, candidate=(replace(question.candidate[0], holds=holds),), reported=inside)
        decision = decide(question)
        if decision.use and [use.part.key for use in decision.use] != [part.key]:
            return None
        room = _least_room(decision.findings, self.rulebook.categories.get(part.category))
        return Judged(row.id, row, decision, row.id in self.specified, room)

    def _about(self, part: Part, row: loading.LoadedPart) -> Question:
        """The question about one part, with its own chain where that is not among what the question turns on."""
        question, known = self.asked.about(part, self.rulebook), self.asked.replacements
        if not row.in_chain or part.key in known.numbered:
            return question
        numbers = (row.id, *(one.id for one in known.parts.values() if one.id is not None))
        return replace(question, replacements=replacements_of(numbers, self.specification, self.dealer, self.stamp))


_RATINGS = (ComparisonKind.AT_LEAST, ComparisonKind.AT_MOST)


def _least_room(findings: Iterable[Finding], category: Category | None) -> Room | None:
    """Of the ratings met the one that is nearest to what is asked."""
    rules = category.rules if category else ()
    rated = {name for rule in rules if rule.comparison.kind in _RATINGS for name in (rule.code, rule.attributes[0])}
    found = [
        Room(share, finding)
        for finding in findings
        if finding.outcome is Answer.MET and finding.attribute in rated and (share := _share(finding)) is not None
    ]
    return min(found, key=lambda one: (one.share, one.finding.order), default=None)


def _share(finding: Finding) -> float | None:
    if finding.demand is None or finding.offer is None:
        return None
    asked, offered = finding.demand.value.payload, finding.offer.value.payload
    if not (isinstance(asked, Quantity) and isinstance(offered, Quantity) and asked.amount):
        return None
    return abs(offered.amount - asked.amount) / abs(asked.amount)


def _entry(one: Judged) -> dict[str, Any]:
    row = one.row
    nearest = one.room.finding if one.room else None
    return {
        "part": {"id": row.id, "maker": row.maker, "number": row.number, "name": row.name},
        "verdict": one.decision.verdict.value,
        "headline": one.decision.headline,
        "specified": one.specified,
        "conditions": list(one.decision.conditions),
        "nearest": None if nearest is None else {"attribute": nearest.attribute, "margin": nearest.margin},
    }


def _why(decision: Decision) -> dict[str, Any]:
    """What keeps a part from being used: what blocks it, and what to find out."""
    return {
        "blocked_by": [found.text for found in decision.findings if found.effect is Effect.REJECT],
        "missing": [{"fact": fact.name, "question": fact.question} for fact in decision.missing],
    }
