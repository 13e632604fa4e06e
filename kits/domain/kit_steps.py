"""What a kit goes through from being built to being handed out, and which step is open in which state."""

from __future__ import annotations

from enum import StrEnum

from service.errors import Conflict


class KitState(StrEnum):
    BUILT = "built"
    NEEDS_REVIEW = "needs_review"  # a check, the work order or the machine has changed since it was built
    RESERVED = "reserved"
    PICKED = "picked"
    FULFILLED = "fulfilled"
    CANCELLED = "cancelled"


ENDED = (KitState.FULFILLED, KitState.CANCELLED)


class Step(StrEnum):
    EDIT = "edit"
    SETTLE = "settle"
    RESERVE = "reserve"
    REVIEW = "review"
    PICK = "pick"
    FULFIL = "fulfil"
    CANCEL = "cancel"


_STANDING = (KitState.BUILT, KitState.NEEDS_REVIEW, KitState.RESERVED)
OPEN_IN: dict[Step, tuple[KitState, ...]] = {
    Step.EDIT: _STANDING,
    Step.SETTLE: _STANDING,
    Step.RESERVE: (KitState.BUILT, KitState.RESERVED),
    Step.REVIEW: (KitState.NEEDS_REVIEW,),
    Step.PICK: (KitState.RESERVED,),
    Step.FULFIL: (KitState.RESERVED, KitState.PICKED),
    Step.CANCEL: (*_STANDING, KitState.PICKED),
}
_ADVICE = {
    KitState.BUILT: "Reserve its lines first.",
    KitState.NEEDS_REVIEW: "Look at what has changed, and accept it with a review.",
    KitState.RESERVED: "Pick or fulfil it, or cancel it.",
    KitState.PICKED: "Fulfil it, or cancel it to put everything back.",
    KitState.FULFILLED: "It has been handed out; build another kit.",
    KitState.CANCELLED: "It is cancelled for good; build another kit.",
}


class WrongState(Conflict):
    """The step makes no sense in the state the kit is in."""

    code = "kit_state"


def refuse_unless_open(step: Step, state: KitState) -> None:
    """Raises WrongState, which says the state and what to do."""
    allowed = OPEN_IN[step]
    if state not in allowed:
        words = f"The kit is {_words(state)}, and {_NOUN[step]} is for one that is {_listed(allowed)}. {_ADVICE[state]}"
        raise WrongState(words, state=state.value, allowed=[one.value for one in allowed])


_NOUN = {
    Step.EDIT: "a change",
    Step.SETTLE: "choosing a part",
    Step.RESERVE: "reserving",
    Step.REVIEW: "a review",
    Step.PICK: "picking",
    Step.FULFIL: "handing out",
    Step.CANCEL: "cancelling",
}


def _words(state: KitState) -> str:
    return "to be reviewed" if state is KitState.NEEDS_REVIEW else state.value


def _listed(states: tuple[KitState, ...]) -> str:
    return " or ".join(_words(state) for state in states)
