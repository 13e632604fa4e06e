"""P1: a check of fifteen findings or more, all facts loaded from rows, against a trivial POST with the same key.

Cold: nothing that was loaded or found is kept. Warm: the process has answered other questions of this catalogue, about
half of the parts at each position; each question that is timed is new to it, about one of the other half, with a serial
number of its own. Repeated: one question again and again.
"""

from __future__ import annotations

import json
from itertools import cycle

from catalog import loading
from tests.api.world import demo_question
from tests.benchmarks.counter_questions import CounterQuestions, counter_questions
from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.served import Call, Post, served

COLD, WARM = 2.5, 1.6
LEAST_FINDINGS = 15
ASKED_A_TURN = 25


def measure() -> list[Row]:
    """Raises RuntimeError where a check has fewer findings than the aim asks for."""
    question = demo_question("rejected")
    with served() as post:
        check, trivial = post("/api/v1/checks/", question), post("/trivial/", {"code": "T", "name": "trivial"})
        if _findings(check) < LEAST_FINDINGS:
            raise RuntimeError(f"Only {_findings(check)} findings; the aim is about {LEAST_FINDINGS}.")
        taken = interleaved({"trivial": trivial, "cold": lambda: asked_cold(check)}, repeat=ASKED_A_TURN)
        rows = [_row("cold", taken, COLD)]
        others = _others(post, counter_questions(lambda body: _findings(post("/api/v1/checks/", body))))
        taken = interleaved({"trivial": trivial, "warm": others, "repeated": check}, repeat=ASKED_A_TURN)
    return [*rows, _row("warm", taken, WARM), _row("repeated", taken, WARM)]


def _others(post: Post, questions: CounterQuestions) -> Call:
    """Asks the next question each time; those of the warming are asked here."""
    for body in questions.before:
        post("/api/v1/checks/", body)()
    following = cycle([post("/api/v1/checks/", body) for body in questions.timed])

    def ask_next() -> object:
        return next(following)()

    return ask_next


def asked_cold(check: Call) -> None:
    loading.forget()
    standing = loading.standing()
    loading.load_rulebook(standing.rulebook, standing.digest).kept.clear()
    check()


def _row(name: str, taken: dict[str, float], aim: float) -> Row:
    ratio = taken[name] / taken["trivial"]
    beside = {f"{side} us": taken[side] for side in ("trivial", name)}
    return Row(f"P1 check, {name}", ratio, "of a trivial POST", f"<= {aim}", ratio <= aim, beside)


def _findings(check: Call) -> int:
    return len(json.loads(check())["findings"])  # type: ignore[arg-type]
