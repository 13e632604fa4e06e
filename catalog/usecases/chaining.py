"""The chains of replaced numbers that questions turn on: of the parts asked about, and of those specified there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from catalog import loading
from catalog.domain.parts import SPECIFIES
from catalog.domain.questions import Replacements
from catalog.domain.supersession_chains import Chains, InCatalogue, Numbered
from catalog.loading import LoadedPart, LoadedSpecification, LoadedStatement, LoadedSupersession, Wanted
from catalog.usecases.understanding import Understood


@dataclass(frozen=True, slots=True)
class Chained:
    """The replacements that a question may turn on, and every part that they name."""

    steps: tuple[LoadedSupersession, ...] = ()
    parts: tuple[LoadedPart, ...] = ()


NOT_CHAINED = Chained()


class Chaining:
    """Chains at one stamp: loaded for all questions together, then given out for each from what is known."""

    def __init__(self, stamp: str, questions: Iterable[Understood]) -> None:
        self._stamp = stamp
        self._chained([row for question in questions for row in _asked(question)])

    def wanted(self, question: Understood) -> Wanted | None:
        """The statements a question needs, those about every number of its candidate's chain among them."""
        wanted = question.wanted
        chained = self._chained(_asked(question))
        if wanted is None or not chained.parts:
            return wanted
        if wanted.position is not None:
            pieces = {part for step in chained.steps if len(step.new) > 1 for part, _ in step.new}
            return replace(wanted, pieces=tuple(sorted(pieces)))
        return replace(wanted, parts=tuple(dict.fromkeys((*wanted.parts, *(part.id for part in chained.parts)))))

    def specified(self, statements: Iterable[LoadedStatement]) -> None:
        """Load the chains of what is specified, for all questions together."""
        self._chained(_specified(statements))

    def with_pieces(self, question: Understood, wanted: Wanted, statements: Sequence[LoadedStatement]) -> Wanted:
        """The statements needed where the set that replaces what is specified is named piece by piece, and whole."""
        named = Counter[int]()
        for item in question.candidate:
            if item.row is not None and item.row.in_chain:
                named[item.row.id] += item.quantity or 1
        if len(named) < 2 or wanted.position is None:
            return wanted
        sets = [step.new for step in self._chained(_specified(statements)).steps if len(step.new) > 1]
        pieces = {part for one in sets if all(named[part] >= count for part, count in one) for part, _ in one}
        return replace(wanted, pieces=tuple(sorted(pieces | set(wanted.pieces)))) if pieces else wanted

    def of(self, question: Understood, statements: Sequence[LoadedStatement]) -> Chained:
        """The chains of one question; none where no engine is given, since then no number takes another's place."""
        if question.specification is None:
            return NOT_CHAINED
        return self._chained([*_asked(question), *_specified(statements)])

    def _chained(self, parts: Sequence[LoadedPart]) -> Chained:
        if not any(part.in_chain for part in parts):
            return NOT_CHAINED
        steps = loading.supersessions(self._stamp, parts)
        return Chained(steps, loading.parts_in(self._stamp, steps))


def _asked(question: Understood) -> list[LoadedPart]:
    return [item.row for item in question.candidate if item.row is not None]


def _specified(statements: Iterable[LoadedStatement]) -> list[LoadedPart]:
    return [said.part for said in statements if said.kind in SPECIFIES and said.part.in_chain]


def chains_of(
    steps: Iterable[LoadedSupersession], rows: Iterable[LoadedPart]
) -> tuple[Chains, dict[int, Numbered]]:  # fmt: skip
    """The replacements in the domain's values, and each of the rows as they know it, by its id."""
    numbered = {
        row.id: Numbered(row.id, row.maker, row.number, InCatalogue.WITHDRAWN if row.withdrawn else InCatalogue.LIVE)
        for row in rows
    }
    published = (loading.supersession_from(one.id, (one.old, one.new, *one.document), numbered) for one in steps)
    return Chains.of(published), numbered


def replacements_of(
    parts: Iterable[int], specification: LoadedSpecification, dealer: UUID, stamp: str
) -> Replacements:  # fmt: skip
    """What is published of the numbers of these parts, by their ids; the chains know a part by its row's id."""
    steps = loading.supersessions(stamp, loading.parts_answering(stamp, (), parts))
    rows = loading.parts_in(stamp, steps)
    chains, numbered = chains_of(steps, rows)
    known = {row.id: loading.part_from(row.text, row.id) for row in rows}
    return Replacements(
        chains,
        known,
        {known[number].key: one for number, one in numbered.items()},
        specification.scheme.prefixes,
        {row.id: loading.holds_on(row, specification.id, dealer) for row in rows if row.held},
    )
