"""Rows of kits: service records, stock and prices, kits and orders."""

from kits.models.machine_meter import MachineMeter, MeterReading
from kits.models.service_history import ObservationKind, ServiceFile, ServiceObservation, ServiceRecord, UseProfile
from kits.models.service_plan import PlanPart, ServicePlan

__all__ = [
    "MachineMeter",
    "MeterReading",
    "ObservationKind",
    "PlanPart",
    "ServiceFile",
    "ServiceObservation",
    "ServicePlan",
    "ServiceRecord",
    "UseProfile",
]
