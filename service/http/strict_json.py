"""JSON as RFC 8259 has it and not a bit looser.

Python's reader takes NaN, lets a later name overwrite an earlier one, and hands on half surrogates that no
database can store. All of that is refused here, everything wrong at once, each at its JSON pointer.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

from service.errors import FieldProblem, Invalid, Problems
from service.http.faults import token

DEEPEST = 32
LONGEST_STRING = 10_000
# What a signed 64-bit column holds.
LARGEST_WHOLE = 2**63 - 1
MOST_DIGITS = 19
LONGEST_NAME = 200
# A small body can hold a great many faults; listing them all would make a large answer.
MOST_PROBLEMS = 1_000
TEXT_SHOWN = 40


class Malformed(Invalid):
    """The bytes are no JSON document."""

    code = "malformed"


@dataclass(frozen=True, slots=True)
class _Refused:
    """Stands where something was that JSON does not have or that is not taken."""

    code: str
    detail: str


def read(raw: bytes, *, longest_string: int = LONGEST_STRING) -> Any:
    """The value of one JSON document. Raises ``Malformed`` where it cannot be read, ``Problems`` for its parts."""
    try:
        text = raw.decode("utf-8")
        if text.startswith("\ufeff"):
            raise Malformed("The body begins with a byte order mark (BOM); send it without.")
        value = _READER.decode(text)
    except UnicodeDecodeError as error:
        raise Malformed(f"Byte {error.start} does not belong to UTF-8; send the body in UTF-8.") from error
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise Malformed(f"The body is no JSON from {where} on: {error.msg}.") from error
    except RecursionError as error:
        raise Malformed(f"The body is nested far deeper than the {DEEPEST} levels taken here.") from error
    if not _in_order(value, 1, longest_string):
        raise Problems(tuple(islice(_problems(value, "#", 1, longest_string), MOST_PROBLEMS)))
    return value


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        seen = Counter(name for name, _ in pairs)
        found |= {name: _repeated(name) for name, times in seen.items() if times > 1}
    return found


def _repeated(name: str) -> _Refused:
    return _Refused("repeated_name", f"The object has {name[:TEXT_SHOWN]!r} more than once; send it once.")


def _constant(text: str) -> _Refused:
    return _Refused("not_a_number", f"{text} is no number in JSON; leave the field out where there is no value.")


def _whole(text: str) -> int | _Refused:
    if len(text.lstrip("-")) > MOST_DIGITS or abs(int(text)) > LARGEST_WHOLE:
        return _Refused("number_too_large", f"{text[:TEXT_SHOWN]} is beyond 64 bits; send long numbers as strings.")
    return int(text)


def _broken(text: str) -> float | _Refused:
    value = float(text)
    if math.isfinite(value):
        return value
    return _Refused("number_too_large", f"{text[:TEXT_SHOWN]} is beyond what a number holds; send it as a string.")


_READER = json.JSONDecoder(object_pairs_hook=_object, parse_constant=_constant, parse_int=_whole, parse_float=_broken)


def _in_order(value: Any, depth: int, longest: int) -> bool:
    """Whether `_problems` would find none, without the places that only a problem needs."""
    if type(value) is str:
        return len(value) <= longest and "\0" not in value and (value.isascii() or _is_whole_text(value))
    if type(value) is dict or type(value) is list:
        if depth > DEEPEST:
            return False
        for inner in value.values() if type(value) is dict else value:
            if not _in_order(inner, depth + 1, longest):
                return False
        return type(value) is list or all(len(name) <= LONGEST_NAME and _in_order(name, 0, longest) for name in value)
    return type(value) is not _Refused


def _problems(value: Any, place: str, depth: int, longest: int) -> Iterator[FieldProblem]:
    if isinstance(value, str):
        yield from _string_problems(value, place, longest)
    elif isinstance(value, _Refused):
        yield FieldProblem(place, value.code, value.detail)
    elif isinstance(value, dict | list) and depth > DEEPEST:
        yield FieldProblem(place, "too_deep", f"At most {DEEPEST} levels are taken; this one is deeper.")
    elif isinstance(value, dict):
        for name, inner in value.items():
            yield from _member_problems(name, inner, place, depth, longest)
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _problems(inner, f"{place}/{index}", depth + 1, longest)


def _member_problems(name: str, inner: Any, place: str, depth: int, longest: int) -> Iterator[FieldProblem]:
    here = f"{place}/{token(name[:LONGEST_NAME])}"
    if len(name) > LONGEST_NAME:
        yield FieldProblem(here, "name_too_long", f"A name of {len(name)} characters; none here is so long.")
        return
    yield from _string_problems(name, here, longest)
    yield from _problems(inner, here, depth + 1, longest)


def _string_problems(text: str, place: str, longest: int) -> Iterator[FieldProblem]:
    if len(text) > longest:
        yield FieldProblem(place, "string_too_long", f"{len(text)} characters; at most {longest} are taken.")
    if not _is_whole_text(text):
        detail = "Holds half of a surrogate pair, which is no character; send it whole."
        yield FieldProblem(place, "lone_surrogate", detail)
    if "\0" in text:
        detail = "Holds the character U+0000, which cannot be stored; leave it out."
        yield FieldProblem(place, "null_character", detail)


def _is_whole_text(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True
