"""What the chains of replaced numbers are made of: numbers, published supersessions, what is wrong with the data."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from enum import StrEnum

from catalog.domain.answers import COMMON_PRACTICE, Source, distinct
from catalog.domain.applicability import Applicability
from catalog.domain.supersessions import SupersessionKind, sides_problem


class InCatalogue(StrEnum):
    """Whether a number can still be answered with; `ABSENT` is one that a statement names and no part has."""

    LIVE = "live"
    WITHDRAWN = "withdrawn"
    ABSENT = "absent"


@dataclass(frozen=True, slots=True)
class Numbered:
    """A part as supersessions name it; `id` alone tells two of them apart."""

    id: int
    maker: str
    number: str
    standing: InCatalogue = field(default=InCatalogue.LIVE, compare=False)

    @property
    def shown(self) -> str:
        return f"{self.maker} {self.number}"

    @property
    def live(self) -> bool:
        return self.standing is InCatalogue.LIVE


@dataclass(frozen=True, slots=True)
class Counted:
    """A number and how many of it, in pieces."""

    part: Numbered
    quantity: int = 1

    @property
    def shown(self) -> str:
        return self.part.shown if self.quantity == 1 else f"{self.quantity} of {self.part.shown}"


@dataclass(frozen=True, slots=True)
class Supersession:
    """One published replacement. `both_ways` lets the old side be used up where it holds; never assumed."""

    id: int
    kind: SupersessionKind
    old: tuple[Counted, ...]
    new: tuple[Counted, ...]
    both_ways: bool = False
    applicability: Applicability = field(default_factory=Applicability)
    source: Source = COMMON_PRACTICE

    @property
    def one_for_one(self) -> bool:
        return self.kind is SupersessionKind.ONE_FOR_ONE

    def old_quantity(self, part: Numbered) -> int:
        return next(member.quantity for member in self.old if member.part == part)

    @property
    def fault(self) -> CatalogueError | None:
        """What makes it a data error by itself, wherever it holds (common practice, no source)."""
        named = [member.part for member in (*self.old, *self.new)]
        wrong = sides_problem(self.kind, old=len(self.old), new=len(self.new))
        if wrong is not None:
            return CatalogueError.about(ErrorKind.WRONG_SIDES, named, wrong)
        quantities = {member.quantity for member in (*self.old, *self.new)}
        if self.one_for_one and len(quantities) > 1:
            text = f"{_and(named)} are said to replace each other one for one, in different quantities."
            return CatalogueError.about(ErrorKind.WRONG_SIDES, named, text)
        if len({part.maker for part in named}) > 1:
            return CatalogueError.about(ErrorKind.CROSSES_MAKERS, named, f"{_and(named)} are numbers of two makers.")
        return None


class ErrorKind(StrEnum):
    LOOP = "loop"
    TWO_ENDS = "two_ends"
    DEAD_END = "dead_end"
    CROSSES_MAKERS = "crosses_makers"
    WRONG_SIDES = "wrong_sides"


@dataclass(frozen=True, slots=True)
class CatalogueError:
    """A mistake in published data, for its owner to mend. Two with one `identity` are one ticket."""

    kind: ErrorKind
    parts: tuple[Numbered, ...]
    text: str = field(compare=False)

    @classmethod
    def about(cls, kind: ErrorKind, parts: Iterable[Numbered], text: str) -> CatalogueError:
        named = sorted(set(parts), key=lambda part: part.id)
        return cls(kind, tuple(named), f"Catalogue error: {text}")

    @classmethod
    def loop(cls, parts: Iterable[Numbered]) -> CatalogueError:
        named = sorted(parts, key=lambda part: part.id)
        return cls.about(ErrorKind.LOOP, named, f"numbers replace each other ({_and(named)}).")

    @classmethod
    def dead_end(cls, part: Numbered) -> CatalogueError:
        stands = "is withdrawn" if part.standing is InCatalogue.WITHDRAWN else "does not exist"
        return cls.about(ErrorKind.DEAD_END, [part], f"{part.shown} {stands}, and no number replaces it here.")

    @classmethod
    def two_ends(cls, part: Numbered, new: Iterable[Numbered]) -> CatalogueError:
        named = distinct(new)
        text = f"{part.shown} is replaced by different numbers at once ({_and(named) or 'and by nothing'})."
        return cls.about(ErrorKind.TWO_ENDS, [part, *named], text)

    @property
    def identity(self) -> str:
        return f"{self.kind.value}:{','.join(str(part.id) for part in self.parts)}"


@dataclass(frozen=True, slots=True)
class Chains:
    """Supersessions by the numbers on their old side and on their new side, always in the order of their ids."""

    out_of: Mapping[int, tuple[Supersession, ...]]
    into: Mapping[int, tuple[Supersession, ...]]

    @classmethod
    def of(cls, statements: Iterable[Supersession]) -> Chains:
        out_of: dict[int, list[Supersession]] = defaultdict(list)
        into: dict[int, list[Supersession]] = defaultdict(list)
        for statement in sorted(statements, key=lambda one: one.id):
            for side, index in ((statement.old, out_of), (statement.new, into)):
                for number in {member.part.id for member in side}:
                    index[number].append(statement)
        return cls(
            {number: tuple(found) for number, found in out_of.items()},
            {number: tuple(found) for number, found in into.items()},
        )


def still_to_load(asked: Iterable[int], loaded: Iterable[Supersession], done: AbstractSet[int]) -> frozenset[int]:
    """The part ids whose supersessions are wanted next; empty once all that can matter is there.

    For each of them load every statement with it on the old side, and every both-ways one-for-one statement with it on
    the new side (old stock); then ask again with the ids added to `done`. Parts that share nothing but a common small
    part on their new side are not drawn in.
    """
    wanted = set(asked)
    for statement in loaded:
        wanted.update(member.part.id for member in statement.new)
        if statement.both_ways and statement.one_for_one:
            wanted.update(member.part.id for member in statement.old)
    return frozenset(wanted - done)


def _and(parts: Iterable[Numbered]) -> str:
    return ", ".join(part.shown for part in parts)
