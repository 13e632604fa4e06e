"""Pieces from sources to demands at the least cost, exactly, in whole numbers.

Shortest augmenting paths (as in any text on network flows). Arcs without cost are filled first, which leaves no cycle
of negative cost behind.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

Costs = Sequence[dict[int, int]]  # for each demand: the cost of a piece, 0 or more, from each source that may serve it
Sent = list[dict[int, int]]  # for each demand: pieces by source


@dataclass(frozen=True, slots=True)
class _Step:
    """How a source comes into a path: it serves `demand`, in place of the source `instead_of` where there is one."""

    demand: int
    instead_of: int | None = None


def cheapest_flow(room: Sequence[int], wanted: Sequence[int], costs: Costs) -> Sent:
    """Who serves whom: as many pieces as the sources can bring, and of such ways the cheapest."""
    nothing = len(room)  # a source without end for what goes without, dearer than all pieces at the dearest
    dear = sum(wanted) * max((cost for row in costs for cost in row.values()), default=0) + 1
    network = _Network([*room, sum(wanted)], [{**row, nothing: dear} for row in costs])
    left = [network.fill_free(demand, pieces) for demand, pieces in enumerate(wanted)]
    for demand, pieces in enumerate(left):
        missing = pieces
        while missing:
            missing -= network.augment(demand, missing)
    for row in network.sent:
        row.pop(nothing, None)
    return network.sent


class _Network:
    def __init__(self, room: list[int], costs: Costs) -> None:
        self.room = room
        self.costs = costs
        self.sent: Sent = [{} for _ in costs]
        self.takers: dict[int, dict[int, None]] = {}  # by source, the demands it serves now

    def fill_free(self, demand: int, wanted: int) -> int:
        """Takes what costs nothing; returns what is still wanted after it."""
        for source, cost in self.costs[demand].items():
            pieces = 0 if cost else min(wanted, self.room[source])
            if pieces:
                self.room[source] -= pieces
                self._send(source, demand, pieces)
                wanted -= pieces
        return wanted

    def augment(self, demand: int, wanted: int) -> int:
        """Along one cheapest path to the demand; returns the pieces it brings."""
        worth, steps = self._paths(demand)
        first = min((cost, source) for source, cost in worth.items() if self.room[source])[1]
        path = _path(first, steps)
        freed = [self.sent[step.demand][step.instead_of] for step in path.values() if step.instead_of is not None]
        pieces = min(wanted, self.room[first], *freed)
        self.room[first] -= pieces
        for source, step in path.items():
            self._send(source, step.demand, pieces)
            if step.instead_of is not None:
                self._send(step.instead_of, step.demand, -pieces)
        return pieces

    def _paths(self, demand: int) -> tuple[dict[int, int], dict[int, _Step]]:
        worth = dict(self.costs[demand])
        steps = {source: _Step(demand) for source in worth}
        waiting = deque(worth)
        while waiting:
            source = waiting.popleft()
            for served in self.takers.get(source, ()):
                freed = worth[source] - self.costs[served][source]
                for other, cost in self.costs[served].items():
                    if other not in worth or freed + cost < worth[other]:
                        worth[other] = freed + cost
                        steps[other] = _Step(served, source)
                        waiting.append(other)
        return worth, steps

    def _send(self, source: int, demand: int, pieces: int) -> None:
        now = self.sent[demand].get(source, 0) + pieces
        if now:
            self.sent[demand][source] = now
            self.takers.setdefault(source, {})[demand] = None
        else:
            del self.sent[demand][source]
            del self.takers[source][demand]


def _path(first: int, steps: dict[int, _Step]) -> dict[int, _Step]:
    path = {first: steps[first]}
    onward = steps[first].instead_of
    while onward is not None:
        path[onward] = steps[onward]
        onward = steps[onward].instead_of
    return path
