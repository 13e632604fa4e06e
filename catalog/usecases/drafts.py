"""Catalogue entries as they come in: read, and not yet written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from catalog.domain.answers import Basis, Source
from catalog.domain.parts import PartCondition, StatementKind, SuppliedAs
from catalog.domain.quantities import Interval
from catalog.domain.supply.stages import StageKind
from catalog.domain.values import Value

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class ValueDraft:
    """One stated value; `as_entered` is what was written, `basis` only where it is a position's demand."""

    attribute: str
    slot: str | None
    value: Value
    as_entered: object
    source: Source
    basis: Basis = Basis.STATED


@dataclass(frozen=True, slots=True)
class CountedDraft:
    """A part named by (maker, number), how many of it, and why where it is needed as well."""

    part: tuple[str, str]
    quantity: int = 1
    reason: str = ""


@dataclass(frozen=True, slots=True)
class PartDraft:
    """`matched_set` says that what it contains is only ever fitted together."""

    maker: str
    maker_name: str
    number: str
    name: str
    category: str
    supplied_as: SuppliedAs | None
    condition: PartCondition
    barcodes: tuple[tuple[str, int], ...]
    attributes: tuple[ValueDraft, ...]
    status: str = "active"
    contains: tuple[CountedDraft, ...] = ()
    needs: tuple[CountedDraft, ...] = ()
    matched_set: bool = False


@dataclass(frozen=True, slots=True)
class PortDraft:
    port: str
    fuel: str
    classes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MediumDraft:
    name: str
    window: Interval | None
    dynamic: bool | None
    slot: str = ""


@dataclass(frozen=True, slots=True)
class PositionDraft:
    code: str
    name: str
    category: str
    quantity: int | None
    branch: str
    carries_fuel: bool
    ports: tuple[PortDraft, ...]
    demands: tuple[ValueDraft, ...]
    media: tuple[MediumDraft, ...]
    adapter_forbidden: str
    inside: tuple[PositionDraft, ...]

    def codes(self) -> Iterator[str]:
        """Its own, and those of what is inside of it."""
        yield self.code
        for inner in self.inside:
            yield from inner.codes()


@dataclass(frozen=True, slots=True)
class StageDraft:
    """One stage of one fuel's supply line; `position` is empty where no position of the build is it."""

    fuel: str
    kind: StageKind
    name: str = ""
    position: str = ""
    values: tuple[ValueDraft, ...] = ()


@dataclass(frozen=True, slots=True)
class SpecificationDraft:
    """`stages` in their order, each fuel counted by itself."""

    maker: str
    maker_name: str
    model: str
    spec: str
    name: str
    cylinders: int | None
    fuels: tuple[str, ...]
    serial_prefixes: tuple[str, ...]
    positions: tuple[PositionDraft, ...]
    stages: tuple[StageDraft, ...] = ()
    status: str = "active"
    heads: int | None = None

    def position_codes(self) -> tuple[str, ...]:
        return tuple(code for position in self.positions for code in position.codes())


@dataclass(frozen=True, slots=True)
class StatementDraft:
    """`part` is (maker, number), `spec` (model, specification number)."""

    kind: StatementKind
    part: tuple[str, str]
    spec: tuple[str, str]
    position: str
    by: str
    source: Source
    serials: tuple[Row, ...]
    any_fuel: tuple[str, ...]
    all_fuels: tuple[str, ...]
    places: tuple[str, ...]
