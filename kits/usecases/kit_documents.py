"""A kit as it is shown: its lines as they were decided, the shelf and the prices as they are now."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from catalog.domain.rules import Rulebook
from catalog.models import Part
from catalog.usecases.answers import instant
from kits.domain.kit_lines import Unit
from kits.domain.kit_settling import SETTLED, LineState
from kits.domain.kit_steps import ENDED
from kits.domain.packing import Packing
from kits.loading.kit_supply import KitSupply, kit_shelves, kit_supply, meant_for
from kits.loading.kits import LoadedKit, LoadedLine, with_lines
from kits.models import Kit, KitEvent, KitLine, PartHandling
from kits.usecases.kit_approvals import as_it_stands
from kits.usecases.kit_costs import boxed, prices_by_size, totals
from kits.usecases.kit_packing import packing_document, packing_of
from kits.usecases.kit_shelves import UseStock, litres, money_document, stock_document
from kits.usecases.kit_stocks import stocks_of, with_old_stock

LITRE = "litre"


def kit_document(kit: Kit, now: datetime) -> dict[str, Any]:
    """The whole kit, in a number of statements that does not grow with its lines."""
    return shown(with_lines(kit), now)


@dataclass(frozen=True, slots=True)
class AtHand:
    """What whoever built a kit has loaded and decided already: `answers` are the documents of its checks."""

    supply: KitSupply
    handling: Mapping[int, PartHandling]
    rulebook: Rulebook
    answers: Mapping[UUID, Mapping[str, Any]]


def shown(loaded: LoadedKit, now: datetime, at_hand: AtHand | None = None) -> dict[str, Any]:
    """The same of a kit whose rows are loaded, and whatever else is at hand."""
    loaded = as_it_stands(loaded, now)
    kit = loaded.row
    parts = {use.part_id for line in loaded.lines for use, _ in line.uses}
    supply = kit_supply(kit.dealer, parts) if at_hand is None else at_hand.supply
    costs = prices_by_size(supply.prices, kit.branch.currency)
    shelves = kit_shelves(kit.branch, parts, kit.branch.today(now))
    # For a kit that has just been built nobody has ordered anything.
    meant = meant_for(kit, kit.branch.today(now)) if at_hand is None else {}
    stocks = with_old_stock(loaded.lines, kit, stocks_of(loaded.lines, kit, shelves, meant), now)
    flat = [stock for of_line in stocks for stock in of_line]
    answers = [_answer(line.row, at_hand) for line in loaded.lines]
    lefts = _left_over(loaded.lines, answers)
    packing = kit.packing or packing_document(_packing(kit, flat, at_hand))
    return {
        **kit_head(kit),
        "plan": {"id": str(kit.plan_id), "code": kit.plan.code, "version": kit.plan_version,
                 "changed": kit.plan.version != kit.plan_version},
        "asked": kit.asked,
        "work": kit.work,
        "lines": [
            {**line_document(line, answer, left), "use": [_use(stock, costs, kit) for stock in of_line]}
            for line, of_line, answer, left in zip(loaded.lines, stocks, answers, lefts, strict=True)
        ],
        "count": count_of([line.row for line in loaded.lines]),
        "left_out": kit.left_out,
        **packing,
        "boxed_kits": boxed(supply.boxes, flat, costs),
        **totals(flat, costs),
        "cautions": _cautions(answers),
        "review": kit.review,
        "events": [event_document(event) for event in loaded.events],
        "catalogue_version": kit.catalogue_version,
        "rulebook": kit.rulebook_id,
    }  # fmt: skip


def _answer(row: KitLine, at_hand: AtHand | None) -> Any:
    """The answer of the line's check; None where it was not checked."""
    if row.check_made is None:
        return None
    return json.loads(row.check_made.answer) if at_hand is None else at_hand.answers[row.check_made.pk]


def _packing(kit: Kit, stocks: Iterable[UseStock], at_hand: AtHand | None) -> Packing:
    uses = [(one.use, one.use.quantity) for one in stocks]
    return packing_of(kit, uses) if at_hand is None else packing_of(kit, uses, at_hand.handling, at_hand.rulebook)


