"""The first element of a GS1 element string, asked of biip: the only module that touches it.

The library brings the table of application identifiers as a file of its package and reads two-digit years by the
clock, so it stands outside the domain. Only identifier, value and whether a separator is due are taken from it; dates,
prefixes and its own judgement of check digits are not.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from catalog.domain.lookup.elements import Element


def first_element(text: str) -> Element | None:
    """Implements `ReadElement`. Never raises, whatever the text."""
    # Its patterns take every script's digits for digits; element strings are written in ASCII alone.
    if not text.isascii():
        return None
    strings, failure, settings = _library()
    try:
        found = strings.extract(text, config=settings)
    except failure:
        return None
    identifier, value = str(found.ai.ai), str(found.value)
    # It leaves out what its pattern does not group; then what was read is not what was scanned.
    if not value or not text.startswith(identifier + value):
        return None
    return Element(identifier, value, bool(found.ai.separator_required))


@cache
def _library() -> tuple[Any, type[Exception], Any]:
    # A tenth of a second to load: only where something was scanned.
    from biip import ParseConfig, ParseError  # noqa: PLC0415
    from biip.gs1_element_strings import GS1ElementString  # noqa: PLC0415

    return GS1ElementString, ParseError, ParseConfig(gs1_element_strings_verify_date=False)
