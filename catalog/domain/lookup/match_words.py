"""In which ways a part answers to what was typed, from the surest to the faintest, and the sentence that says so."""

from __future__ import annotations

import unicodedata
from enum import StrEnum


class MatchedBy(StrEnum):
    """Why a part is in the list. The order of the members is the order of the list (common practice, no source)."""

    EXACT = "exact"
    NORMALISED = "normalised"
    BARCODE = "barcode"
    SUPERSEDED = "superseded"
    NEAR_TWIN = "near_twin"
    PREFIX = "prefix"
    LOOK_ALIKE = "look_alike"
    ONE_EDIT = "one_edit"
    CONTAINS = "contains"
    TEXT = "text"


PLACES = {kind: place for place, kind in enumerate(MatchedBy)}
# Somebody's own number or code: what the asker holds, as far as digits can say.
SURE = frozenset({MatchedBy.EXACT, MatchedBy.NORMALISED, MatchedBy.BARCODE})
# Worth showing only where nothing sure was found.
GUESSES = frozenset({MatchedBy.ONE_EDIT, MatchedBy.CONTAINS, MatchedBy.TEXT})

THIS_NUMBER = "this number exactly"
SAME_NUMBER = "same number, different punctuation"
SAME_BUT_CAPITALS = "same number, different capitals"
OTHER_MAKER = "this number, of another maker"
LOST_ZERO = "differs by leading zeros only"
LOST_ZERO_OTHER_MAKER = f"another maker's; {LOST_ZERO}"
BEGINS = "the number begins with this"
ONE_SLIP = "one character wrong, missing, too many or swapped; compare it with the label"
HOLDS = "the number holds this"
IN_NAME = "every word is in the name"
PACK_UNKNOWN = "barcode of a pack of this item; how many are in it is not recorded"


def same_number(typed: str, printed: str) -> str:
    """How a number is written otherwise than it is printed, where both have one key."""
    same_letters = unicodedata.normalize("NFKC", typed).casefold() == unicodedata.normalize("NFKC", printed).casefold()
    return SAME_BUT_CAPITALS if same_letters else SAME_NUMBER


def looks_alike(typed: str, printed: str) -> str:
    """Which characters of two keys that fold to one are taken for one another."""
    pairs = dict.fromkeys(f"{one} for {other}" for one, other in zip(typed, printed, strict=True) if one != other)
    return f"looks alike ({', '.join(pairs)}); compare it with the label"


def barcode_of(code: str, pack_quantity: int) -> str:
    return f"barcode {code}" if pack_quantity == 1 else f"barcode {code} of a pack of {pack_quantity}"


def replaces(chain: tuple[str, ...], *, in_a_loop: bool) -> str:
    """What a number replaces, oldest first, itself last."""
    if in_a_loop:
        return f"catalogue error: numbers replace each other ({' > '.join(chain)})"
    return f"replaces {chain[0]} ({' > '.join(chain)}); which of them serves depends on the engine"


def withdrawn(replaced_by: tuple[str, ...]) -> str:
    """What is said beside a sure hit that is not sold any more."""
    instead = f"replaced by {', '.join(replaced_by)}" if replaced_by else "nothing is recorded to replace it"
    return f"withdrawn from the catalogue, {instead}"
