"""Which members of a kit fill which places: every place in number if any choice can do it, the best members first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

Pair = tuple[int, int]  # a place and a member, by their order


@dataclass(slots=True)
class _Matching:
    """Single pieces in single seats, grown by moving pieces along as long as that seats one more."""

    seats: Sequence[int]  # the place each seat is at
    pieces: Sequence[int]  # the member each piece is of
    seated: dict[int, int] = field(default_factory=dict)  # piece -> seat

    def grow(self, allowed: set[Pair]) -> None:
        taken = set(self.seated.values())
        for seat in range(len(self.seats)):
            if seat not in taken:
                self._seat(seat, allowed, set())

    def _seat(self, seat: int, allowed: set[Pair], tried: set[int]) -> bool:
        for piece, member in enumerate(self.pieces):
            if piece in tried or (self.seats[seat], member) not in allowed:
                continue
            tried.add(piece)
            if piece not in self.seated or self._seat(self.seated[piece], allowed, tried):
                self.seated[piece] = seat
                return True
        return False


def fill(needed: Sequence[int], held: Sequence[int], ranks: Mapping[Pair, int]) -> dict[Pair, int]:
    """How many of each member go to each place. `ranks` says how good a member is at a place, 0 the best.

    Pairs that are not ranked are never used. As many places as possible are filled, and with no worse a rank than
    that takes.
    """
    seats = [place for place, count in enumerate(needed) for _ in range(count)]
    pieces = [member for member, count in enumerate(held) for _ in range(min(count, sum(needed)))]
    matching = _Matching(seats, pieces)
    for worst in sorted(set(ranks.values())):
        matching.grow({pair for pair, rank in ranks.items() if rank <= worst})
    found: dict[Pair, int] = {}
    for piece, seat in sorted(matching.seated.items()):
        pair = (seats[seat], pieces[piece])
        found[pair] = found.get(pair, 0) + 1
    return found
