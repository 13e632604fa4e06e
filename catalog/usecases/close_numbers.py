"""Numbers easily taken for unknown ones: look-alikes, and one slip of the finger away. Offered, never taken."""

from __future__ import annotations

from collections.abc import Iterable

from catalog import loading
from catalog.domain.lookup.attempts import Attempt
from catalog.domain.lookup.hits import in_order
from catalog.domain.lookup.judging import Candidate, Match, judged
from catalog.domain.lookup.look_alikes import look_alike_key
from catalog.domain.lookup.match_words import MatchedBy
from catalog.domain.lookup.search_keys import one_edit_keys, slips_asked

CLOSE = frozenset({MatchedBy.LOOK_ALIKE, MatchedBy.ONE_EDIT})
# Every number is asked for by two dozen keys; of the others of one request look-alikes alone are offered.
MOST_WITH_SLIPS = 10


class CloseNumbers:
    """Living parts close to any of these keys, loaded for all of them by one statement when the first is asked for."""

    def __init__(self, keys: Iterable[str]) -> None:
        self._keys = tuple(dict.fromkeys(keys))
        self._found: tuple[Candidate, ...] | None = None

    def to(self, attempt: Attempt) -> list[tuple[Candidate, str]]:
        """The parts close to one of the keys, in the order of hits, each with why."""
        if self._found is None:
            self._found = self._load()
        matches = ((part, judged(part, [attempt])) for part in self._found)
        close: list[tuple[Candidate, Match]] = [
            (part, match) for part, match in matches if match and match.kind in CLOSE
        ]
        return [(part, match.note) for part, match in sorted(close, key=lambda pair: in_order(*pair))]

    def _load(self) -> tuple[Candidate, ...]:
        slips = one_edit_keys([key for key in self._keys if slips_asked(key)][:MOST_WITH_SLIPS])
        alike = loading.look_alikes(look_alike_key(key) for key in self._keys)
        return loading.candidates([*alike, *loading.by_slips(slips)])
