"""P1: a check of fifteen findings or more, all facts loaded from rows, against a trivial POST with the same key."""

from __future__ import annotations

import json
from typing import Any

from catalog import loading
from tests.api.world import demo_question
from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.served import served

COLD, WARM = 2.5, 1.6
LEAST_FINDINGS = 15


def measure() -> list[Row]:
    """Raises RuntimeError where the check has fewer findings than the aim asks for."""
    question = demo_question("rejected")
    with served() as post:
        check, trivial = post("/api/v1/checks/", question), post("/trivial/", {"code": "T", "name": "trivial"})
        _enough(json.loads(check()))  # type: ignore[arg-type]

        def cold() -> None:
            loading.forget()
            check()

        taken = interleaved({"trivial": trivial, "cold": cold, "warm": check}, repeat=30)
    beside = {f"{name} us": time for name, time in taken.items()}
    rows = []
    for name, aim in (("cold", COLD), ("warm", WARM)):
        ratio = taken[name] / taken["trivial"]
        rows.append(Row(f"P1 check, {name}", ratio, "of a trivial POST", f"<= {aim}", ratio <= aim, beside))
    return rows


def _enough(answer: dict[str, Any]) -> None:
    if len(answer["findings"]) < LEAST_FINDINGS:
        raise RuntimeError(f"Only {len(answer['findings'])} findings; the aim is about {LEAST_FINDINGS}.")
