"""Query parameters, read as strictly as a body: an unknown, repeated or unreadable one is a problem, not ignored."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import Any, ClassVar
from urllib.parse import unquote_to_bytes

from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request

from service.http.faults import Fault, flatten

PAGE_PARAMETERS = ("cursor", "page_size")
WHOLE = re.compile(r"-?[0-9]{1,18}", re.ASCII)


class ParameterProblems(Exception):
    """Every query parameter that cannot be taken."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(fault.detail for fault in self.faults))


class WholeParameter(serializers.IntegerField):
    """A whole number in plain digits; int() alone would take ``1_000`` and ``1.0`` too."""

    def to_internal_value(self, data: Any) -> int:
        if not WHOLE.fullmatch(str(data)):
            self.fail("invalid")
        return int(data)


class FlagParameter(serializers.BooleanField):
    """``true`` or ``false``."""

    def to_internal_value(self, data: Any) -> bool:
        if data not in ("true", "false"):
            raise ValidationError(f"{data!r} is neither true nor false.", code="invalid")
        return bool(data == "true")


class QueryParameters(serializers.Serializer[Any]):
    """Declare the parameters of a GET as fields, then ``read`` them.

    ``also`` names parameters that something else reads, such as ``PAGE_PARAMETERS``; ``open_prefixes`` lets
    through families of names that only data can tell, such as ``attr__``; those come back under ``open``.
    """

    also: ClassVar[tuple[str, ...]] = ()
    open_prefixes: ClassVar[tuple[str, ...]] = ()

    @classmethod
    def read(cls, request: Request) -> dict[str, Any]:
        """The parameters by name. Raises ``ParameterProblems``."""
        given = request.query_params
        reader = cls(data={name: given[name] for name in given if name not in cls.also})
        faults = [*_unreadable(request), *_strangers(reader, given), *_repeated(reader, given)]
        if not reader.is_valid():
            faults += [_as_parameter(fault) for fault in flatten(reader.errors)]
        if faults:
            raise ParameterProblems(faults)
        found = dict(reader.validated_data)
        if cls.open_prefixes:
            found["open"] = {name: given[name] for name in given if name.startswith(cls.open_prefixes)}
        return found


class NoParameters(QueryParameters):
    """For a view that takes none: ``NoParameters.read(request)``."""


class PageParameters(QueryParameters):
    """For a plain list that takes nothing but a page."""

    also = PAGE_PARAMETERS


def _unreadable(request: Request) -> list[Fault]:
    """Parameters that are no UTF-8: read leniently they would ask for something else than was sent."""
    pairs = request.META.get("QUERY_STRING", "").split("&")
    return [
        Fault("not_utf8", f"{name!r} is no text in UTF-8; percent-encode its UTF-8 bytes.", parameter=name)
        for name, _, value in (pair.partition("=") for pair in pairs)
        if not _is_text(name) or not _is_text(value)
    ]


def _is_text(encoded: str) -> bool:
    try:
        unquote_to_bytes(encoded).decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _strangers(reader: QueryParameters, given: Iterable[str]) -> list[Fault]:
    known = [*reader.fields, *reader.also]
    strangers = [name for name in given if name not in known and not name.startswith(reader.open_prefixes)]
    return [Fault("unknown_parameter", _no_such(name, known), parameter=name) for name in strangers]


def _no_such(name: str, known: list[str]) -> str:
    near = difflib.get_close_matches(name, known, n=1)
    taken = f"did you mean {near[0]!r}?" if near else f"taken here: {', '.join(sorted(known)) or 'none'}."
    return f"There is no query parameter {name!r}; {taken}"


def _repeated(reader: QueryParameters, given: Any) -> list[Fault]:
    known = [*reader.fields, *reader.also]
    mine = (name for name in given if name in known or name.startswith(reader.open_prefixes))
    twice = [name for name in mine if len(given.getlist(name)) > 1]
    return [Fault("repeated", f"{name!r} is given more than once; give it once.", parameter=name) for name in twice]


def _as_parameter(fault: Fault) -> Fault:
    name = (fault.pointer or "#").removeprefix("#").removeprefix("/").split("/")[0]
    return Fault(fault.code, fault.detail, parameter=name)
