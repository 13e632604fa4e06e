"""What in a directed graph can reach itself: Tarjan's strongly connected components, without recursion.

R. Tarjan, "Depth-first search and linear graph algorithms", SIAM Journal on Computing 1 (1972) 146-160.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Generic, TypeVar

Node = TypeVar("Node", bound=Hashable)


def strong_components(
    starts: Iterable[Node], after: Callable[[Node], Iterable[Node]]
) -> tuple[tuple[Node, ...], ...]:  # fmt: skip
    """Every component reachable from `starts`, each after all those it leads to. Linear in the edges."""
    search = _Search(after)
    for start in starts:
        if start not in search.low:
            search.run(start)
    return tuple(search.found)


@dataclass(slots=True)
class _Search(Generic[Node]):
    after: Callable[[Node], Iterable[Node]]
    low: dict[Node, int] = field(default_factory=dict)  # the earliest node reachable from each, by order of meeting
    open: dict[Node, None] = field(default_factory=dict)  # met, and not yet in a component
    found: list[tuple[Node, ...]] = field(default_factory=list)

    def run(self, start: Node) -> None:
        path: list[tuple[Node, int, Iterator[Node]]] = []
        self._meet(start, path)
        while path:
            node, index, following = path[-1]
            step = next(following, None)
            if step is None:
                path.pop()
                self._leave(node, index)
                if path:
                    before = path[-1][0]
                    self.low[before] = min(self.low[before], self.low[node]) if node in self.open else self.low[before]
            elif step not in self.low:
                self._meet(step, path)
            elif step in self.open:
                self.low[node] = min(self.low[node], self.low[step])

    def _meet(self, node: Node, path: list[tuple[Node, int, Iterator[Node]]]) -> None:
        index = self.low[node] = len(self.low)
        self.open[node] = None
        path.append((node, index, iter(self.after(node))))

    def _leave(self, node: Node, index: int) -> None:
        if self.low[node] != index:
            return
        members = []
        while True:
            member, _ = self.open.popitem()
            members.append(member)
            if member == node:
                break
        self.found.append(tuple(reversed(members)))
