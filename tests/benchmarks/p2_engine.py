"""P2: one pair, every finding and sentence, against rule-engine giving a verdict only on the same rules and pairs."""

from __future__ import annotations

import rule_engine

from catalog.domain.answers import Verdict
from catalog.domain.checking import decide
from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.pairs import GATE, KINDS, PEER, Pair, pairs

COUNT = 60
AIM = 0.5
# The peer folds codes: a condition for the two advisory rules where they are not met.
ADVISORY = frozenset({3, 13})
VERDICTS = (Verdict.ACCEPTED, Verdict.CONDITIONAL, Verdict.UNDETERMINED, Verdict.REJECTED)


class Peer:
    """The same rules as texts of rule-engine, compiled once, and a fold of their codes."""

    def __init__(self) -> None:
        texts = [PEER[kind].format(number) for number, kind in enumerate(KINDS)]
        self._rules = [rule_engine.Rule(text) for text in texts]
        self._gate = rule_engine.Rule(GATE)

    def verdict(self, context: dict[str, object]) -> Verdict:
        worst = int(self._gate.evaluate(context))
        for number, rule in enumerate(self._rules):
            code = int(rule.evaluate(context))
            worst = max(worst, 1 if code == 3 and number in ADVISORY else code)
        return VERDICTS[worst]


def measure() -> list[Row]:
    """Raises RuntimeError where the two engines give different verdicts: then there is nothing to compare."""
    mixed, peer = pairs(COUNT), Peer()
    _agree(mixed, peer)

    def ours() -> None:
        for pair in mixed:
            decide(pair.question)

    def theirs() -> None:
        for pair in mixed:
            peer.verdict(pair.context)

    taken = interleaved({"ours": ours, "rule-engine": theirs}, repeat=3)
    each = {name: time / COUNT for name, time in taken.items()}
    ratio = each["ours"] / each["rule-engine"]
    return [Row("P2 one pair, all findings", ratio, "of rule-engine", f"<= {AIM}", ratio <= AIM,
                {f"{name} us": time for name, time in each.items()})]  # fmt: skip


def _agree(mixed: list[Pair], peer: Peer) -> None:
    found = {(decide(pair.question).verdict, peer.verdict(pair.context)) for pair in mixed}
    apart = [answers for answers in found if answers[0] is not answers[1]]
    if apart or len(found) < len(VERDICTS):
        raise RuntimeError(f"The engines must agree on pairs of every verdict; found {sorted(map(str, found))}.")
