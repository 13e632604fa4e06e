"""Deciding at one version of the catalogue, without holding it still while the decision is made."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar
from uuid import UUID

from django.db import transaction

from catalog import loading
from catalog.domain.rules import Rulebook
from catalog.loading import LoadedMachine, Standing
from catalog.usecases.refusals import MachineWithdrawn, NoRulebook, UnknownMachine
from service.errors import DomainError
from service.operations.changes import lock_feed
from service.operations.models import Dealer

FREE_TRIES = 4
Machines = Mapping[UUID, LoadedMachine]
D = TypeVar("D")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Asking:
    """On whose behalf, by whom and when."""

    dealer: Dealer
    asked_by: str
    now: datetime


def at_one_version(
    dealer: Dealer,
    machine_ids: Iterable[UUID],
    decide: Callable[[Standing, Rulebook, Machines], D],
    save: Callable[[Standing, Rulebook, D], T],
    save_at_once: Callable[[Standing, D], T | None] | None = None,
    *,
    alone: bool = False,
) -> T:
    """Decide outside of any transaction; save only while the version decided from still stands, else decide again.

    `save_at_once` is tried before a transaction is opened: it saves in one statement that looks at the version itself,
    or answers None, where the version has moved or there is more to save. `alone` keeps writers out of every save
    before it looks again: for what is numbered, or told in the feed. Where the version changed every time, the last
    decision keeps them out until it is saved. The first try takes the version that this process last saw for the one
    that stands, since whatever is saved looks again. Raises NoRulebook.
    """
    wanted = tuple(machine_ids)
    for guess in (True, *[False] * (FREE_TRIES - 1)):
        standing, rulebook, machines = _as_it_stands(dealer, wanted, guess=guess)
        try:
            decided = decide(standing, rulebook, machines)
        except DomainError:
            if guess:
                continue
            raise
        saved = None if save_at_once is None else save_at_once(standing, decided)
        if saved is not None:
            return saved
        with transaction.atomic():
            if alone:
                lock_feed()
            if loading.standing() == standing and loading.unchanged(machines.values()):
                return save(standing, rulebook, decided)
    with transaction.atomic():
        lock_feed()  # every write of the catalogue and of machines takes it first
        standing, rulebook, machines = _as_it_stands(dealer, wanted, guess=False)
        return save(standing, rulebook, decide(standing, rulebook, machines))


def _as_it_stands(dealer: Dealer, machine_ids: Sequence[UUID], *, guess: bool) -> tuple[Standing, Rulebook, Machines]:
    seen = loading.standing_last_seen() if guess else None
    standing = seen if seen is not None and seen.rulebook else loading.standing()
    if not standing.rulebook:
        raise NoRulebook("No rulebook is published yet, so nothing can be compared; load the reference data.")
    rulebook = loading.load_rulebook(standing.rulebook, standing.digest)
    return standing, rulebook, loading.machines(dealer, machine_ids)


def machine_in_use(machines: Machines, number: UUID) -> LoadedMachine:
    """The machine asked about. Raises UnknownMachine or MachineWithdrawn."""
    machine = machines.get(number)
    if machine is None:
        raise UnknownMachine("There is no such machine of yours.", pointer="/machine")
    if machine.withdrawn:
        raise MachineWithdrawn(f"{machine.name} is withdrawn; nothing is asked for it any more.", pointer="/machine")
    return machine
