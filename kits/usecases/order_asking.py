"""What an order plan is asked, in types: the branch, its kits, and how the dealer works."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any
from uuid import UUID

from catalog.usecases.refusals import Gathered
from kits.domain.order_plan.fluids import FluidBuying
from kits.loading.kit_needs import kits_named
from kits.models import Kit
from kits.models.kit import ENDED
from kits.usecases.order_refusals import KitElsewhere, KitEnded, UnknownBranch, UnknownKit, WhichBranch
from service.operations.models import Branch, Dealer

SECONDS, MOST_SECONDS = 20, 60
MOST_KITS = 1_000


class OldStock(StrEnum):
    """What a dealer does with free old stock that may be used up on a machine (common practice, no source)."""

    FIRST = "first"
    SHOWN = "shown"  # kept for a person to decide


@dataclass(frozen=True, slots=True)
class PlanAsked:
    """`placed` is the instant the orders are taken to be placed at; `seconds` what a solver gets."""

    branch: Branch
    kits: tuple[Kit, ...]
    placed: datetime
    old_stock: OldStock = OldStock.FIRST
    fluids: FluidBuying = FluidBuying.BY_JOB
    seconds: int = SECONDS

    def document(self) -> dict[str, Any]:
        """As it is kept, to be asked again."""
        return {
            "branch": self.branch.code,
            "kits": [str(kit.pk) for kit in self.kits],
            "placed_at": self.placed.isoformat(),
            "old_stock": self.old_stock.value,
            "fluids": self.fluids.value,
            "seconds": self.seconds,
        }


def branch_named(dealer: Dealer, code: str | None) -> Branch:
    """By its code; without one the dealer's only branch, in one statement. Raises UnknownBranch and WhichBranch."""
    known = {branch.code: branch for branch in Branch.objects.visible_to(dealer).select_related("dealer")}
    names = ", ".join(sorted(known)) or "none"
    if code is None and len(known) != 1:
        raise WhichBranch(f"Say for which branch; yours: {names}.", pointer="/branch")
    found = known.get(code) if code is not None else next(iter(known.values()))
    if found is None:
        raise UnknownBranch(f"There is no branch {code!r} of yours; yours: {names}.", pointer="/branch")
    return found


def plan_asked(body: Mapping[str, Any], *, dealer: Dealer, now: datetime) -> PlanAsked:
    """A body of the shape of `POST /order-plans/`, in two statements.

    Raises UnknownBranch, WhichBranch, UnknownKit, KitEnded and KitElsewhere, all of a body's kits at once.
    """
    branch = branch_named(dealer, body.get("branch"))
    ids: Sequence[UUID] = list(dict.fromkeys(body["kits"]))
    found = {kit.pk: kit for kit in kits_named(Kit.objects.visible_to(dealer), ids)}
    problems = Gathered()
    for place, number in enumerate(body["kits"]):
        with problems.each():
            _check(found.get(number), branch, f"/kits/{place}")
    problems.tell()
    return PlanAsked(
        branch,
        tuple(found.values()),
        body.get("placed_at") or now,
        OldStock(body.get("old_stock", OldStock.FIRST)),
        FluidBuying(body.get("fluids", FluidBuying.BY_JOB)),
        body.get("seconds", SECONDS),
    )


def asked_again(kept: Mapping[str, Any], dealer: Dealer) -> PlanAsked:
    """What a kept plan was asked. Raises as `plan_asked` does for kits that have ended since."""
    body = {
        **kept,
        "kits": [UUID(number) for number in kept["kits"]],
        "placed_at": datetime.fromisoformat(kept["placed_at"]),
    }
    return plan_asked(body, dealer=dealer, now=body["placed_at"])


def _check(kit: Kit | None, branch: Branch, pointer: str) -> None:
    if kit is None:
        raise UnknownKit("There is no such kit of yours.", pointer=pointer)
    if kit.state in ENDED:
        raise KitEnded(f"Kit {kit.number} is {kit.state}; nothing is ordered for it. Leave it out.", pointer=pointer)
    if kit.branch_id != branch.pk:
        words = f"Kit {kit.number} is of branch {kit.branch.code}; plan its orders with that branch's kits."
        raise KitElsewhere(words, pointer=pointer)
