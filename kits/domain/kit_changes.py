"""How a line of a kit stood when it was last decided, how it stands now, and what of it has changed."""

from __future__ import annotations

from dataclasses import dataclass

from catalog.domain.answers import Verdict
from kits.domain.kit_settling import LineState, Use


@dataclass(frozen=True, slots=True)
class Standing:
    """What a line rests on. The headline is for people: other words for the same answer are no change."""

    state: LineState
    verdict: Verdict | None
    headline: str
    conditions: tuple[str, ...] = ()
    use: tuple[Use, ...] = ()


def changes(was: Standing, now: Standing) -> tuple[str, ...]:
    """What has changed, in words; nothing where the line rests on the same."""
    found: list[str] = []
    if was.verdict is not now.verdict:
        found.append(f"The answer was {_verdict(was.verdict)} and is {_verdict(now.verdict)}: {now.headline}")
    elif was.state is LineState.APPROVED and now.state is not LineState.APPROVED:
        found.append("The approval that the line rested on does not apply any more.")
    elif was.state is not now.state:
        found.append(f"The line was {was.state.value} and is {now.state.value}.")
    if set(was.conditions) != set(now.conditions):
        found.append(f"The conditions were {_listed(was.conditions)} and are {_listed(now.conditions)}.")
    if sorted(was.use, key=_order) != sorted(now.use, key=_order):
        found.append(f"What to use was {_used(was.use)} and is {_used(now.use)}.")
    return tuple(found)


def _verdict(verdict: Verdict | None) -> str:
    return "none" if verdict is None else verdict.value


def _listed(texts: tuple[str, ...]) -> str:
    return "; ".join(texts) or "none"


def _used(use: tuple[Use, ...]) -> str:
    return ", ".join(f"{one.quantity} x {' '.join(one.part)}" for one in sorted(use, key=_order)) or "nothing"


def _order(use: Use) -> tuple[tuple[str, str], int]:
    return use.part, use.quantity or 0
