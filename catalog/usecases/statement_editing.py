"""Adding and withdrawing one statement of a maker."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from catalog import loading
from catalog.models import EngineSpecification, Statement
from catalog.usecases.asked import named_part
from catalog.usecases.catalogue_writes import catalogue_write
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.reading import part_name, published
from catalog.usecases.reading_drafts import read_statements
from catalog.usecases.refusals import Gathered, Taken, as_one
from catalog.usecases.specification_writing import SPECIFICATION
from catalog.usecases.statement_writing import write_statements
from service.errors import NotFound, Stale

Row = Mapping[str, Any]


def add_statement(row: Row, now: datetime) -> Statement:
    """Write a statement. Raises what `Gathered.tell` raises; Taken where it is said already."""
    problems, named = Gathered(), dict[str, str]()
    with problems.each():
        name = named_part(row["part"], "/part")
        part = PartFinder([name], loading.standing().stamp).find(name)
        named = {"maker": part.maker, "number": part.number}
    with problems.each(), as_one():
        stated = {"applicability": {}, **row, "part": named or {"maker": "", "number": ""}}
        drafts = read_statements([stated], published().rulebook)
    problems.tell()
    with catalogue_write(now) as write:
        with as_one():
            written = write_statements(drafts, write)
        if not written.added:
            raise Taken("This is said already, or was withdrawn; change that statement's status.", pointer="")
        found = Statement.objects.filter(changed_in=write.version).latest("pk").pk
    return statement_of(found)


def change_statement(statement: Statement, patch: Row, now: datetime) -> Statement:
    """Withdraw it, or say it again. Raises Stale where it has changed since it was read."""
    with catalogue_write(now) as write:
        if not Statement.objects.filter(pk=statement.pk, changed_in=statement.changed_in).exists():
            raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
        if patch["status"] != statement.status:
            version = write.begin()
            Statement.objects.filter(pk=statement.pk).update(status=patch["status"], changed_in=version)
            EngineSpecification.objects.filter(pk=statement.position.specification_id).update(changed_in=version)
            write.touched(f"{SPECIFICATION}.changed", SPECIFICATION, statement.position.specification_id)
    return statement_of(statement.pk)


def statement_of(number: int) -> Statement:
    rows = Statement.objects.select_related("part__maker", "specification", "position")
    found = rows.filter(pk=number).first()
    if found is None:
        raise NotFound(f"There is no statement with the id {number}.")
    return found


def statement_document(row: Statement) -> dict[str, Any]:
    """A statement as it is shown; part, specification and position have to be loaded with it."""
    spec = row.specification
    return {
        "id": row.pk,
        "kind": row.kind,
        "part": part_name(row.part),
        "spec": None if spec is None else {"model": spec.model, "spec": spec.spec},
        "position": row.position.code,
        "by": row.by,
        "applicability": applicability_document(row),
        "status": row.status,
        "source": {"kind": row.source_kind, "citation": row.source_citation},
    }


def applicability_document(row: Any) -> dict[str, Any]:
    return {name: getattr(row, name) for name in ("serials", "any_fuel", "all_fuels", "places")}
