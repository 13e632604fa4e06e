"""One slip of the finger away: a character wrong, left out, too many, or two neighbours swapped.

All keys that a slip can make of one are listed, so that an index answers by equality and misses none. Distance as in
optimal string alignment (Damerau's four slips, no place touched twice).
"""

from __future__ import annotations

from collections.abc import Iterator
from string import ascii_uppercase, digits

# What `number_key` leaves of numbers printed in Latin capitals, with the two signs that it keeps.
ALPHABET = ascii_uppercase + digits + "+#"


def one_edit_keys(key: str, alphabet: str = ALPHABET) -> frozenset[str]:
    """Every key one slip away from this one, itself left out.

    `alphabet` holds the characters that stored keys are made of, once each; those of the key itself are added.
    """
    letters = tuple(dict.fromkeys(alphabet + key))
    found = {*_shorter(key), *_swapped(key)}
    for place in range(len(key) + 1):
        before, behind, after = key[:place], key[place:], key[place + 1 :]
        found.update([before + letter + behind for letter in letters])
        if behind:
            found.update([before + letter + after for letter in letters])
    found.discard(key)
    return frozenset(found)


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


def _shorter(key: str) -> Iterator[str]:
    return (key[:place] + key[place + 1 :] for place in range(len(key)))


def _swapped(key: str) -> Iterator[str]:
    return (key[:at] + key[at + 1] + key[at] + key[at + 2 :] for at in range(len(key) - 1))
