"""The catalogue's rows: parts, engines, makers' statements, machines, rulebooks and recorded checks."""

from catalog.models.applicability import Applicability
from catalog.models.approval import Approval
from catalog.models.approval_request import ApprovalRequest
from catalog.models.check import Check, SupplyCheck
from catalog.models.data_error import DataError, ErrorState
from catalog.models.engine import EngineSpecification, Position, PositionDemand, PositionMedium, PositionPort
from catalog.models.lookup import LookupMiss, PartPiece
from catalog.models.machine import AsBuilt, Customer, FuelRecord, Machine, WorkOrder, WorkState
from catalog.models.outcome import Hold, Outcome
from catalog.models.part import Barcode, Maker, Part, PartAttribute, PartContent, PartNeed, Status
from catalog.models.rulebook import CatalogueState, DraftRow, DraftStatus, RulebookDraft, RulebookVersion
from catalog.models.statement import Statement
from catalog.models.supersession import Side, Supersession, SupersessionMember
from catalog.models.supply import StageValue, SupplyStage
from catalog.models.typed_values import TypedValue

__all__ = [
    "Applicability",
    "Approval",
    "ApprovalRequest",
    "AsBuilt",
    "Barcode",
    "CatalogueState",
    "Check",
    "Customer",
    "DataError",
    "DraftRow",
    "DraftStatus",
    "EngineSpecification",
    "ErrorState",
    "FuelRecord",
    "Hold",
    "LookupMiss",
    "Machine",
    "Maker",
    "Outcome",
    "Part",
    "PartAttribute",
    "PartContent",
    "PartNeed",
    "PartPiece",
    "Position",
    "PositionDemand",
    "PositionMedium",
    "PositionPort",
    "RulebookDraft",
    "RulebookVersion",
    "Side",
    "StageValue",
    "Statement",
    "Status",
    "Supersession",
    "SupersessionMember",
    "SupplyCheck",
    "SupplyStage",
    "TypedValue",
    "WorkOrder",
    "WorkState",
]