def kit_head(kit: Kit) -> dict[str, Any]:
    """What a list shows of a kit; everything it names has to be loaded with it."""
    machine, order = kit.machine, kit.work_order
    return {
        "id": str(kit.pk),
        "number": kit.number,
        "state": str(kit.state),
        "complete": kit.complete,
        "machine": {"id": str(machine.pk), "name": machine.name, "serial": machine.serial or None},
        "customer": None if machine.customer is None else machine.customer.name,
        "branch": kit.branch.code,
        "work_order": None if order is None else {"id": str(order.pk), "number": order.number},
        "as_of": kit.as_of.isoformat(),
        "fitted_on": kit.fitted_on.isoformat(),
        "built_at": instant(kit.built_at),
        "built_by": kit.built_by,
    }


def count_of(rows: Sequence[KitLine]) -> str:
    """As the box label says it: ``11 of 12``."""
    return f"{sum(settled(row) for row in rows)} of {len(rows)}"


def settled(row: KitLine) -> bool:
    return LineState(row.state) in SETTLED


def line_document(line: LoadedLine, answer: Any, left_over: str | None) -> dict[str, Any]:
    row = line.row
    return {
        "line": row.line,
        "position": row.position or None,
        "part": part_document(row.part),
        **quantity_document(row),
        "containers": [
            {"content": litres(use.content), "count": use.quantity} for use, _ in line.uses if use.content is not None
        ],
        "left_over": left_over,
        "tasks": row.tasks,
        "asked_by": row.asked_by or None,
        "check": None if answer is None else {key: answer[key] for key in ("id", "verdict", "headline", "conditions")},
        "state": row.state,
        "settled": settled(row),
        "words": row.words,
        "missing": row.missing,
        "alternatives": row.alternatives,
        "choice": row.choice or None,
        "to_follow": {"reason": row.to_follow_why} if row.to_follow else None,
    }


def quantity_document(row: KitLine) -> dict[str, Any]:
    """Pieces as a whole number; a fluid in litres, as a decimal text."""
    if row.unit == Unit.EACH:
        return {"quantity": row.quantity, "unit": row.unit}
    return {"quantity": litres(row.quantity), "unit": LITRE}


def _left_over(lines: Sequence[LoadedLine], answers: Sequence[Any]) -> list[str | None]:
    """On each line with containers, what is left in them once every line of that fluid has its own."""
    needed: dict[int | None, int] = {}
    for line, answer in zip(lines, answers, strict=True):
        if line.row.unit != Unit.EACH and settled(line.row):
            fluid = line.row.part_id if answer is None else answer["use"][0]["part"]["id"]
            needed[fluid] = needed.get(fluid, 0) + (line.row.quantity or 0)
    found: list[str | None] = []
    for line in lines:
        filled = [use for use, _ in line.uses if use.content is not None]
        bought = sum((use.content or 0) * use.quantity for use in filled)
        found.append(litres(max(0, bought - needed.get(filled[0].part_id, 0))) if filled else None)
    return found


def part_document(part: Part | None) -> dict[str, Any] | None:
    if part is None:
        return None
    return {"id": part.pk, "maker": part.maker.code, "number": part.number, "name": part.name}


def _use(stock: UseStock, costs: Any, kit: Kit) -> dict[str, Any]:
    use = stock.use
    price = costs.get((use.part_id, use.content))
    ended = kit.state in ENDED
    return {
        "part": part_document(use.part),
        "content": litres(use.content),
        "quantity": use.quantity,
        "price": None if price is None else money_document(price),
        "stock": None if ended else stock_document(stock),
    }


def _cautions(answers: Iterable[Any]) -> list[dict[str, str]]:
    """Of every check, each once."""
    found = {one["code"]: one for answer in answers if answer is not None for one in answer["cautions"]}
    return list(found.values())


def event_document(event: KitEvent) -> dict[str, Any]:
    return {"at": instant(event.at), "by": event.by, "what": event.what, "detail": event.detail}
