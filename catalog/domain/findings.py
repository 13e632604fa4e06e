"""One rule weighed, and the order findings lead in."""

from __future__ import annotations

from enum import IntEnum
from typing import NamedTuple

from catalog.domain.answers import Answer, Effect, Fact, Source
from catalog.domain.rules import Approver
from catalog.domain.values import Demand, Offer, Slot


class Lead(IntEnum):
    """Which finding speaks first in the headline."""

    GATE = 0
    SHUT_OFF_AND_EMISSION = 1
    EXCLUSION = 2
    CATEGORY = 3
    RULE = 4


class Finding(NamedTuple):
    """Demand, offer, outcome and sentence of one thing weighed. `worst` is what it could still do to the verdict.

    `critical` findings are the gate and the rules that reject: without one of them met nothing is accepted.
    """

    attribute: str
    outcome: Answer
    effect: Effect
    text: str
    source: Source
    slot: Slot = None
    demand: Demand | None = None
    offer: Offer | None = None
    margin: str | None = None
    condition: str = ""
    missing: tuple[Fact, ...] = ()
    worst: Effect = Effect.NONE
    lead: Lead = Lead.RULE
    rank: int = 0
    critical: bool = False
    counted: bool = True
    approvable_by: Approver | None = None
    data_error: str = ""

    @property
    def order(self) -> tuple[int, int, str, str]:
        return self.lead, self.rank, self.attribute, self.slot or ""
