"""A whole question and its whole answer, as the outside asks it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from catalog.domain.answers import Fact, Verdict
from catalog.domain.applicability import Application, Where, located
from catalog.domain.findings import Finding
from catalog.domain.fuels import Fuel
from catalog.domain.outcomes import OnHold, ReportedOn
from catalog.domain.parts import Part, PartKey, Position, Statement
from catalog.domain.resolving import ChainStep
from catalog.domain.rules import Approver, Caution, Rulebook
from catalog.domain.supersession_chains import CatalogueError, Chains, Numbered


@dataclass(frozen=True, slots=True)
class Item:
    """One part of a candidate, how many are offered (None: as many as the position takes), and its adapters.

    `holds` are the open reports about it on this specification.
    """

    part: Part
    quantity: int | None = None
    adapters: tuple[Part, ...] = ()
    holds: tuple[OnHold, ...] = ()


@dataclass(frozen=True, slots=True)
class Engine:
    """A specification as loaded: its fuels, its positions, and all statements about parts at them."""

    name: str
    fuels: tuple[Fuel, ...] = ()
    positions: tuple[Position, ...] = ()
    statements: tuple[Statement, ...] = ()


@dataclass(frozen=True, slots=True)
class Replacements:
    """What is published of numbers that replace numbers, with the parts by the ids that the chains know them by."""

    chains: Chains
    parts: Mapping[int, Part]
    numbered: Mapping[PartKey, Numbered]
    blocks: tuple[str, ...] | None = None  # of the engine's serial numbers; None where that is not known
    holds: Mapping[int, tuple[OnHold, ...]] = field(default_factory=dict)


NOTHING_REPLACED = Replacements(Chains.of(()), {}, {})


@dataclass(frozen=True)
class Question:
    """`position` is a code, or None to have it found; `engine` is None where part is held against part.

    `reported` are the open reports about adapters and what kits hold, on this specification.
    """

    rulebook: Rulebook
    candidate: tuple[Item, ...]
    application: Application = field(default_factory=Application)
    engine: Engine | None = None
    position: str | None = None
    replaces: Part | None = None
    replacements: Replacements = NOTHING_REPLACED
    reported: tuple[ReportedOn, ...] = ()

    @cached_property
    def where(self) -> Where:
        """The engine asked about with what it burns."""
        return located(self.application, self.rulebook.fuels)


@dataclass(frozen=True, slots=True)
class Use:
    part: Part
    quantity: int | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Decision:
    """The answer to a question: verdict, reasons, what to use, what is missing, and what disagrees."""

    verdict: Verdict
    headline: str
    position: str | None = None
    use: tuple[Use, ...] = ()
    chain: tuple[ChainStep, ...] = ()
    findings: tuple[Finding, ...] = ()
    conditions: tuple[str, ...] = ()
    missing: tuple[Fact, ...] = ()
    conflicts: tuple[str, ...] = ()
    catalogue_errors: tuple[str, ...] = ()
    chain_errors: tuple[CatalogueError, ...] = ()
    cautions: tuple[Caution, ...] = ()
    approvable_by: Approver | None = None
