"""A piece that is made no more: the next higher assembly is offered, and said to be a different job."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from django.db.models import Q

from catalog.domain.rules import Rulebook
from catalog.domain.supersessions import SupersessionKind
from catalog.models import Part, PartContent, Side, Status, Supersession
from catalog.usecases.reading import part_name
from catalog.usecases.where_used import applies_words, holder_document, holding

MOST_ASSEMBLIES = 100
DIFFERENT_JOB = (
    "{holder} is not the part asked for: it holds {quantity} of {piece}. Fitting it is a different job, and it is to "
    "be checked at its own position."
)


def next_higher(part: Part, rulebook: Rulebook) -> dict[str, Any]:
    """What may be offered where this part can no longer be had; nothing where it can.

    An assembly that can no longer be had either is passed over for what holds it. The number of statements grows with
    how deep assemblies lie in assemblies.
    """
    replaced = Supersession.objects.filter(members__part=part, members__side=Side.OLD, status=Status.ACTIVE)
    notices = list(replaced.select_related("specification").defer("specification__facts").order_by("id"))
    ended = [row for row in notices if row.kind == SupersessionKind.DISCONTINUED]
    gone = bool(ended) or part.status == Status.WITHDRAWN
    found = _climb(part, rulebook) if gone else []
    return {
        "part": part_name(part),
        "reason": "discontinued" if ended else ("withdrawn" if gone else None),
        "notices": [_notice(row, rulebook) for row in ended],
        "replaced_elsewhere": len(ended) < len(notices),
        "text": _words(part, ended, found, gone=gone),
        "assemblies": found[:MOST_ASSEMBLIES],
        "more": len(found) > MOST_ASSEMBLIES,
    }


def _notice(row: Supersession, rulebook: Rulebook) -> dict[str, Any]:
    spec = row.specification
    return {
        "supersession": row.pk,
        "spec": None if spec is None else {"model": spec.model, "spec": spec.spec},
        "applies": applies_words(row, rulebook.fuels),
        "source": {"kind": row.source_kind, "citation": row.source_citation},
    }


def _words(part: Part, ended: Sequence[Supersession], found: Sequence[Any], *, gone: bool) -> str:
    if not gone:
        return f"{part.shown} is not discontinued; nothing is offered in its place."
    what = "discontinued with no replacement" if ended else "withdrawn from the catalogue"
    offered = (
        "What holds it is offered below, each as a different job" if found else "No assembly is recorded that holds it"
    )
    return f"{part.shown} is {what}. {offered}."


def _climb(part: Part, rulebook: Rulebook) -> list[dict[str, Any]]:
    """The nearest holders that can be had, level by level; a part is looked at once, even in a circle."""
    found: list[dict[str, Any]] = []
    seen, edge = {part.pk}, {part.pk}
    while edge:
        rows = list(holding(edge).exclude(container__in=seen))
        gone = _not_to_be_had({row.container_id for row in rows})
        found += [_offered(row, rulebook) for row in rows if row.container_id not in gone]
        seen |= {row.container_id for row in rows}
        edge = set(gone)
    return found


def _not_to_be_had(parts: Collection[int]) -> frozenset[int]:
    """Those withdrawn, and those discontinued everywhere: not only for some serials, fuels or engines."""
    everywhere = Supersession.objects.filter(
        kind=SupersessionKind.DISCONTINUED.value, status=Status.ACTIVE, specification=None, serials=[], any_fuel=[],
        all_fuels=[], places=[], members__side=Side.OLD,
    )  # fmt: skip
    ended = Q(status=Status.WITHDRAWN) | Q(pk__in=everywhere.values("members__part"))
    return frozenset(Part.objects.filter(ended, pk__in=parts).values_list("pk", flat=True))


def _offered(row: PartContent, rulebook: Rulebook) -> dict[str, Any]:
    holder = holder_document(row, rulebook)
    text = DIFFERENT_JOB.format(holder=row.container.shown, quantity=row.quantity, piece=row.part.shown)
    return {**holder, "holds": part_name(row.part), "different_job": True, "text": text}
