"""What can be wrong in the catalogue's data, as an answer finds it: told to the editors, never answered by luck."""

from __future__ import annotations

from enum import StrEnum


class DataErrorKind(StrEnum):
    """`CONTRADICTION`: what is recorded of a part speaks against a maker's statement about it.

    `SUPERSESSION`: numbers that replace each other lead nowhere, round in a circle or to two ends.
    """

    CONTRADICTION = "contradiction"
    SUPERSESSION = "supersession"
