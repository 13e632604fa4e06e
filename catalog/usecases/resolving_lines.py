"""What the numbers of an order or a job are today on one engine: loaded, resolved together, and told line by line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from catalog import loading
from catalog.domain.applicability import Where, located
from catalog.domain.resolving import Resolved, resolve
from catalog.domain.rules import Rulebook
from catalog.domain.supersession_chains import CatalogueError, Counted, Numbered
from catalog.domain.swapping import OldStock, old_stock
from catalog.loading import LoadedPart, LoadedSpecification, Standing
from catalog.usecases.answers import chain_documents
from catalog.usecases.applications import read_application
from catalog.usecases.asked import NamedPart, named_part
from catalog.usecases.chaining import chains_of
from catalog.usecases.data_errors import tell_chain_errors
from catalog.usecases.facts_used import application_of
from catalog.usecases.one_version import Machines, at_one_version, machine_in_use
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.refusals import Gathered
from catalog.usecases.specification_finding import SpecificationFinder
from service.operations.idempotency import Claim
from service.operations.models import Dealer

MOST_LINES = 1_000
Body = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Line:
    part: NamedPart
    quantity: int


@dataclass(frozen=True, slots=True)
class Told:
    """The answer, and what is wrong with the data it was taken from."""

    lines: tuple[dict[str, Any], ...]
    errors: tuple[CatalogueError, ...]


def resolve_lines(
    body: Body, *, dealer: Dealer, now: datetime, idempotency: Claim | None = None
) -> dict[str, Any]:  # fmt: skip
    """Answer a body of the shape of `POST /supersessions/resolve/`. Raises a DomainError for what it cannot mean."""
    lines = [Line(named_part(row["part"], f"/lines/{index}/part"), row.get("quantity", 1))
             for index, row in enumerate(body["lines"])]  # fmt: skip
    machine: UUID | None = body.get("machine")

    def decide(standing: Standing, rulebook: Rulebook, machines: Machines) -> Told:
        found = _Engine.of(body, machines, rulebook, standing.stamp, dealer.today(now))
        return _told(lines, found, standing.stamp)

    def save(standing: Standing, rulebook: Rulebook, told: Told) -> dict[str, Any]:
        tell_chain_errors(told.errors, now)
        answer = {
            "lines": list(told.lines),
            "catalogue_version": standing.version,
            "rulebook": rulebook.number,
        }
        if idempotency is not None:
            idempotency.complete(200, answer)
        return answer

    return at_one_version(dealer, () if machine is None else (machine,), decide, save)


@dataclass(frozen=True, slots=True)
class _Engine:
    """Where the numbers are asked about; `blocks` are those of its serial numbers, None where it is not known."""

    where: Where
    blocks: tuple[str, ...] | None

    @classmethod
    def of(cls, body: Body, machines: Machines, rulebook: Rulebook, stamp: str, today: date) -> _Engine:
        application, at = body.get("application") or {}, "/application"
        if body.get("machine") is not None:
            application, at = machine_in_use(machines, body["machine"]).application, "/machine"
        spec = application.get("spec")
        found: LoadedSpecification | None = None
        if spec is not None:
            pair = (spec["model"], spec["spec"])
            found = SpecificationFinder([pair], stamp).find(pair, at if at == "/machine" else f"{at}/spec")
        document = read_application(application, found, rulebook, today=today, at=at)
        where = located(application_of({**document, "told_as_plate": False}), rulebook.fuels)
        return cls(where, found.scheme.prefixes if found else None)


def _told(lines: Sequence[Line], engine: _Engine, stamp: str) -> Told:
    finder, problems, parts = PartFinder((line.part for line in lines), stamp), Gathered(), list[LoadedPart]()
    for line in lines:
        with problems.each():
            parts.append(finder.find(line.part))
    problems.tell()
    steps = loading.supersessions(stamp, parts)
    rows = {part.id: part for part in (*parts, *loading.parts_in(stamp, steps))}
    chains, numbered = chains_of(steps, rows.values())
    counted = [Counted(numbered[part.id], line.quantity) for part, line in zip(parts, lines, strict=True)]
    resolved = resolve(chains, counted, engine.where, blocks=engine.blocks)
    each = []
    for found in resolved:
        current = [use.part for use in found.use] or [found.asked.part]
        stock = old_stock(chains, current, engine.where, blocks=engine.blocks)
        each.append(_line(found, stock, rows))
    errors = dict.fromkeys(error for found in resolved for error in found.catalogue_errors)
    return Told(tuple(each), tuple(errors))


def _line(line: Resolved, stock: OldStock, rows: Mapping[int, LoadedPart]) -> dict[str, Any]:
    return {
        "asked": {"part": _part(line.asked.part, rows), "quantity": line.asked.quantity},
        "use": [{"part": _part(one.part, rows), "quantity": one.quantity, "why": one.why} for one in line.use],
        "old_stock": [
            {"part": _part(one.part, rows), "instead_of": _part(one.instead_of, rows), "why": one.why}
            for one in stock.allowed
        ],
        "chain": chain_documents(line.chain),
        "discontinued": [_part(part, rows) for part in line.discontinued],
        "missing": [{"fact": fact.name, "question": fact.question} for fact in line.missing],
        "catalogue_errors": [error.text for error in line.catalogue_errors],
        "together_with": list(line.lines),
    }


def _part(part: Numbered, rows: Mapping[int, LoadedPart]) -> dict[str, Any]:
    row = rows[part.id]
    return {"id": row.id, "maker": row.maker, "number": row.number, "name": row.name}
