"""What an approval of a check would be for, read from the check as it is recorded."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from catalog.domain.answers import Verdict
from catalog.domain.approvals import Binding, BoundPart
from catalog.models.facts import as_text
from catalog.usecases.facts_used import FactsUsed


def binding_of(answer: Mapping[str, Any], text: str) -> Binding | None:
    """`answer` is the answer's document, `text` the facts kept with it.

    None for what no approval can be for: not conditional, or no machine.
    """
    if answer["verdict"] != Verdict.CONDITIONAL.value or answer["machine"] is None or answer["position"] is None:
        return None
    facts = FactsUsed.read(text)
    counts = [use["quantity"] for use in answer["use"]]
    return Binding(
        machine=answer["machine"],
        position=answer["position"],
        parts=tuple(
            _bound(entry, facts, count) for entry, count in zip(facts.rest["candidate"], counts, strict=True)
        ),
        conditions=tuple(answer["conditions"]),
    )  # fmt: skip


def bound_document(binding: Binding) -> dict[str, Any]:
    """In plain values, to be kept and shown with an approval."""
    return {
        "position": binding.position,
        "parts": [
            {
                "maker": part.maker,
                "number": part.number,
                "quantity": part.quantity,
                "with": [{"maker": maker, "number": number} for maker, number in part.adapters],
            }
            for part in binding.parts
        ],
        "conditions": list(binding.conditions),
    }


def _bound(entry: Mapping[str, Any], facts: FactsUsed, count: int | None) -> BoundPart:
    part = _part(facts, entry["part"])
    return BoundPart(
        maker=part["maker"],
        number=part["number"],
        quantity=count,
        adapters=tuple(sorted((other["maker"], other["number"]) for other in _adapters(entry, facts))),
        described=as_text(part) if part.get("described") else "",
    )


def _adapters(entry: Mapping[str, Any], facts: FactsUsed) -> list[Mapping[str, Any]]:
    return [_part(facts, index) for index in entry["with"]]


def _part(facts: FactsUsed, index: int) -> Mapping[str, Any]:
    found: Mapping[str, Any] = json.loads(facts.parts[index])
    return found
