"""Three values in ten taken from the demo catalogue: how many answers are lost, and whether any turns into a yes."""

from __future__ import annotations

from collections.abc import Sequence

from catalog.domain.answers import Verdict
from tests.benchmarks.measuring import Row
from tests.thin_catalogue import Ask, of_the_category, only_listed, specified, verdict

SEEDS = range(1, 6)
AIM = 0.2
_NOT_A_YES = (Verdict.REJECTED, Verdict.UNDETERMINED)


def measure() -> list[Row]:
    by_maker, listed = _undetermined(specified()), _undetermined(only_listed())
    refused = [ask for ask in of_the_category() if verdict(ask) is Verdict.REJECTED]
    slipped = sum(verdict(ask, seed) not in _NOT_A_YES for ask in refused for seed in SEEDS)
    return [
        Row("values missing, specified parts", by_maker, "undetermined", f"<= {AIM}", by_maker <= AIM,
            {"asked": len(specified()) * len(SEEDS)}),
        Row("values missing, only listed parts", listed, "undetermined", "printed", True,
            {"asked": len(only_listed()) * len(SEEDS)}),
        Row("values missing, refused before", slipped, "accepted", "0", slipped == 0,
            {"asked": len(refused) * len(SEEDS)}),
    ]  # fmt: skip


def _undetermined(asks: Sequence[Ask]) -> float:
    found = [verdict(ask, seed) for ask in asks for seed in SEEDS]
    return found.count(Verdict.UNDETERMINED) / len(found) if found else 0.0
