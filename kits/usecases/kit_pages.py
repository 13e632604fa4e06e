"""A kit as its page shows it: what is open first, which steps are open, and what each step has changed, in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from kits.domain.kit_settling import LineState
from kits.domain.kit_steps import ENDED, OPEN_IN, KitState, Step
from kits.loading.kits import LoadedKit, LoadedLine
from kits.models import Kit
from kits.usecases.kit_approvals import as_it_stands
from kits.usecases.kit_documents import shown
from kits.usecases.kit_handing_out import is_open
from kits.usecases.kit_redeciding import kits_listed
from kits.usecases.kit_shelves import held_of
from kits.usecases.machine_pages import KIT_STATES
from service.operations.models import Dealer

Document = dict[str, Any]
LINE_STATES = {
    LineState.ACCEPTED: "Use it",
    LineState.APPROVED: "Approved",
    LineState.CONSUMABLE: "Put in by hand",
    LineState.NEEDS_APPROVAL: "Needs approval",
    LineState.REJECTED: "Do not use",
    LineState.UNDETERMINED: "Cannot tell",
    LineState.NOT_CHECKED: "Not checked",
    LineState.INCOMPLETE: "A fact is missing",
}
# The weight that a line's state has among findings, which gives it its shape.
WEIGHTS = {
    LineState.ACCEPTED: "met", LineState.APPROVED: "met", LineState.CONSUMABLE: "met",
    LineState.NEEDS_APPROVAL: "met_if", LineState.REJECTED: "not_met",
}  # fmt: skip
EVENTS = {
    "built": "Built", "reserved": "Reserved", "needs_review": "Put aside: a line would be decided otherwise today",
    "reviewed": "Reviewed and accepted as it is decided now", "picked": "Picked", "fulfilled": "Handed out",
    "cancelled": "Cancelled", "settled": "A part was chosen", "changed": "Changed",
    "released": "Let go of, since its work order has changed", "goods_ordered": "Goods ordered",
    "goods_came": "Goods came in", "order_cancelled": "An order was cancelled",
}  # fmt: skip


def kits_standing(dealer: Dealer, *, ended: bool) -> QuerySet[Kit]:
    """This dealer's kits that have ended, or those that have not."""
    rows = kits_listed(dealer, {})
    return rows.filter(state__in=list(ENDED)) if ended else rows.exclude(state__in=list(ENDED))


def kit_view(loaded: LoadedKit, now: datetime) -> Document:
    """The kit's document with its lines in the order in which they need somebody, and all of it in words."""
    loaded = as_it_stands(loaded, now)
    found, state = shown(loaded, now), KitState(loaded.row.state)
    tasks = {task["code"]: task["name"] for task in found["work"]["tasks"]}
    by_number = {line.row.line: line for line in loaded.lines}
    lines = [_line(line, by_number[line["line"]], tasks, state) for line in found["lines"]]
    return {
        **found,
        "says": KIT_STATES[state],
        "ended": state in ENDED,
        "lines": sorted(lines, key=lambda line: line["settled"]),
        "meter": _only_meter(loaded.row),
        "steps": {step.value: state in OPEN_IN[step] for step in Step},
        "left_out": [{**one, "tasks_said": _named(one["tasks"], tasks)} for one in found["left_out"]],
        "not_told": [
            {"task": _plain(one["task"]), "missing": one["missing"]} for one in found["work"]["not_told"]
        ],
        "not_here": [_plain(code) for code in found["work"]["not_here"]],
        "events": [event_words(event) for event in reversed(found["events"])],
    }  # fmt: skip


def _only_meter(kit: Kit) -> str | None:
    """The code of the one meter on the machine; None where there are several or none, or nobody will read it here."""
    if KitState(kit.state) not in OPEN_IN[Step.FULFIL]:
        return None
    codes = kit.machine.meters.filter(removed_on=None).values_list("code", flat=True)[:2]
    return codes[0] if len(codes) == 1 else None


def _line(line: Document, loaded: LoadedLine, tasks: Mapping[str, str], state: KitState) -> Document:
    at, held = LineState(line["state"]), sum(one.quantity for _, kept in loaded.uses for one in held_of(kept))
    return {
        **line,
        "position": _plain(line["position"] or ""),
        "says": LINE_STATES[at],
        "weight": WEIGHTS.get(at, "unknown"),
        "tasks_said": _named(line["tasks"], tasks),
        "held": held,
        "open": state not in ENDED and is_open(loaded),
        "shelf": [_shelf(use) for use in line["use"] if use["stock"] is not None],
    }


