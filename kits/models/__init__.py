"""Rows of kits: service records, stock and prices, kits and orders."""

from kits.models.calendar import CalendarDay, WorkCalendar
from kits.models.counter_answer import CounterAnswer
from kits.models.handling import PartHandling, SheetSent
from kits.models.kit import Kit, KitEvent, KitLine, KitState, KitUse, Reservation, ReservationState
from kits.models.machine_meter import MachineMeter, MeterReading
from kits.models.order import Allocation, Order, OrderLine, OrderPlan, OrderState
from kits.models.service_history import ObservationKind, ServiceFile, ServiceObservation, ServiceRecord, UseProfile
from kits.models.service_plan import PlanPart, ServicePlan
from kits.models.stock import Incoming, StockBatch, StockItem
from kits.models.stock_import import ImportMode, ImportState, ImportTable, StockImport
from kits.models.supplier import Supplier, SupplierPrice

__all__ = [
    "Allocation",
    "CalendarDay",
    "CounterAnswer",
    "ImportMode",
    "ImportState",
    "ImportTable",
    "Incoming",
    "Kit",
    "KitEvent",
    "KitLine",
    "KitState",
    "KitUse",
    "MachineMeter",
    "MeterReading",
    "ObservationKind",
    "Order",
    "OrderLine",
    "OrderPlan",
    "OrderState",
    "PartHandling",
    "PlanPart",
    "Reservation",
    "ReservationState",
    "ServiceFile",
    "ServiceObservation",
    "ServicePlan",
    "ServiceRecord",
    "SheetSent",
    "StockBatch",
    "StockImport",
    "StockItem",
    "Supplier",
    "SupplierPrice",
    "UseProfile",
    "WorkCalendar",
]
