"""What an approval of a check would be for, read from the check as it is recorded."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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
    asked = [_asked(entry, facts) for entry in facts.rest["candidate"]]
    return Binding(
        machine=answer["machine"],
        position=answer["position"],
        parts=tuple(_bound(use, asked) for use in answer["use"]),
        conditions=tuple(answer["conditions"]),
        engine=(facts.rest["engine"] or {}).get("key", ""),
    )


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


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was asked about one part of the candidate; `described` is all that was written of uncatalogued goods."""

    key: tuple[str, str]
    described: str
    adapters: tuple[tuple[str, str], ...]


def _asked(entry: Mapping[str, Any], facts: FactsUsed) -> _Asked:
    part, *adapters = (json.loads(facts.parts[index]) for index in (entry["part"], *entry["with"]))
    keys = tuple(sorted((other["maker"], other["number"]) for other in adapters))
    return _Asked((part["maker"], part["number"]), as_text(part) if part.get("described") else "", keys)


def _bound(use: Mapping[str, Any], asked: Sequence[_Asked]) -> BoundPart:
    """What is to be used, with what was asked about it: where it stands for other numbers, about all of them."""
    key = (use["part"]["maker"], use["part"]["number"])
    about = [one for one in asked if one.key == key] or asked
    return BoundPart(
        *key,
        quantity=use["quantity"],
        adapters=tuple(adapter for one in about for adapter in one.adapters),
        described="".join(one.described for one in about),
    )
