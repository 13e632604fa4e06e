"""The one error base of the service: a code for programs, words for people, and what the error is about.

Plain Python, so that a domain may raise it. How an error looks over HTTP is decided in ``service.http``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import ClassVar


class Kind(StrEnum):
    """What sort of refusal an error is; the edge maps each to its own status."""

    INVALID = "invalid"
    UNAUTHENTICATED = "unauthenticated"
    FORBIDDEN = "forbidden"
    NOT_FOUND = "not_found"
    CONFLICT = "conflict"
    GONE = "gone"
    STALE = "stale"
    UNPROCESSABLE = "unprocessable"
    LIMITED = "limited"


class DomainError(Exception):
    """Something asked for cannot be done, and the asker can be told why.

    ``message`` says what was found, what was expected and what to do. ``pointer`` is the JSON pointer of the
    field at fault (``/lines/3/quantity``). Everything else given by name becomes ``context``: plain values that
    may be shown to the asker.
    """

    code: str = "error"
    kind: ClassVar[Kind] = Kind.INVALID
    # A conflict says something for good and is repeated to a repeated request; one of the moment may be tried again.
    of_the_moment: ClassVar[bool] = False

    def __init__(
        self, message: str, /, *, pointer: str | None = None, code: str | None = None, **context: object
    ) -> None:
        super().__init__(message)
        self.code = code or self.code
        self.message = message
        self.pointer = pointer
        self.context: Mapping[str, object] = MappingProxyType(context)


class Invalid(DomainError):
    """What was given cannot be read or breaks a rule of its field."""

    code = "invalid"


class Forbidden(DomainError):
    """The asker is known and may not do this."""

    code = "forbidden"
    kind = Kind.FORBIDDEN


class NotFound(DomainError):
    """There is no such thing, or it is not the asker's to see."""

    code = "not_found"
    kind = Kind.NOT_FOUND


class Conflict(DomainError):
    """The state of things does not allow it now."""

    code = "conflict"
    kind = Kind.CONFLICT


class Gone(DomainError):
    """It was there once and is kept no longer."""

    code = "gone"
    kind = Kind.GONE


class Stale(DomainError):
    """The asker decided from a version that has been replaced since."""

    code = "stale"
    kind = Kind.STALE


class Unprocessable(DomainError):
    """Well formed and understood, and still without an answer."""

    code = "unprocessable"
    kind = Kind.UNPROCESSABLE


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """One thing wrong with one field; ``pointer`` is its JSON pointer, empty for the whole body."""

    pointer: str
    code: str
    detail: str


class Problems(Invalid):
    """Several field problems, told at once so that one correction can settle them all."""

    def __init__(self, problems: Iterable[FieldProblem], message: str | None = None) -> None:
        self.problems: tuple[FieldProblem, ...] = tuple(problems)
        if not self.problems:
            raise ValueError("Problems needs at least one field problem.")
        more = f" ({len(self.problems) - 1} more in errors)" if len(self.problems) > 1 else ""
        super().__init__(message or self.problems[0].detail + more)
