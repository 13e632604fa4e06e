"""Every row of a document that cannot be read, where reading stops at the first."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from service.errors import FieldProblem, Invalid

# A draft that is worse than this is told so in part; mending what is told brings out the rest.
MOST_TOLD = 100
_TO_ROW = 2  # /attributes/<code>
_TO_RULE = 4  # /categories/<code>/rules/<rule>


def malformed_rows(
    document: Mapping[str, object], read: Callable[[Mapping[str, object]], object]
) -> tuple[FieldProblem, ...]:
    """A problem for each malformed row: the row is taken out and the rest read again, until it can be read.

    What names a row that was taken out cannot be told from what names nothing, so such a name is told only while
    every row is still there.
    """
    found: list[FieldProblem] = []
    rest, taken = dict(document), _Taken()
    for _ in range(MOST_TOLD):
        try:
            read(rest)
        except Invalid as error:
            pointer = error.pointer or ""
            if not found or error.code != "unknown_name":
                message = error.message.removeprefix(f"{pointer}: ")
                found.append(FieldProblem(taken.as_sent(pointer), error.code, message))
            if not pointer:
                break
            rest = taken.without(rest, pointer)
        else:
            break
    return tuple(found)


class _Taken:
    """The rows taken out of lists, by which a place in what is left is told as a place in what was sent."""

    def __init__(self) -> None:
        self._places: dict[str, list[int]] = {}

    def as_sent(self, pointer: str) -> str:
        _, section, *rest = pointer.split("/") if pointer else ("", "")
        if section not in self._places or not rest:
            return pointer
        place = int(rest[0])
        for gone in sorted(self._places[section]):
            place += gone <= place
        return "/".join(("", section, str(place), *rest[1:]))

    def without(self, document: dict[str, Any], pointer: str) -> dict[str, Any]:
        """The document less the row that a path lies in; less the section where that is itself malformed."""
        steps = [step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:]]
        section = document.get(steps[0])
        if isinstance(section, list) and len(steps) >= _TO_ROW:
            sent = self.as_sent(pointer).split("/")[2]
            self._places.setdefault(steps[0], []).append(int(sent))
            return {**document, steps[0]: [row for place, row in enumerate(section) if place != int(steps[1])]}
        deep = _TO_RULE if len(steps) >= _TO_RULE and steps[2] == "rules" else _TO_ROW
        return _less(document, steps[:deep])


def _less(node: dict[str, Any], steps: list[str]) -> dict[str, Any]:
    inner = node.get(steps[0])
    if len(steps) == 1 or not isinstance(inner, dict):
        return {name: entry for name, entry in node.items() if name != steps[0]}
    return {**node, steps[0]: _less(inner, steps[1:])}
