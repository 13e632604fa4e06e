"""The ways in which numbers replace numbers (common practice, no source)."""

from __future__ import annotations

from enum import StrEnum


class SupersessionKind(StrEnum):
    """What the old side and the new side mean to each other.

    `one_for_one`: each old number by itself is now the new one. `together`: the old numbers together are now the new
    ones together. `set`: the one old number is now a set, all of it or nothing. `discontinued`: nothing replaces it.
    """

    ONE_FOR_ONE = "one_for_one"
    TOGETHER = "together"
    SET = "set"
    DISCONTINUED = "discontinued"


def sides_problem(kind: SupersessionKind, *, old: int, new: int) -> str | None:
    """What is wrong with this many numbers on either side; None where the kind allows it."""
    allowed = {
        SupersessionKind.ONE_FOR_ONE: (old >= 1 and new == 1, "one or more old numbers and exactly one new one"),
        SupersessionKind.TOGETHER: (old >= 2 and new >= 1, "two or more old numbers and at least one new one"),
        SupersessionKind.SET: (old == 1 and new >= 1, "one old number and the numbers of its set"),
        SupersessionKind.DISCONTINUED: (old >= 1 and new == 0, "old numbers and no new one"),
    }
    fine, wanted = allowed[kind]
    return None if fine else f"{kind.value} takes {wanted}; {old} old and {new} new are given."
