"""An engine whose serial number is not known, taken as each engine it may be: which breaks make a difference?"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace

from catalog.domain.answers import Fact, distinct
from catalog.domain.applicability import Where
from catalog.domain.serials import Serial, SerialRange, serial_fact

_ANOTHER_BLOCK = "?"  # stands for every block that no statement names; no prefix is read as this


@dataclass(frozen=True, slots=True)
class SerialWorlds:
    """One `Where` for each stretch of serials that the given breaks cannot tell apart, in order, block by block."""

    wheres: tuple[Where, ...]

    @classmethod
    def of(cls, where: Where, ranges: Iterable[SerialRange], blocks: tuple[str, ...] | None) -> SerialWorlds:
        """`blocks` are the prefixes the maker's scheme has; None where that is not known.

        The engine itself is the only world where its serial is known, or nothing turns on it.
        """
        found = tuple(ranges)
        if where.application.serial is not None or not found:
            return cls((where,))
        known = sorted({entry.prefix for entry in found}) if blocks is None else sorted(blocks)
        serials = [serial for block in known for serial in _stretches(block, found)]
        if blocks is None or not serials:
            serials.append(Serial(_ANOTHER_BLOCK, 0))
        return cls(tuple(_with_serial(where, serial) for serial in serials))

    def deciding(self, answers: Sequence[Hashable]) -> tuple[Fact, ...]:
        """The questions about the serial that tell different answers apart, one answer for each world."""
        if len(set(answers)) <= 1:
            return ()
        facts = []
        for (before, answer), (here, other) in zip(
            zip(self.wheres, answers, strict=True), zip(self.wheres[1:], answers[1:], strict=True), strict=False
        ):
            one, next_one = before.application.serial, here.application.serial
            if one and next_one and one.prefix == next_one.prefix and answer != other:
                facts.append(serial_fact(next_one.number))
        return distinct(facts) or (serial_fact(None),)


def _stretches(block: str, ranges: Iterable[SerialRange]) -> list[Serial]:
    """The first serial of every stretch; serials have no sign, so the first of all is 0."""
    firsts = {0}
    for entry in ranges:
        if entry.prefix == block:
            firsts.update(number for number in (entry.first, None if entry.last is None else entry.last + 1) if number)
    return [Serial(block, number) for number in sorted(firsts)]


def _with_serial(where: Where, serial: Serial) -> Where:
    return replace(where, application=replace(where.application, serial=serial, serial_in_no_block=False))
