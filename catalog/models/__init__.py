"""The catalogue's rows: parts, engines, makers' statements, rulebooks and recorded checks."""

from catalog.models.check import Check
from catalog.models.engine import EngineSpecification, Position, PositionDemand, PositionMedium, PositionPort
from catalog.models.part import Barcode, Maker, Part, PartAttribute, Status
from catalog.models.rulebook import CatalogueState, RulebookVersion
from catalog.models.statement import Applicability, Statement
from catalog.models.typed_values import TypedValue

__all__ = [
    "Applicability",
    "Barcode",
    "CatalogueState",
    "Check",
    "EngineSpecification",
    "Maker",
    "Part",
    "PartAttribute",
    "Position",
    "PositionDemand",
    "PositionMedium",
    "PositionPort",
    "RulebookVersion",
    "Statement",
    "Status",
    "TypedValue",
]
