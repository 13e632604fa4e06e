"""P2: one pair, every finding and sentence, against rule-engine giving a verdict only on the same rules and pairs.

Once with nothing kept, as a process just started has it, and once where the positions have been asked about with other
parts: each pair that is timed then is new to the process.
"""

from __future__ import annotations

import rule_engine

from catalog.domain.answers import Verdict
from catalog.domain.checking import decide
from tests.benchmarks.measuring import ROUNDS, Row, interleaved
from tests.benchmarks.pairs import GATE, KINDS, PEER, Pair, pairs

POSITIONS = 60
ASKED_BEFORE = 5
REPEAT = 3
TURNS = ROUNDS * REPEAT + 1
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
    peer = Peer()
    return [_nothing_kept(peer), _known_positions(peer)]


def _nothing_kept(peer: Peer) -> Row:
    mixed = pairs(POSITIONS)
    book = mixed[0].question.rulebook
    _agree(mixed, peer)

    def ours() -> None:
        book.kept.clear()
        for pair in mixed:
            decide(pair.question)

    def theirs() -> None:
        for pair in mixed:
            peer.verdict(pair.context)

    return _row("P2 one pair, nothing kept", interleaved({"ours": ours, "rule-engine": theirs}, repeat=REPEAT))


def _known_positions(peer: Peer) -> Row:
    """Each turn takes the next part of every position; the first few of each are asked about before."""
    parts = ASKED_BEFORE + TURNS
    mixed = pairs(POSITIONS, seed=2, parts=parts)
    turns = [mixed[turn::parts] for turn in range(parts)]
    _agree([pair for turn in turns[:ASKED_BEFORE] for pair in turn], peer)
    ours_next, theirs_next = iter(turns[ASKED_BEFORE:]), iter(turns[ASKED_BEFORE:])

    def ours() -> None:
        for pair in next(ours_next):
            decide(pair.question)

    def theirs() -> None:
        for pair in next(theirs_next):
            peer.verdict(pair.context)

    return _row("P2 one pair, known positions", interleaved({"ours": ours, "rule-engine": theirs}, repeat=REPEAT))


def _row(name: str, taken: dict[str, float]) -> Row:
    each = {side: time / POSITIONS for side, time in taken.items()}
    ratio = each["ours"] / each["rule-engine"]
    return Row(name, ratio, "of rule-engine", f"<= {AIM}", ratio <= AIM,
               {f"{side} us": time for side, time in each.items()})  # fmt: skip


def _agree(mixed: list[Pair], peer: Peer) -> None:
    found = {(decide(pair.question).verdict, peer.verdict(pair.context)) for pair in mixed}
    apart = [answers for answers in found if answers[0] is not answers[1]]
    if apart or len(found) < len(VERDICTS):
        raise RuntimeError(f"The engines must agree on pairs of every verdict; found {sorted(map(str, found))}.")
