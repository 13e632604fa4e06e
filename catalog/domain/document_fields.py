"""Typed access to one JSON object of a document; every refusal names the path of what is wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from catalog.domain.answers import Source, SourceKind
from service.errors import Invalid

E = TypeVar("E", bound=StrEnum)


def refusal(pointer: str, message: str, code: str = "malformed") -> Invalid:
    return Invalid(f"{pointer or 'the document'}: {message}", pointer=pointer, code=code)


@dataclass(frozen=True, slots=True)
class Fields:
    """One object with its path. A field that is asked for without a default must be there."""

    raw: Mapping[str, object]
    pointer: str

    @classmethod
    def of(cls, raw: object, pointer: str, known: tuple[str, ...] | None = None) -> Fields:
        """Raises Invalid for anything but an object, and for a key that is not known (None: any key may be)."""
        if not isinstance(raw, Mapping):
            raise refusal(pointer, "an object is expected here")
        for key in raw:
            if not isinstance(key, str):
                raise refusal(pointer, f"{key!r} is no key; keys are text")
            if known is not None and key not in known:
                raise refusal(_below(pointer, key), f"the keys here are {', '.join(known)}", "unknown_key")
        return cls(raw, pointer)

    def path(self, key: str) -> str:
        return _below(self.pointer, key)

    def has(self, key: str) -> bool:
        return self.raw.get(key) is not None

    def get(self, key: str) -> object:
        if key not in self.raw:
            raise refusal(self.path(key), "this is missing", "missing")
        return self.raw[key]

    def text(self, key: str, default: str | None = None) -> str:
        found = self.raw.get(key, default)
        if not isinstance(found, str) or (default is None and not found.strip()):
            raise refusal(self.path(key), "a text is expected here", "missing" if found is None else "malformed")
        return found

    def flag(self, key: str, *, default: bool = False) -> bool:
        found = self.raw.get(key, default)
        if not isinstance(found, bool):
            raise refusal(self.path(key), "true or false is expected here")
        return found

    def whole(self, key: str, default: int) -> int:
        found = self.raw.get(key, default)
        if not isinstance(found, int) or isinstance(found, bool):
            raise refusal(self.path(key), "a whole number is expected here")
        return found

    def items(self, key: str) -> tuple[object, ...]:
        found = self.raw.get(key, ())
        if not isinstance(found, (list, tuple)):
            raise refusal(self.path(key), "a list is expected here")
        return tuple(found)

    def texts(self, key: str) -> tuple[str, ...]:
        found = self.items(key)
        texts = tuple(entry for entry in found if isinstance(entry, str))
        if len(texts) != len(found):
            raise refusal(self.path(key), "every entry of this list is a text")
        return texts

    def one_of(self, key: str, choices: type[E], default: E | None = None) -> E:
        found = self.text(key, default.value if default is not None else None)
        try:
            return choices(found)
        except ValueError:
            words = ", ".join(choice.value for choice in choices)
            raise refusal(self.path(key), f"{found!r} is none of {words}", "unknown_code") from None

    def rows(self, key: str, known: tuple[str, ...]) -> Iterator[Fields]:
        """The objects of a list, each with its path."""
        for place, entry in enumerate(self.items(key)):
            yield Fields.of(entry, f"{self.path(key)}/{place}", known)

    def named(self, key: str, known: tuple[str, ...]) -> Iterator[tuple[str, Fields]]:
        """The objects of an object by their code, in the order of codes."""
        section = Fields.of(self.raw.get(key, {}), self.path(key))
        for code in sorted(section.raw):
            yield code, Fields.of(section.raw[code], section.path(code), known)


def source_of(row: Fields) -> Source:
    """The source that every row names: its kind and a citation in words."""
    source = Fields.of(row.get("source"), row.path("source"), ("kind", "citation"))
    return Source(source.one_of("kind", SourceKind), source.text("citation"))


def _below(pointer: str, key: str) -> str:
    return f"{pointer}/{key.replace('~', '~0').replace('/', '~1')}"
