"""The pieces of a part by which it is found without being read: the endings of its key, the words of its name.

A text stands inside a key exactly where an ending of the key begins with it, so that a plain ordered index answers
what would else be a walk over all keys, and none is missed.
"""

from __future__ import annotations

from collections.abc import Iterator

from catalog.domain.lookup.edits import ALPHABET
from catalog.domain.lookup.search_keys import LEAST_FOR_INSIDE, words_of

# The column's length: a longer piece is cut, and what begins with it is judged by the whole key or name.
LONGEST_PIECE = 320


def endings_of(key: str) -> Iterator[str]:
    """What is left of a key without its first characters; the whole key itself is found by its own column."""
    return (key[at : at + LONGEST_PIECE] for at in range(1, len(key) - LEAST_FOR_INSIDE + 1))


def words_kept(name: str) -> Iterator[str]:
    return (word[:LONGEST_PIECE] for word in words_of(name))


def signs_of(key: str) -> Iterator[str]:
    """The characters of a key that are not among the usual ones, each once; see `search_keys.further_keys`."""
    return (sign for sign in dict.fromkeys(key) if sign not in ALPHABET)
