"""Accepting a kit as it is decided now, and putting another part in the place of one that may not be used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from uuid import UUID

from django.db import transaction

from catalog import loading as catalogue
from catalog.loading import LoadedPart
from catalog.usecases.answers import instant
from catalog.usecases.asked import named_part
from catalog.usecases.one_version import Asking
from catalog.usecases.part_finding import PartFinder
from kits.domain.kit_lines import who_fits
from kits.domain.kit_settling import LineState, complete
from kits.domain.kit_steps import KitState, Step, refuse_unless_open
from kits.domain.packing import keeps_out
from kits.loading.kit_supply import handling_of
from kits.loading.kits import LoadedKit, LoadedLine
from kits.models import Kit
from kits.usecases.kit_asking import nature_of
from kits.usecases.kit_deciding import Decided, ToDecide, decide
from kits.usecases.kit_documents import kit_document
from kits.usecases.kit_events import moved_on, tell
from kits.usecases.kit_line_changes import rewrite_lines, settled_state, state_after_edit
from kits.usecases.kit_redeciding import Redecided, decided_again, kit_of, line_of
from kits.usecases.kit_refusals import NoSuchLine, NotSettled
from kits.usecases.kit_saving import name_document
from service.errors import Invalid
from service.operations.changes import lock_feed
from service.operations.idempotency import Claim

Body = Mapping[str, Any]


def review_kit(number: UUID, asking: Asking, claim: Claim) -> None:
    """Take the kit as it is decided now. Raises UnknownKit and WrongState."""

    def save(found: Redecided) -> None:
        kit, seen = found.kit, found.kit.review
        gone = rewrite_lines(kit, found.loaded.lines, found.by_number, asking)
        checks = [one.check for one in found.lines if one.check is not None]
        version = (
            {"catalogue_version": checks[0].catalogue_version, "rulebook_id": checks[0].rulebook_id} if checks else {}
        )
        moved_on(
            kit, state=settled_state(kit).value, review=[], complete=complete(one.settled.state for one in found.lines),
            **version,
        )  # fmt: skip
        tell(kit, "reviewed", asking, {"accepted": seen, "changed": found.changed, **gone})
        claim.complete(200, kit_document(kit, asking.now))

    decided_again(number, Step.REVIEW, asking, save)


def settle_line(number: UUID, body: Body, by: str, asking: Asking, claim: Claim) -> None:
    """Put the part that `by` chose on a line, where its check on that machine is a yes that holds.

    Raises UnknownKit, WrongState, NoSuchLine, what the part's name is refused for, and NotSettled with the check.
    """
    loaded = kit_of(asking.dealer, number)
    kit = loaded.row
    refuse_unless_open(Step.SETTLE, KitState(kit.state))
    line = _line(loaded, body["line"])
    part = PartFinder([name := named_part(body["part"], "/part")], catalogue.standing().stamp).find_live(
        name, or_replaced=True
    )
    (decided,) = decide([_with_part(line, part)], kit.machine_id, asking)
    _refuse_unsettled(decided, part, kit)
    with transaction.atomic():
        lock_feed()
        before = line.row.part
        line.row.choice = {
            "by": by, "at": instant(asking.now),
            "instead_of": None if before is None else name_document((before.maker.code, before.number)),
        }  # fmt: skip
        gone = rewrite_lines(kit, loaded.lines, {line.row.line: decided}, asking)
        whole = complete(LineState(one.row.state) for one in loaded.lines)
        moved_on(kit, complete=whole, state=state_after_edit(kit).value)
        detail = {"line": line.row.line, "part": name_document((part.maker, part.number)), "check": _check(decided)}
        tell(kit, "settled", asking, {**detail, **line.row.choice, **gone})
        claim.complete(200, kit_document(kit, asking.now))


def _line(loaded: LoadedKit, number: int) -> LoadedLine:
    found = next((line for line in loaded.lines if line.row.line == number), None)
    if found is None:
        known = ", ".join(str(line.row.line) for line in loaded.lines)
        raise NoSuchLine(f"The kit has no line {number}; its lines: {known}.", pointer="/line")
    if not found.row.position or found.row.quantity is None:
        words = f"Line {number} names no position or no quantity, so no part can be checked for it."
        raise Invalid(words, pointer="/line", code="nothing_to_check")
    return found


def _with_part(line: LoadedLine, part: LoadedPart) -> ToDecide:
    """The line with the part chosen: which part it takes is a question no more."""
    asked = replace(line_of(line).line, part=(part.maker, part.number), missing=())
    return ToDecide(asked, part.id)


def _refuse_unsettled(decided: Decided, part: LoadedPart, kit: Kit) -> None:
    shown = f"{part.maker} {part.number}"
    if not decided.settled.settled:
        words = f"{shown} is no part to use there. {' '.join(decided.settled.words)}"
        raise NotSettled(words, pointer="/part", check=_check(decided))
    licensed = kit.asked.get("fitted_by_licensed")
    for number, recorded in handling_of(kit.dealer, [used.id for used in decided.uses]).items():
        used = next(one for one in decided.uses if one.id == number)
        why = keeps_out(nature_of(recorded), asked_for=True, measured=True, licensed=licensed)
        asks = who_fits(used.key, nature_of(recorded), licensed)
        if why or asks:
            reason = why or asks[0].question
            raise NotSettled(f"{shown} is not put into this kit: {reason}", pointer="/part", check=_check(decided))


def _check(decided: Decided) -> str | None:
    return None if decided.check is None else str(decided.check.pk)
