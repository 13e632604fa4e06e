"""Reading a serial number as it is typed, and comparing it inside one block.

Only the maker code, the words for "serial" and leading zeros are noise. A plant prefix chooses the block; one that
no block has is never stripped (common practice, no source).
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from math import inf

from catalog.domain.answers import YES, Fact, Truth, no, unknown
from service.errors import Invalid

LONGEST_SERIAL = 40
_WORDS = re.compile(r"^(SERIAL NUMBER|SERIAL NO|SERIAL|S/N|SN|NO|NR|NUMBER)(?![A-Z])[\s.:#]*")
_PARTS = re.compile(r"([A-Z]*)[\s.-]*(\d+)", re.ASCII)


@dataclass(frozen=True, slots=True)
class Serial:
    """A serial read inside a known block: `prefix` is empty where the maker uses none."""

    prefix: str
    number: int


@dataclass(frozen=True, slots=True)
class SerialScheme:
    """How one maker numbers one specification: its code (noise when typed) and the prefixes of its blocks."""

    maker: str = ""
    prefixes: tuple[str, ...] = ("",)

    def read(self, text: str) -> Serial | None:
        """The serial, or None where its prefix belongs to no block. Raises Invalid where it cannot be read at all."""
        typed = unicodedata.normalize("NFKC", text[: LONGEST_SERIAL + 1])
        if not re.search(r"\d", typed, re.ASCII) or len(text) > LONGEST_SERIAL:
            raise Invalid(
                f"{text[:LONGEST_SERIAL]!r} cannot be read as a serial number; type the digits from the engine plate, "
                f"at most {LONGEST_SERIAL} characters, or leave it out.",
                code="serial_unreadable",
            )
        found = _PARTS.fullmatch(self._without_noise(typed))
        if found is None or found[1] not in self.prefixes:
            return None
        return Serial(found[1], int(found[2]))

    def _without_noise(self, text: str) -> str:
        bare = text.upper().replace("º", "").replace("°", "").strip()
        before = None
        while before != bare:
            before = bare
            if self.maker and bare.startswith(self.maker.upper()):
                bare = bare[len(self.maker) :].lstrip(" -.:#")
            bare = _WORDS.sub("", bare)
        return bare


@dataclass(frozen=True, slots=True)
class SerialRange:
    """Serials of one block, both ends included; an end that is None is open."""

    first: int | None = None
    last: int | None = None
    prefix: str = ""

    def holds_for(self, serial: Serial | None) -> Truth:
        if serial is None:
            return unknown(serial_fact(self.change))
        inside = (
            serial.prefix == self.prefix
            and (self.first is None or serial.number >= self.first)
            and (self.last is None or serial.number <= self.last)
        )
        return YES if inside else no("serial")

    @property
    def change(self) -> int | None:
        """The first serial on the far side of the break, the number the trade quotes."""
        if self.first is not None:
            return self.first
        return None if self.last is None else self.last + 1

    def in_order(self) -> tuple[str, float, float]:
        """Where the range stands among others: by block, then by its ends."""
        first, last = self.first, self.last
        return self.prefix, -inf if first is None else first, inf if last is None else last

    def shown(self) -> str:
        if self.first is not None and self.last is not None:
            return f"serial {self.prefix}{self.first} to {self.prefix}{self.last}"
        if self.first is not None:
            return f"from serial {self.prefix}{self.first}"
        return f"to serial {self.prefix}{self.last}" if self.last is not None else "every serial"


def serial_fact(change: int | None) -> Fact:
    """The question a missing serial raises; it names the change where there is one."""
    where = f" (change at {change})" if change is not None else ""
    return Fact(f"serial{where}", f"Which serial number is on the engine plate{where}?")
