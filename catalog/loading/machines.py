"""A dealer's machines as frozen values, and a specification as it stands on one of them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID

from catalog.domain.answers import Basis
from catalog.domain.parts import StatementKind
from catalog.loading.rows import LoadedSpecification, LoadedStatement, PositionText
from catalog.models import Machine, Status
from catalog.models.facts import as_text
from service.operations.models import Dealer


@dataclass(frozen=True, slots=True)
class LoadedMachine:
    """A machine's row as found. `application` has the shape of a check's, `as_built` that of `machine_facts`."""

    id: UUID
    name: str
    version: int
    withdrawn: bool
    application: Mapping[str, Any]
    as_built: tuple[Mapping[str, Any], ...]
    line_demands: Mapping[str, Sequence[Any]] | None = None  # by position; None until they are worked out

    @property
    def removed(self) -> frozenset[str]:
        return frozenset(entry["position"] for entry in self.as_built if entry["removed"])

    def part_at(self, position: str | None) -> int | None:
        """The catalogued part that stands at an as-built position."""
        standing = (entry["part"] for entry in self.as_built if entry["position"] == position)
        found: int | None = next(standing, None)
        return found


def machines(dealer: Dealer, ids: Iterable[UUID]) -> dict[UUID, LoadedMachine]:
    """This dealer's machines by id: one statement, or none; what is not there or another's is left out."""
    wanted = sorted(set(ids))
    if not wanted:
        return {}
    rows = Machine.objects.visible_to(dealer).filter(pk__in=wanted)
    return {row[0]: _machine(row) for row in rows.values_list("id", "name", "version", "status", "facts")}


def unchanged(known: Iterable[LoadedMachine]) -> bool:
    """Whether all of them are still as they were loaded: one statement, or none."""
    versions = {machine.id: machine.version for machine in known}
    if not versions:
        return True
    rows = Machine.objects.filter(pk__in=sorted(versions)).values_list("id", "version")
    return dict(rows) == versions


def _machine(row: Sequence[Any]) -> LoadedMachine:
    number, name, version, status, text = row
    document = json.loads(text)
    application = document["application"]
    records = [{**record, "found_on": date.fromisoformat(record["found_on"])} for record in application["fuel_records"]]
    return LoadedMachine(
        id=number,
        name=name,
        version=version,
        withdrawn=status == Status.WITHDRAWN,
        application={**application, "fuel_records": records},
        as_built=tuple(document["as_built"]),
        line_demands=document.get("line_demands"),
    )


def as_it_stands(specification: LoadedSpecification, machine: LoadedMachine) -> LoadedSpecification:
    """The specification with the machine's as-built positions in the places of its own."""
    if not machine.as_built:
        return specification
    built = {entry["position"]: entry for entry in machine.as_built}
    own = {position.code: position for position in specification.positions}
    kept = [position for position in specification.positions if position.code not in built]
    standing = [_position(entry, own.get(code)) for code, entry in built.items() if not entry["removed"]]
    positions = tuple(_with_its_line(position, machine) for position in (*kept, *standing))
    return replace(specification, positions=positions)


def _with_its_line(position: PositionText, machine: LoadedMachine) -> PositionText:
    """What the machine's own supply lines ask, in the place of what those of its specification do."""
    if machine.line_demands is None:
        return position
    document = json.loads(position.text)
    stated = [demand for demand in document["demands"] if demand[-1] != Basis.COMPUTED.value]
    document["demands"] = sorted([*stated, *machine.line_demands.get(position.code, ())], key=as_text)
    return replace(position, text=as_text(document))


def still_said(statements: Sequence[LoadedStatement], machine: LoadedMachine) -> tuple[LoadedStatement, ...]:
    """What the makers say that holds of the machine as it stands.

    Of a position that was rebuilt the engine's maker specifies nothing; a part that is excluded there stays excluded.
    """
    rebuilt = {entry["position"] for entry in machine.as_built}
    return tuple(said for said in statements if said.position not in rebuilt or said.kind is StatementKind.EXCLUDED)


def _position(entry: Mapping[str, Any], own: PositionText | None) -> PositionText:
    """Nothing that was demanded of the position before the conversion is known to be demanded still."""
    before = json.loads(own.text) if own is not None and own.category == entry["category"] else {}
    document = {
        "code": entry["position"],
        "name": before.get("name", ""),
        "category": entry["category"],
        "quantity": entry["quantity"] or before.get("quantity"),
        "branch": entry["branch"],
        "carries_fuel": before.get("carries_fuel", True),
        "adapter_forbidden": before.get("adapter_forbidden", ""),
        "ports": entry["ports"],
        "demands": [],
        "media": entry.get("media", []),
        "inside": [_emptied(inner) for inner in before.get("inside", ())],
        "as_built": True,
    }
    return PositionText(entry["position"], entry["category"], as_text(document))


def _emptied(inner: Mapping[str, Any]) -> dict[str, Any]:
    return {**inner, "demands": [], "media": [], "ports": [], "inside": [_emptied(one) for one in inner["inside"]]}
