"""GS1 element strings: identifiers each with what it identifies, one behind the other in one scan.

What an identifier is and how long its value may be is known to `ReadElement`, which stands outside the domain (see
`catalog.element_strings`); what is made of the elements is decided here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

SEPARATOR = "\x1d"  # ASCII 29, what scanners send for FNC1
ITEM = "01"
CONTENT = "02"  # of the items inside a logistic unit


@dataclass(frozen=True, slots=True)
class Element:
    """One identifier and its value; `variable` where only a separator or the end of the scan ends the value."""

    identifier: str
    value: str
    variable: bool

    def __len__(self) -> int:
        return len(self.identifier) + len(self.value)


ReadElement = Callable[[str], Element | None]
"""The element that a text begins with, however the text goes on; None where it begins with none."""


@dataclass(frozen=True, slots=True)
class Elements:
    """What was read of a scan; `unread` is what is left from the first place that cannot be read for certain."""

    read: tuple[Element, ...]
    unread: str

    @property
    def item(self) -> Element | None:
        """The trade item number: fourteen digits, its check digit not looked at yet."""
        return next((one for one in self.read if one.identifier in {ITEM, CONTENT}), None)


def elements_of(scanned: str, read_element: ReadElement) -> Elements:
    """The elements of a scan without its symbology identifier.

    A value of variable length that no separator ends, and in which another element could begin, is not read: a scanner
    that drops separators makes one value of two, and where the cut was nobody can tell.
    """
    found: list[Element] = []
    rest = scanned.lstrip(SEPARATOR)
    while rest:
        element = read_element(rest)
        behind = "" if element is None else rest[len(element) :]
        if element is None or _runs_on(element, behind, read_element):
            break
        found.append(element)
        rest = behind.lstrip(SEPARATOR)
    return Elements(tuple(found), rest)


def _runs_on(element: Element, behind: str, read_element: ReadElement) -> bool:
    if not element.variable or behind.startswith(SEPARATOR):
        return False
    return bool(behind) or any(
        _only_elements(element.value[place:], read_element) for place in range(1, len(element.value))
    )


def _only_elements(text: str, read_element: ReadElement) -> bool:
    """Whether the text is elements from its beginning to its end."""
    while text:
        element = read_element(text)
        if element is None:
            return False
        text = text[len(element) :]
    return True
