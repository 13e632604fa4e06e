"""A supply line over 60 temperatures against the bare property calls that it needs, both warm.

The calls are those that one decision of the line makes, each once; the aim is at most three times their time.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from catalog.domain.supply.deciding_line import decide_line
from catalog.domain.supply.fluids import Fluids
from tests.benchmarks.measuring import Row, interleaved
from tests.demo_world import rulebook
from tests.domain.lines import CASES, conditions, fluids, line

AIM = 3.0
TITLES = ("Lift truck in a hall, 26 psi rail, HD-5", "Small set on a 500-gallon tank in the yard")


class Overheard:
    """The fluids, and every question put to them."""

    def __init__(self, fluids: Fluids) -> None:
        self.fluids = fluids
        self.asked: dict[tuple[str, tuple[Any, ...]], None] = {}

    def __getattr__(self, name: str) -> Callable[..., Any]:
        answer = getattr(self.fluids, name)

        def ask(*values: Any) -> Any:
            self.asked[name, values] = None
            return answer(*values)

        return ask


def measure() -> list[Row]:
    return [_measured(case) for case in CASES if case["title"] in TITLES]


def _measured(case: dict[str, Any]) -> Row:
    asked, given, book = line(case), conditions({**case, "air": [-5, 40]}), rulebook()
    overheard = Overheard(fluids())
    decision = decide_line(asked, given, book, cast("Fluids", overheard))
    calls = [(getattr(fluids(), name), values) for name, values in overheard.asked]

    def bare() -> None:
        for call, values in calls:
            call(*values)

    taken = interleaved({"line": lambda: decide_line(asked, given, book, fluids()), "bare": bare}, repeat=2)
    ratio = taken["line"] / taken["bare"]
    return Row(f"supply line, {case['withdrawal']}", ratio, "of bare calls", f"<= {AIM}", ratio <= AIM,
               {**taken, "temperatures": len(decision.kelvins), "calls": len(calls)})  # fmt: skip
