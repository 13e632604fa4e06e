"""Building a kit: what its work takes on that machine, decided line by line, saved at the version decided from."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.urls import reverse

from catalog import loading as catalogue
from catalog.domain.answers import Fact
from catalog.domain.rules import Rulebook
from catalog.loading import Standing
from catalog.usecases.checking import Batch
from catalog.usecases.one_version import Asking, Machines, at_one_version
from catalog.usecases.reading import Published
from kits.domain.kit_lines import Engine, EngineCounts, Filled, LeftOut, Line, contents, who_fits
from kits.domain.kit_settling import complete, settled
from kits.domain.packing import Nature, keeps_out
from kits.loading.kit_supply import KitSupply, handling_of, kit_supply
from kits.loading.kits import last_number
from kits.models import Kit, PartHandling
from kits.usecases.kit_asking import KitAsked, nature_of, understood
from kits.usecases.kit_deciding import Decided, ToDecide, decide_at
from kits.usecases.kit_documents import AtHand, shown
from kits.usecases.kit_events import tell
from kits.usecases.kit_extras import refuse_filled
from kits.usecases.kit_saving import as_saved, left_out_document, save_lines
from kits.usecases.kit_taking import Taken, taken_by
from kits.usecases.kit_work import KitWork, work_document, work_of
from service.operations.idempotency import Claim

INJECTORS = ("injector", "diesel_injector")


@dataclass(frozen=True, slots=True)
class Built:
    """A kit decided and not saved yet."""

    known: Published
    asked: KitAsked
    work: KitWork
    lines: tuple[Decided, ...]
    checks: Batch
    taken: Taken
    left_out: tuple[LeftOut, ...]
    supply: KitSupply
    handling: Mapping[int, PartHandling]


def build_kit(body: Mapping[str, Any], asking: Asking, claim: Claim) -> Kit:
    """Build, save and complete the claim in the same transaction. Raises what `understood` and `work_of` do.

    Where the catalogue or the machine changed meanwhile it is built again; at the last with writers kept out. Of the
    plan the kit keeps the version, so a later one shows.
    """

    def built(standing: Standing, rulebook: Rulebook, machines: Machines) -> Built:
        return _built(body, asking, Published(standing, rulebook), machines)

    def save(_standing: Standing, _rulebook: Rulebook, found: Built) -> Kit:
        return _saved(found, asking, claim)

    return at_one_version(asking.dealer, (body["machine"],), built, save, alone=True)


def _built(body: Mapping[str, Any], asking: Asking, known: Published, machines: Machines) -> Built:
    asked = understood(body, asking, known, machines)
    work = work_of(asked)
    found = contents(work.tasks, engine_of(asked, work), asked.extras, licensed=asked.licensed)
    refuse_filled(enumerate(asked.extras), _by_its_work(found.lines))
    lines = [to_decide(_asked_more(line, work), asked) for line in found.lines]
    found_now, checks = decide_at(lines, asked.machine.pk, known, machines, asking)
    handling = _handling(found_now, asked)
    decided, kept_out = _without_kept_out(found_now, asked, handling)
    supply = kit_supply(asking.dealer, {used.id for one in decided for used in one.uses})
    taken = taken_by(decided, asked.branch, supply.prices)
    return Built(known, asked, work, decided, checks, taken, (*found.left_out, *kept_out), supply, handling)


def _by_its_work(lines: Iterable[Line]) -> Filled:
    filled = Filled()
    for line in lines:
        if line.asked_by is None:
            filled.add(line.position, line.part, by_hand=False)
    return filled


def engine_of(asked: KitAsked, work: KitWork) -> Engine:
    return Engine(asked.engine.where, _counts(asked, work), work.joints)


def _counts(asked: KitAsked, work: KitWork) -> EngineCounts:
    """What the specification says; of places only those at which several joints take goods."""
    spec, built = asked.machine.specification, asked.engine.specification
    if spec is None or built is None:
        return EngineCounts()
    standing = catalogue.as_it_stands(built, asked.engine.machine).positions
    texts = [position.text for position in standing if position.category in INJECTORS]
    # Several places for injectors are several fuels, and whose number is meant is not known.
    injectors = json.loads(texts[0])["quantity"] if len(texts) == 1 else None
    in_joints = Counter(code for joint in work.joints for code in {need.position for need in joint.goods})
    shared = {position.code: json.loads(position.text)["quantity"] for position in standing
              if in_joints[position.code] > 1}  # fmt: skip
    places = {code: quantity for code, quantity in shared.items() if quantity is not None}
    return EngineCounts(spec.cylinders, injectors, spec.heads, places)


def _asked_more(line: Line, work: KitWork) -> Line:
    """A line of tasks that only may apply here is not known to belong."""
    doubts = [work.asked[code] for code in line.tasks if code in work.asked]
    if not doubts or len(doubts) < len(line.tasks):
        return line
    return replace(line, missing=tuple(dict.fromkeys((*line.missing, *(fact for facts in doubts for fact in facts)))))


def to_decide(line: Line, asked: KitAsked) -> ToDecide:
    return ToDecide(line, None if line.part is None else asked.parts[line.part].id)


def _handling(decided: Iterable[Decided], asked: KitAsked) -> Mapping[int, PartHandling]:
    """What is recorded of the parts to use, which need not be those that the plan names."""
    others = {used.id for one in decided for used in one.uses} - {part.id for part in asked.parts.values()}
    return {**asked.handling, **(handling_of(asked.machine.dealer, others) if others else {})}


def _without_kept_out(
    decided: Iterable[Decided], asked: KitAsked, handling: Mapping[int, PartHandling]
) -> tuple[tuple[Decided, ...], tuple[LeftOut, ...]]:
    """What stands for a part of the plan may be goods that a kit does not hold."""
    kept, out = list[Decided](), list[LeftOut]()
    for one in decided:
        natures = [(used.key, nature_of(handling.get(used.id))) for used in one.uses]
        refused = [LeftOut(one.line.position, key, why, one.line.tasks) for key, nature in natures
                   if (why := _keeps_out(one, nature, asked))]  # fmt: skip
        asks = [fact for key, nature in natures for fact in who_fits(key, nature, asked.licensed)]
        out += refused[:1]
        if not refused:
            kept.append(_asking(one, asks) if asks else one)
    return tuple(kept), tuple(out)


def _keeps_out(one: Decided, nature: Nature, asked: KitAsked) -> str | None:
    measured = any(extra.measured and extra.part == one.line.part for extra in asked.extras)
    return keeps_out(nature, asked_for=one.line.asked_by is not None, measured=measured, licensed=asked.licensed)


def _asking(one: Decided, facts: Sequence[Fact]) -> Decided:
    line = replace(one.line, missing=tuple(dict.fromkeys((*one.line.missing, *facts))))
    return Decided(line, one.part, settled(line, one.settled.check), one.check)


def _saved(built: Built, asking: Asking, claim: Claim) -> Kit:
    asked, standing = built.asked, built.known.standing
    built.checks.record(asking.now)
    kit = Kit(
        dealer=asking.dealer,
        branch=asked.branch,
        number=last_number(asking.dealer) + 1,  # the feed's lock keeps two from getting the same
        machine=asked.machine,
        work_order=asked.work_order,
        plan=asked.plan,
        plan_version=asked.plan.version,
        asked=as_sent(asked.body),
        work=work_document(built.work),
        left_out=[left_out_document(entry) for entry in built.left_out],
        as_of=asked.as_of,
        fitted_on=asked.fitted_on,
        complete=complete(one.settled.state for one in built.lines),
        catalogue_version=standing.version,
        rulebook_id=standing.rulebook,
        built_at=asking.now,
        built_by=asking.asked_by,
    )
    kit.save(force_insert=True)
    lines = save_lines(kit, built.lines, built.taken)
    event = tell(kit, "built", asking, {"lines": len(built.lines), "complete": kit.complete})
    at_hand = AtHand(built.supply, built.handling, built.known.rulebook, built.checks.answers)
    document = shown(as_saved(kit, lines, event), asking.now, at_hand)
    claim.complete(201, document, {"Location": reverse("kit", args=[kit.pk])})
    return kit


def as_sent(body: Mapping[str, Any]) -> dict[str, Any]:
    """A body as JSON can keep it."""
    found: dict[str, Any] = json.loads(json.dumps(body, default=_plain))
    return found


def _plain(value: object) -> str:
    return value.isoformat() if isinstance(value, date) else str(value)
