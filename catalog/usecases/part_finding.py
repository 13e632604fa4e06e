"""Which part a name means: exactly, else normalised, within its maker. Nothing is picked where two could be meant."""

from __future__ import annotations

from collections.abc import Iterable

from catalog import loading
from catalog.domain.lookup.attempts import Attempt
from catalog.domain.lookup.judging import Candidate
from catalog.domain.lookup.match_words import (
    LOST_ZERO,
    LOST_ZERO_OTHER_MAKER,
    OTHER_MAKER,
    SAME_NUMBER,
    THIS_NUMBER,
)
from catalog.domain.part_numbers import number_key, without_zeros
from catalog.loading import LoadedPart
from catalog.models import Maker
from catalog.usecases.asked import NamedPart
from catalog.usecases.close_numbers import CloseNumbers
from catalog.usecases.refusals import AmbiguousPart, PartWithdrawn, PossibleLostZero, UnknownMaker, UnknownPart
from service.errors import Invalid

MOST_SUGGESTIONS = 10
LARGEST_ID = 2**63 - 1  # no row has a larger one, and not every database can be asked for it
Suggestion = tuple[LoadedPart | Candidate, str]


class PartFinder:
    """The rows that could answer to any of the names, loaded in one statement; more only where one is missing."""

    def __init__(self, names: Iterable[NamedPart], stamp: str) -> None:
        named = tuple(names)
        numbers = {without_zeros(number_key(name.number)) for name in named if name.number is not None}
        ids = {name.id for name in named if name.id is not None and name.id <= LARGEST_ID}
        self._named = named
        self._found = loading.parts_answering(stamp, numbers, ids)
        self._makers: frozenset[str] | None = None
        self._close: CloseNumbers | None = None

    def find(self, name: NamedPart) -> LoadedPart:
        """The part. Raises UnknownMaker, UnknownPart, PossibleLostZero or AmbiguousPart, with suggestions."""
        if name.id is not None:
            return self._by_id(name)
        number = name.number or ""
        key = number_key(number)
        if not key:
            raise Invalid(f"{number!r} holds no letter or digit.", pointer=name.pointer, code="number_unreadable")
        rows = [part for part in self._found if part.no_zeros == without_zeros(key)]
        own = [part for part in rows if name.maker is None or _same_maker(part, name.maker)]
        answering = [part for part in own if part.key == key]
        exact = [part for part in answering if part.number == number]
        chosen = exact if name.maker is not None and exact else answering
        if len(chosen) == 1:
            return chosen[0]
        if chosen:
            raise self._ambiguous(name, chosen)
        raise self._unknown(name, key, rows, own)

    def find_live(self, name: NamedPart, *, or_replaced: bool = False) -> LoadedPart:
        """Like `find`, for a part that is to be fitted, or what replaces it. Raises PartWithdrawn too."""
        part = self.find(name)
        if part.withdrawn and not (or_replaced and part.in_chain):
            raise PartWithdrawn(
                f"{part.maker} {part.number} is withdrawn from the catalogue; ask about what replaces it.",
                pointer=name.pointer,
            )
        return part

    def _by_id(self, name: NamedPart) -> LoadedPart:
        found = next((part for part in self._found if part.id == name.id), None)
        if found is None:
            raise UnknownPart(f"There is no part with the id {name.id}.", pointer=name.pointer, suggestions=())
        return found

    def _ambiguous(self, name: NamedPart, parts: list[LoadedPart]) -> AmbiguousPart:
        listed = ", ".join(f"{part.maker} {part.number}" for part in parts[:MOST_SUGGESTIONS])
        return AmbiguousPart(
            f"{_shown(name)} could be {listed}; name the maker and the number as printed.",
            pointer=name.pointer,
            suggestions=_suggestions(
                (part, THIS_NUMBER if part.number == name.number else SAME_NUMBER) for part in parts
            ),
        )

    def _unknown(self, name: NamedPart, key: str, rows: list[LoadedPart], own: list[LoadedPart]) -> UnknownPart:
        if name.maker is not None and not own and not self._is_maker(name.maker):
            return _no_maker(name, rows, key)
        if len(own) == 1:
            return _lost_zero(name, own[0])
        others = [part for part in rows if part not in own]
        suggestions: list[Suggestion] = [(part, LOST_ZERO) for part in own]
        suggestions += [(part, OTHER_MAKER if part.key == key else LOST_ZERO_OTHER_MAKER) for part in others]
        suggestions = suggestions or self._misread(Attempt(name.number or "", key, name.maker))
        return UnknownPart(
            f"No part is known as {_shown(name)}; check the number, or describe the part.",
            pointer=name.pointer,
            suggestions=_suggestions(suggestions),
        )

    def _misread(self, attempt: Attempt) -> list[Suggestion]:
        if self._close is None:
            known = {part.no_zeros for part in self._found}
            unknown = (number_key(name.number) for name in self._named if name.number is not None)
            self._close = CloseNumbers(key for key in unknown if key and without_zeros(key) not in known)
        return [*self._close.to(attempt)]

    def _is_maker(self, code: str) -> bool:
        if self._makers is None:
            asked = {name.maker.upper() for name in self._named if name.maker is not None}
            self._makers = frozenset(known.upper() for known in Maker.objects.known_as(asked))
        return code.upper() in self._makers


def _no_maker(name: NamedPart, rows: list[LoadedPart], key: str) -> UnknownPart:
    return UnknownMaker(
        f"No maker is known as {name.maker!r}; makers go by their short codes.",
        pointer=name.pointer,
        suggestions=_suggestions((part, OTHER_MAKER) for part in rows if part.key == key),
    )


def _lost_zero(name: NamedPart, part: LoadedPart) -> UnknownPart:
    return PossibleLostZero(
        f"No part is known as {_shown(name)}; {part.maker} {part.number} {LOST_ZERO}. Is that the one meant?",
        pointer=name.pointer,
        suggestions=_suggestions([(part, LOST_ZERO)]),
    )


def _same_maker(part: LoadedPart, maker: str) -> bool:
    return part.maker.upper() == maker.upper()


def _shown(name: NamedPart) -> str:
    return repr(f"{name.maker or ''} {name.number or ''}".strip())


def _suggestions(pairs: Iterable[Suggestion]) -> tuple[dict[str, object], ...]:
    return tuple(
        {"part": {"id": part.id, "maker": part.maker, "number": part.number, "name": part.name}, "why": why}
        for part, why in tuple(pairs)[:MOST_SUGGESTIONS]
    )
