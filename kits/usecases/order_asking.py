"""What an order plan is asked, in types: the branch, its kits, and how the dealer works."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any
from uuid import UUID

from catalog.usecases.refusals import Gathered
from kits.domain.order_plan.fluids import FluidBuying
from kits.loading.kit_needs import kits_named
from kits.models import Kit
from kits.models.kit import ENDED
from kits.usecases.branches import branch_meant
from kits.usecases.kit_refusals import UnknownKit
from kits.usecases.order_refusals import KitElsewhere, KitEnded
from service.errors import Invalid
from service.operations.models import Branch, Dealer

SECONDS, MOST_SECONDS = 20, 60
MOST_KITS = 1_000
FURTHEST = timedelta(days=366)


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
    jobs: Mapping[UUID, str] = field(default_factory=dict)  # the jobs that somebody named, by kit

    def job_of(self, kit: Kit) -> str:
        """The job a kit belongs to: as told, else its work order's, else one by itself."""
        if kit.pk in self.jobs:
            return self.jobs[kit.pk]
        return f"kit {kit.number}" if kit.work_order is None else kit.work_order.number

    def document(self) -> dict[str, Any]:
        """As it is kept, to be asked again."""
        return {
            "branch": self.branch.code,
            "kits": [str(kit.pk) for kit in self.kits],
            "placed_at": self.placed.isoformat(),
            "old_stock": self.old_stock.value,
            "fluids": self.fluids.value,
            "seconds": self.seconds,
            "jobs": _named(self.jobs),
        }


def plan_asked(body: Mapping[str, Any], *, dealer: Dealer, now: datetime) -> PlanAsked:
    """A body of the shape of `POST /order-plans/`, in two statements.

    Raises UnknownBranch, WhichBranch, UnknownKit, KitEnded and KitElsewhere, all of a body's kits at once.
    """
    branch = branch_meant(dealer, body.get("branch"))
    ids: Sequence[UUID] = list(dict.fromkeys(body["kits"]))
    found = {kit.pk: kit for kit in kits_named(Kit.objects.visible_to(dealer), ids)}
    problems = Gathered()
    for place, number in enumerate(body["kits"]):
        with problems.each():
            _check(found.get(number), branch, f"/kits/{place}")
    jobs = _jobs(body.get("jobs", ()), ids, problems)
    placed = body.get("placed_at") or now
    with problems.each():
        if abs(placed - now) > FURTHEST:
            words = f"Orders are planned for within {FURTHEST.days} days of today; {placed.date()} is further."
            raise Invalid(words, pointer="/placed_at", code="too_far")
    problems.tell()
    return PlanAsked(
        branch,
        tuple(found.values()),
        placed,
        OldStock(body.get("old_stock", OldStock.FIRST)),
        FluidBuying(body.get("fluids", FluidBuying.BY_JOB)),
        body.get("seconds", SECONDS),
        jobs,
    )


def asked_again(kept: Mapping[str, Any], dealer: Dealer) -> PlanAsked:
    """What a kept plan was asked. Raises as `plan_asked` does for kits that have ended since."""
    body = {
        **kept,
        "kits": [UUID(number) for number in kept["kits"]],
        "placed_at": datetime.fromisoformat(kept["placed_at"]),
        "jobs": [{**job, "kits": [UUID(number) for number in job["kits"]]} for job in kept["jobs"]],
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


def _jobs(told: Sequence[Mapping[str, Any]], kits: Sequence[UUID], problems: Gathered) -> dict[UUID, str]:
    found: dict[UUID, str] = {}
    for place, job in enumerate(told):
        for number, kit in enumerate(job["kits"]):
            pointer = f"/jobs/{place}/kits/{number}"
            with problems.each():
                if kit not in kits:
                    raise UnknownKit("It is not among the kits of this plan.", pointer=pointer)
                if kit in found:
                    words = f"It belongs to {found[kit]} already; a kit is of one job."
                    raise Invalid(words, pointer=pointer, code="named_twice")
                found[kit] = job["name"]
    return found


def _named(jobs: Mapping[UUID, str]) -> list[dict[str, Any]]:
    by_name: dict[str, list[str]] = {}
    for kit, name in jobs.items():
        by_name.setdefault(name, []).append(str(kit))
    return [{"name": name, "kits": kits} for name, kits in sorted(by_name.items())]
