"""A service plan's body, its shape checked, read into the document that is kept: every problem of it at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from catalog.domain.answers import COMMON_PRACTICE
from catalog.domain.quantities import Dimension, quantity
from catalog.domain.rules import Rulebook
from catalog.loading import LoadedPart
from catalog.usecases.answers import source_document
from catalog.usecases.applications import read_fuels, read_place
from catalog.usecases.asked import NamedPart, named_part
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.refusals import Gathered
from catalog.usecases.specification_finding import SpecificationFinder
from kits.domain.engine_hours import plain_hours
from kits.domain.kit_lines import Per, Unit
from kits.domain.packing import Nature
from kits.domain.plan_documents import needs_of
from kits.domain.tasks import Anchor, Worker
from service.errors import DomainError, Invalid

Row = Mapping[str, Any]
Parts = Mapping[str, LoadedPart]  # by the pointer they were named at


@dataclass(frozen=True, slots=True)
class PlanDraft:
    """The document of a plan and the ids of the parts it names."""

    document: dict[str, Any]
    parts: frozenset[int]


def read_document(body: Row, rulebook: Rulebook, stamp: str, problems: Gathered) -> PlanDraft:
    """Tasks, levels and joints as they are kept; what is wrong with them is put to the problems, by pointer."""
    parts = _parts(body, stamp, problems)
    reader = _Reader(rulebook, stamp, parts, problems, _specs(body))
    document = {
        "tasks": [reader.task(row, f"/tasks/{at}") for at, row in enumerate(body["tasks"])],
        "levels": [_level(row) for row in body.get("levels") or ()],
        "joints": [reader.joint(row, f"/joints/{at}") for at, row in enumerate(body.get("joints") or ())],
    }
    _joints_known(document, problems)
    return PlanDraft(document, frozenset(part.id for part in parts.values()))


def _parts(body: Row, stamp: str, problems: Gathered) -> dict[str, LoadedPart]:
    named = tuple(_named(body))
    finder, found = PartFinder(named, stamp), dict[str, LoadedPart]()
    for name in named:
        with problems.each():
            found[name.pointer] = finder.find(name)
    return found


def _named(body: Row) -> Iterator[NamedPart]:
    for pointer, need in needs_of(_whole(body)):
        for index, choice in enumerate(need["choices"]):
            yield named_part(choice["part"], f"{pointer}/choices/{index}/part")


def _whole(body: Row) -> dict[str, Any]:
    """The body with every list in its place, so that it can be walked like a document."""
    return {
        "tasks": [{**row, "parts": row.get("parts") or ()} for row in body["tasks"]],
        "joints": [{**row, "goods": row.get("goods")} for row in body.get("joints") or ()],
    }


def _specs(body: Row) -> tuple[tuple[str, str], ...]:
    """Every specification that a task or a choice is narrowed to."""
    holders: list[Row] = [*body["tasks"]]
    holders += [choice for _, need in needs_of(_whole(body)) for choice in need["choices"]]
    specs = (((holder.get("applicability") or {}).get("spec")) for holder in holders)
    return tuple((spec["model"], spec["spec"]) for spec in specs if spec is not None)


class _Reader:
    """The published words and the rows that a body is read against."""

    def __init__(
        self, rulebook: Rulebook, stamp: str, parts: Parts, problems: Gathered, specs: Sequence[tuple[str, str]]
    ) -> None:
        self._rulebook, self._parts, self._problems = rulebook, parts, problems
        self._specifications = SpecificationFinder(specs, stamp)

    def task(self, row: Row, at: str) -> dict[str, Any]:
        tolerance = row.get("tolerance")
        return {
            **{name: row[name] for name in ("code", "name", "kind")},
            "subject": row.get("subject") or row["code"],
            "trigger": _trigger(row["trigger"]),
            "applicability": self._applicability(row.get("applicability"), f"{at}/applicability"),
            "who": row.get("who") or Worker.TECHNICIAN.value,
            "severe_percent": row.get("severe_percent"),
            "tolerance": tolerance and {"percent": tolerance["percent"], "source": _source(tolerance)},
            "emission": bool(row.get("emission")),
            "warranty": bool(row.get("warranty")),
            "source": _source(row),
            "parts": self._needs(row.get("parts") or (), f"{at}/parts"),
            "opens": list(dict.fromkeys(row.get("opens") or ())),
        }

    def joint(self, row: Row, at: str) -> dict[str, Any]:
        goods = row.get("goods")
        return {"code": row["code"], "goods": None if goods is None else self._needs(goods, f"{at}/goods")}

    def _needs(self, rows: Iterable[Row], at: str) -> list[dict[str, Any]]:
        return [self._need(row, f"{at}/{index}") for index, row in enumerate(rows)]

    def _need(self, row: Row, at: str) -> dict[str, Any]:
        unit = row.get("unit") or Unit.EACH.value
        amount: int | str | None = None
        with self._problems.each():
            amount = _amount(row.get("quantity"), unit, at)
        return {
            "position": row["position"],
            "choices": [self._choice(choice, f"{at}/choices/{index}") for index, choice in enumerate(row["choices"])],
            "quantity": amount,
            "unit": unit,
            "per": row.get("per") or Per.MACHINE.value,
        }

    def _choice(self, row: Row, at: str) -> dict[str, Any]:
        part = self._parts.get(f"{at}/part")
        return {
            "part": None if part is None else {"maker": part.maker, "number": part.number},
            "applicability": self._applicability(row.get("applicability"), f"{at}/applicability"),
            "nature": row.get("nature") or Nature.PLAIN.value,
        }

    def _applicability(self, row: Row | None, at: str) -> dict[str, Any] | None:
        if not row:
            return None
        spec = row.get("spec")
        if spec is not None:
            with self._problems.each():
                self._specifications.find((spec["model"], spec["spec"]), f"{at}/spec")
        for index, place in enumerate(row.get("places") or ()):
            read_place(place, self._rulebook, f"{at}/places/{index}", self._problems)
        serials = row.get("serials") or ()
        return {
            "spec": spec,
            "serials": [
                {"first": one.get("first"), "last": one.get("last"), "prefix": one.get("prefix") or ""}
                for one in serials
            ],
            **{
                name: read_fuels(row.get(name), self._rulebook, f"{at}/{name}", self._problems)
                for name in ("any_fuel", "all_fuels")
            },
            "places": list(row.get("places") or ()),
        }  # fmt: skip


def _trigger(row: Row) -> dict[str, Any]:
    """The trigger with every member of its kind."""
    kind = row["kind"]
    found: dict[str, Any] = {"kind": kind}
    if kind in ("every", "once"):
        found |= _limits(row)
    if kind == "every":
        first = row.get("first")
        found |= {"anchor": row.get("anchor") or Anchor.LAST_DONE.value, "first": first and _limits(first)}
    if kind == "age_limit":
        found |= {"span": _span(row["span"]), "since": row["since"]}
    return found | {name: row[name] for name in ("of", "times", "question", "event") if name in row}


def _limits(row: Row) -> dict[str, Any]:
    hours, span = row.get("hours"), row.get("span")  # hours of a document that is changed are text already
    return {
        "hours": plain_hours(hours) if isinstance(hours, int) else hours,
        "span": None if span is None else _span(span),
    }


def _span(row: Row) -> dict[str, int]:
    return {"months": row.get("months") or 0, "days": row.get("days") or 0}


def _source(row: Row) -> dict[str, str]:
    stated = row.get("source")
    return dict(stated) if stated else source_document(COMMON_PRACTICE)


def _level(row: Row) -> dict[str, Any]:
    return {
        **{name: row[name] for name in ("code", "name")},
        **{name: list(dict.fromkeys(row.get(name) or ())) for name in ("tasks", "contains")},
    }


def _amount(value: int | str | None, unit: str, at: str) -> int | str | None:
    if value is None:
        return None
    if unit == Unit.EACH:
        if isinstance(value, int):
            return value
        raise Invalid("Pieces are counted in whole numbers, without quotes.", pointer=f"{at}/quantity", code="invalid")
    try:
        found = quantity(str(value), unit)
    except DomainError as error:
        raise Invalid(error.message, pointer=f"{at}/{_at_fault(error)}", code=error.code) from None
    if found.dimension is not Dimension.VOLUME or found.amount <= 0:
        words = f"{value} {unit} is no volume to fill in; give pieces with the unit each, or a volume such as 4.3 L."
        raise Invalid(words, pointer=f"{at}/unit", code="not_a_volume")
    return str(value)


def _at_fault(error: DomainError) -> str:
    return "unit" if "unit" in error.code else "quantity"


def _joints_known(document: Row, problems: Gathered) -> None:
    known = {joint["code"] for joint in document["joints"]}
    for at, task in enumerate(document["tasks"]):
        for index, code in enumerate(task["opens"]):
            if code not in known:
                words = f"{code!r} is no joint of this plan; add it to joints, with goods null where nobody knows them."
                problems.errors.append(Invalid(words, pointer=f"/tasks/{at}/opens/{index}", code="no_such_joint"))
