"""The digest of all an order plan was made from, so that what has changed since shows."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from typing import Any

from kits.domain.order_plan.question import Need, Offer
from kits.domain.stock import StockItem
from kits.loading.kit_needs import WantedLine
from kits.usecases.order_questions import PlanBasis


def digest_of(basis: PlanBasis) -> str:
    """SHA-256, hex. What is shown beside the plan and decides nothing in it, such as other branches' stock, is not in.

    Equal for the same kits, stock, prices and working days, whoever asks and when.
    """
    question = basis.question
    told = [
        basis.asked.document(),
        [_line(line) for line in basis.lines],
        [_need(need) for need in question.needs],
        [_item(item) for item in question.stock if item.batches or item.incoming],
        [_offer(offer, basis) for offer in question.offers],
        sorted(repr(entry) for entry in question.suppliers),
        question.currency,
    ]
    text = json.dumps(told, sort_keys=True, separators=(",", ":"), default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def _line(line: WantedLine) -> list[Any]:
    uses = [[use.id, use.part.pk, use.content, use.quantity] for use in line.uses]
    return [str(line.kit.pk), line.row.pk, line.row.state, line.row.part_id, line.row.quantity, line.volume, uses]


def _need(need: Need) -> list[Any]:
    return [need.id, need.quantity, need.shelf, need.fitted_on, sorted(need.serves), sorted(need.alternatives)]


def _item(item: StockItem) -> list[Any]:
    batches = _sorted([one.bin, one.on_hand, one.reserved, one.date_code, one.expires] for one in item.batches)
    coming = _sorted([one.quantity, one.latest, one.assigned] for one in item.incoming)
    return [item.part, item.ages, batches, coming]


def _offer(offer: Offer, basis: PlanBasis) -> list[Any]:
    prices = [str(offer.pack_price), offer.pack, offer.minimum, str(offer.core), str(offer.promise)]
    return [offer.id, offer.supplier, offer.part, *prices, offer.arrives(basis.asked.placed)]


def _sorted(rows: Iterable[list[Any]]) -> list[list[Any]]:
    return sorted(rows, key=str)
