"""A dealer's machines by what somebody typed: the one that is meant, or all that a list shows."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from uuid import UUID

from django.db.models import Q, QuerySet

from catalog.loading.written import Written, written
from catalog.models import Machine, Status
from service.operations.models import Dealer

MOST_MACHINES = 20
MOST_NAMES = 200
MOST_WORDS = 8
LONGEST = 120  # characters of a name; a serial has fewer
COLUMNS = ("name", "serial", "specification__model", "specification__spec", "customer__name")


def machines_meant(dealer: Dealer, text: str) -> Sequence[Machine]:
    """The one machine of that name or id; else those of that serial; else those with the text in either.

    In the order of their names, at most `MOST_MACHINES`; withdrawn ones are never meant. One or two statements.
    """
    words = " ".join(text.split())
    machines = Machine.objects.visible_to(dealer).filter(status=Status.ACTIVE).select_related("specification")
    if not words or len(words) > LONGEST:
        return ()
    exact = Q(name__iexact=words) | Q(serial__iexact=words) | Q(pk=_id(words))
    found = list(machines.filter(exact).order_by("name")[:MOST_MACHINES])
    named = [machine for machine in found if machine.name.casefold() == words.casefold()]
    if found:
        return named if len(named) == 1 else found
    near = Q(name__icontains=words) | Q(serial__icontains=words) | Q(specification__model__icontains=words)
    return list(machines.filter(near).order_by("name")[:MOST_MACHINES])


def names_of_machines(dealer: Dealer) -> list[str]:
    """The first `MOST_NAMES` of the dealer's machines, in their order. One statement."""
    return [name for (name,) in _names().rows(dealer.pk)]


@cache
def _names() -> Written:
    rows = Machine.objects.filter(dealer=UUID(int=0), status=Status.ACTIVE).order_by("name")
    return written(rows.values_list("name")[:MOST_NAMES], 1)


def _id(words: str) -> UUID | None:
    try:
        return UUID(words)
    except ValueError:
        return None


def machines_found(dealer: Dealer, text: str = "") -> QuerySet[Machine]:
    """This dealer's machines, each word typed being part of a name, serial, model, specification or customer."""
    rows = Machine.objects.visible_to(dealer).select_related("specification", "customer").defer("facts")
    for word in text.split()[:MOST_WORDS]:
        rows = rows.filter(_any(word))
    return rows


def _any(word: str) -> Q:
    found = Q()
    for column in COLUMNS:
        found |= Q((f"{column}__icontains", word))
    return found
