"""P1: a check of fifteen findings or more, all facts loaded from rows, against a trivial POST with the same key.

Cold: nothing that was loaded or found is kept. New pairs: the process has answered other questions of this catalogue,
about half of the parts at each position, and each that is timed is about one of the other half, so that some of its
findings have to be worked out. Warm: each part has been asked about at its position before, for another engine; the
question is new all the same, with a serial number of its own. Repeated: one question again and again.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import cycle

from catalog import loading
from tests.api.world import demo_question
from tests.benchmarks.counter_questions import Body, counter_questions
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
        questions = counter_questions(lambda body: _findings(post("/api/v1/checks/", body)))
        _one_by_one(post, questions.before, ask_all=True)
        new = _one_by_one(post, questions.timed)
        taken = interleaved({"trivial": trivial, "new pairs": new}, repeat=ASKED_A_TURN)
        rows.append(_row("new pairs", taken, WARM))
        _one_by_one(post, questions.timed, ask_all=True)
        warm = _one_by_one(post, questions.again)
        taken = interleaved({"trivial": trivial, "warm": warm, "repeated": check}, repeat=ASKED_A_TURN)
    return [*rows, _row("warm", taken, WARM), _row("repeated", taken, WARM)]


def _one_by_one(post: Post, bodies: Sequence[Body], *, ask_all: bool = False) -> Call:
    """Asks the next of these questions each time it is called; `ask_all` asks each of them here."""
    calls = [post("/api/v1/checks/", body) for body in bodies]
    if ask_all:
        for call in calls:
            call()
    following = cycle(calls)

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
