"""Both sides of a ratio measured in turns in one process, and the row that is printed of it."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

ROUNDS = 9


@dataclass(frozen=True, slots=True)
class Row:
    """One aim: its value, the bound it is held to, and the absolute times beside it in microseconds."""

    name: str
    value: float
    unit: str
    aim: str
    holds: bool
    beside: Mapping[str, float] = field(default_factory=dict)

    def line(self) -> str:
        beside = ", ".join(f"{name} {value:,.1f}" for name, value in self.beside.items())
        return f"{self.name:<34} {self.value:>9.3f} {self.unit:<22} {self.aim:<12} {self._word():<4} {beside}"

    def _word(self) -> str:
        return "yes" if self.holds else "NO"


def interleaved(sides: Mapping[str, Callable[[], object]], *, repeat: int, rounds: int = ROUNDS) -> dict[str, float]:
    """Median microseconds a call of each side: the sides take turns, `repeat` calls a turn, with the collector off."""
    for call in sides.values():
        call()
    taken: dict[str, list[float]] = {name: [] for name in sides}
    gc.collect()
    gc.disable()
    try:
        for _ in range(rounds):
            for name, call in sides.items():
                began = time.perf_counter()
                for _ in range(repeat):
                    call()
                taken[name].append((time.perf_counter() - began) / repeat * 1e6)
    finally:
        gc.enable()
    return {name: statistics.median(times) for name, times in taken.items()}
