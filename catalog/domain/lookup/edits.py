"""One slip of the finger away: a character wrong, left out, too many, or two neighbours swapped.

Whatever the slip, both keys less one character each, or the longer one less a character and the other, are the same
text. So keys shortened by one character answer by equality and miss none; not all that share such a text are one slip
apart, and `is_one_edit` says which are. Distance as in optimal string alignment (Damerau's four slips, no place touched
twice); to delete a character of both, to find what was misspelt, is Mor's and Fraenkel's (Communications of the ACM 25,
1982, page 935).
"""

from __future__ import annotations


def shortened(key: str) -> tuple[str, ...]:
    """What is left of a key without one of its characters, each text once."""
    return tuple(dict.fromkeys(key[:place] + key[place + 1 :] for place in range(len(key))))


def is_one_edit(one: str, other: str) -> bool:
    """Whether exactly one slip makes the one of the other. Works for every character there is."""
    if one == other or abs(len(one) - len(other)) > 1:
        return False
    short, long = sorted((one, other), key=len)
    at = next((place for place, letter in enumerate(short) if letter != long[place]), len(short))
    if len(short) < len(long):
        return short[at:] == long[at + 1 :]
    swapped = short[at : at + 2] == long[at : at + 2][::-1] and short[at + 2 :] == long[at + 2 :]
    return swapped or short[at + 1 :] == long[at + 1 :]
