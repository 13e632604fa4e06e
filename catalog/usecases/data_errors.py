"""What is wrong in the catalogue's data: told once by whatever comes upon it, closed by an editor with a reason."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F

from catalog.domain.data_errors import DataErrorKind
from catalog.domain.findings import Finding
from catalog.domain.parts import Part, PartKey
from catalog.domain.questions import Decision
from catalog.domain.supersession_chains import CatalogueError
from catalog.models import DataError, ErrorState
from catalog.models import Part as PartRow
from catalog.models.facts import as_text
from catalog.usecases.answers import instant, part_document
from catalog.usecases.asked import Asked, DescribedPart
from service.errors import NotFound, Stale

# A part that is asked about all day is written down once an hour, not once a question.
SEEN_AGAIN_AFTER = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class FoundError:
    """An error as somebody came upon it; `parts` are named as answers name them."""

    kind: DataErrorKind
    key: str
    words: str
    parts: tuple[Mapping[str, Any], ...]


def error_key(*told_by: object) -> str:
    """A key of plain values that tell one error from another: never of its words, which change with the data."""
    return hashlib.sha256(as_text(told_by).encode()).hexdigest()


def tell_data_error(
    kind: DataErrorKind, key: str, words: str, parts: Iterable[Mapping[str, Any]], now: datetime
) -> None:
    """Put it on the editors' list, where the key is not on it yet. Belongs in the transaction that saves the answer."""
    tell_data_errors([FoundError(kind, key, words, tuple(parts))], now)


def tell_data_errors(found: Iterable[FoundError], now: datetime) -> None:
    """Several at once. Two that tell the same at the same time leave one row: the key is unique, and the second yields.

    One that an editor has closed is opened again, since it is still so. One statement where all are known and open.
    """
    wanted = {error.key: error for error in found}
    if not wanted:
        return
    rows = DataError.objects.filter(key__in=sorted(wanted)).values_list("key", "state", "last_seen")
    known = {key: (state, seen) for key, state, seen in rows}
    new = [_row(wanted[key], now) for key in sorted(wanted) if key not in known]  # sorted: no two wait for each other
    if new:
        DataError.objects.bulk_create(new, ignore_conflicts=True)
    for key, (state, seen) in sorted(known.items()):
        if state == ErrorState.CLOSED:
            _open_again(wanted[key], now)
        elif now - seen >= SEEN_AGAIN_AFTER:
            DataError.objects.filter(key=key, last_seen__lt=now).update(last_seen=now, words=wanted[key].words)


def _row(error: FoundError, now: datetime) -> DataError:
    return DataError(
        kind=error.kind.value,
        key=error.key,
        words=error.words,
        parts=list(error.parts),
        first_seen=now,
        last_seen=now,
    )


def _open_again(error: FoundError, now: datetime) -> None:
    """By condition, so that of two that find it closed one opens it and counts."""
    DataError.objects.filter(key=error.key, closed_at__lte=now, first_seen__lte=now).update(
        state=ErrorState.OPEN, closed_at=None, last_seen=now, words=error.words, parts=list(error.parts),
        times_seen=F("times_seen") + 1, revision=F("revision") + 1,
    )  # fmt: skip


def tell_contradictions(answered: Iterable[tuple[Asked, Decision]], now: datetime) -> None:
    """Tell what these questions came upon: records that speak against a maker's statement."""
    tell_data_errors((error for asked, decision in answered for error in _contradictions(asked, decision)), now)


def tell_chain_errors(errors: Iterable[CatalogueError], now: datetime) -> None:
    """Tell what is wrong with numbers that replace each other; the parts are looked up only where anything is."""
    found = tuple(errors)
    if not found:
        return
    numbers = {part.number for error in found for part in error.parts}
    rows = {(row.maker.code, row.number): row
            for row in PartRow.objects.select_related("maker").filter(number__in=numbers)}  # fmt: skip
    tell_data_errors((_chain_error(error, rows) for error in found), now)


def _chain_error(error: CatalogueError, rows: Mapping[PartKey, PartRow]) -> FoundError:
    named = sorted((part.maker, part.number) for part in error.parts)
    key = error_key(DataErrorKind.SUPERSESSION, error.kind, named)
    parts = tuple(
        {"id": row.pk, "maker": row.maker.code, "number": row.number, "name": row.name}
        for row in (rows.get(one) for one in named)
        if row is not None
    )
    return FoundError(DataErrorKind.SUPERSESSION, key, error.text, parts)


def _contradictions(asked: Asked, decision: Decision) -> Iterator[FoundError]:
    """None where the question brought facts of its own: then it may be those that speak against the statement."""
    if asked.facts or (asked.machine is not None and asked.machine.as_built):
        return
    if any(isinstance(item.part, DescribedPart) for item in asked.candidate):
        return
    candidates = [use.part for use in decision.use]
    for finding in decision.findings:
        if finding.data_error:
            yield _contradiction(asked, decision, finding, candidates)


def _contradiction(asked: Asked, decision: Decision, finding: Finding, candidates: list[Part]) -> FoundError:
    """Of several parts asked about those the words are about; what a kit holds is told of the kit, by its words."""
    named = [part for part in candidates if part.shown in finding.data_error]
    about: list[object] = [part.id for part in named or candidates]
    if not named:
        about.append(finding.data_error)
    key = error_key(
        DataErrorKind.CONTRADICTION, asked.specification, decision.position, finding.attribute, finding.slot, about
    )
    words = f"{' '.join(asked.specification or ())}: {finding.data_error}"
    return FoundError(
        DataErrorKind.CONTRADICTION, key, words, tuple(part_document(part) for part in named or candidates)
    )


def data_error_of(number: int) -> DataError:
    found = DataError.objects.filter(pk=number).first()
    if found is None:
        raise NotFound(f"There is no data error with the id {number}.")
    return found


def change_data_error(error: DataError, patch: Mapping[str, Any], *, by: str, now: datetime) -> DataError:
    """Close it with a reason, or open it again. Raises Stale where it has changed since it was read."""
    with transaction.atomic():
        same = DataError.objects.filter(pk=error.pk, revision=error.revision)
        closing = patch["state"] == ErrorState.CLOSED
        changed = {"state": patch["state"], "revision": F("revision") + 1, "closed_at": now if closing else None}
        if closing:
            changed |= {"closed_by": by, "reason": patch["reason"]}
        if not same.update(**changed):
            raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
    return data_error_of(error.pk)


def data_error_document(error: DataError) -> dict[str, Any]:
    """The reason and who gave it stay to be read when the error has been opened again."""
    return {
        "id": error.pk,
        "kind": error.kind,
        "key": error.key,
        "words": error.words,
        "parts": error.parts,
        "state": error.state,
        "times_seen": error.times_seen,
        "first_seen": instant(error.first_seen),
        "last_seen": instant(error.last_seen),
        "closed_at": None if error.closed_at is None else instant(error.closed_at),
        "closed_by": error.closed_by or None,
        "reason": error.reason or None,
    }
