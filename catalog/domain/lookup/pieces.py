"""The pieces by which a part is found unread: the endings of its key, what a slip leaves of it, the words of its name.

A text stands inside a key exactly where an ending of the key begins with it, so that a plain ordered index answers
what would else be a walk over all keys, and none is missed. Of slips the same is true, see `edits`.
"""

from __future__ import annotations

from collections.abc import Iterator

from catalog.domain.lookup.edits import shortened
from catalog.domain.lookup.search_keys import LEAST_FOR_INSIDE, LEAST_FOR_ONE_EDIT, MOST_FOR_ONE_EDIT, words_of

# The column's length: a longer piece is cut, and what begins with it is judged by the whole key or name.
LONGEST_PIECE = 320


def endings_of(key: str) -> Iterator[str]:
    """What is left of a key without its first characters; the whole key itself is found by its own column."""
    return (key[at : at + LONGEST_PIECE] for at in range(1, len(key) - LEAST_FOR_INSIDE + 1))


def words_kept(name: str) -> Iterator[str]:
    return (word[:LONGEST_PIECE] for word in words_of(name))


def slips_of(key: str) -> tuple[str, ...]:
    """The key less a character, each once; none of keys that are too short or too long to be asked for by a slip."""
    return shortened(key) if LEAST_FOR_ONE_EDIT <= len(key) <= MOST_FOR_ONE_EDIT + 1 else ()