def _shelf(use: Document) -> str:
    """What the shelf holds of one use, in words; what is not recorded is not known."""
    stock, name = use["stock"], f"{use['part']['maker']} {use['part']['number']}"
    bins = ", ".join(f"{one['quantity']} in {one['bin'] or 'no bin'}" for one in stock["bins"])
    besides = _besides(stock)
    if not stock["recorded"]:
        return f"{name}: nothing is recorded of it on this shelf; count it.{besides}"
    if stock["reserved"]:
        return f"{name}: reserved, {bins}."
    if stock["short"]:
        coming = f", {stock['incoming']} on their way" if stock["incoming"] else ""
        return f"{name}: {stock['free']} free{coming}; {stock['short']} short.{besides}"
    return f"{name}: {stock['free']} free" + (f"; take {bins}." if bins else ".")


def _besides(stock: Document) -> str:
    """What else lies there where too little does: pieces that are not taken, other containers, old stock."""
    passed = sum(one["quantity"] for one in stock["passed_over"])
    said = [f"{passed} more lie there, too old or of an age not known."] if passed and stock["short"] else []
    said += [f"{one['free']} of {one['content']} l lie free." for one in stock["instead"]["other_sizes"]]
    said += [
        f"{one['free']} of {one['part']['maker']} {one['part']['number']} lie free: {one['why']}"
        for one in stock["instead"]["old_stock"]
    ]
    return "".join(f" {one}" for one in said)


def _named(codes: Iterable[str], tasks: Mapping[str, str]) -> str:
    return ", ".join(tasks.get(code, _plain(code)) for code in codes)


def _plain(code: str) -> str:
    return code.replace("_", " ")


def event_words(event: Document) -> Document:
    """An event with what it changed, a sentence each."""
    return {**event, "says": EVENTS.get(event["what"], _plain(event["what"])), "details": list(_details(event))}


def _details(event: Document) -> Iterator[str]:
    detail = event["detail"]
    if event["what"] == "built":
        yield f"{detail['lines']} lines, {'all settled' if detail['complete'] else 'not all of them settled'}."
    if detail.get("reason"):
        yield f"Reason: {detail['reason']}"
    for one in _rows(detail, "reserved"):
        yield f"Line {one['line']}: {_goods(one)} from {one['bin'] or 'no bin'}."
    for one in _rows(detail, "picked", "taken"):
        yield f"Line {one['line']}: {_goods(one)} out of {one['bin'] or 'no bin'}."
    for one in _rows(detail, "short"):
        yield f"Line {one['line']} is short: {one.get('why') or one.get('reason')} {one.get('hint', '')}".strip()
    for one in _rows(detail, "changed"):
        yield f"Line {one['line']}: {' '.join(one['words'])}"
    for one in _rows(detail, "to_follow"):
        yield f"Line {one['line']} follows later: {one['reason']}"
    for one in _rows(detail, "released"):
        yield f"Line {one['line']}: given back to the shelf."
    for one in _rows(detail, "goods"):
        yield f"{one['pieces']} x {one['part']['maker']} {one['part']['number']}."
    yield from _of_one_step(event["what"], detail)


def _rows(detail: Document, *names: str) -> Iterator[Document]:
    """The rows of lists in an event; a word that is something else there says nothing here."""
    for name in names:
        found = detail.get(name)
        yield from (one for one in (found if isinstance(found, list) else ()) if isinstance(one, dict))


def _of_one_step(what: str, detail: Document) -> Iterator[str]:
    if what == "settled":
        yield f"Line {detail['line']} takes {detail['part']['maker']} {detail['part']['number']}."
    if what == "fulfilled" and detail.get("service"):
        done = ", ".join(_plain(code) for code in detail["service"]["tasks"])
        yield f"On file as done on {detail['service']['on']}: {done}."
    for one in _rows(detail, "sheets"):
        part = one["part"]
        yield f"The safety sheet of {part['maker']} {part['number']}, revision {one['revision']}, goes with it."


def _goods(one: Document) -> str:
    return f"{one['quantity']} x {one['part']['maker']} {one['part']['number']}"
