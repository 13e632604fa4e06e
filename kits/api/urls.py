"""Addresses below /api/v1/ of kits, stock and orders."""

from django.urls import path

from kits.api.calendars import CalendarDaysView, CalendarDayView, CalendarsView, CalendarView
from kits.api.counter import CounterAnswersView, CounterAnswerView
from kits.api.due import FleetDueView, MachineDueView
from kits.api.handling import HandlingsView, HandlingView
from kits.api.kit_downloads import KitLinesCsvView, KitLinesXlsxView
from kits.api.kit_papers import LabelView, PickListView
from kits.api.kit_steps import (
    KitCancelView,
    KitFulfilView,
    KitPickView,
    KitReserveView,
    KitReviewView,
    KitSettleView,
)
from kits.api.kits import KitsView, KitView
from kits.api.meters import MetersView, MeterView, ReadingsView, ReadingView, ReviewView, ServiceFileView
from kits.api.order_plans import OrderPlansView, OrderPlanView
from kits.api.orders import OrderCancelView, OrderReceiptView, OrdersView, OrderView
from kits.api.service_plans import ServicePlansView, ServicePlanView
from kits.api.service_records import (
    ObservationsView,
    ObservationView,
    ObservationWithdrawalView,
    ServiceDoneView,
    ServicesDoneView,
    ServiceWithdrawalView,
    UseProfilesView,
)
from kits.api.stock_imports import RejectView, ReleaseView, StockImportsView, StockImportTablesView, StockImportView
from kits.api.stock_items import StockItemsView, StockItemView
from kits.api.suppliers import PricesView, PriceView, SuppliersView, SupplierView
from kits.api.work_orders import WorkOrderView

MACHINE = "machines/<uuid:machine_id>"
SERVICE = f"{MACHINE}/services-done/<uuid:service_id>"
OBSERVATION = f"{MACHINE}/observations/<uuid:observation_id>"
urlpatterns = [
    path("service-plans/", ServicePlansView.as_view(), name="service-plans"),
    path("service-plans/<uuid:plan_id>/", ServicePlanView.as_view(), name="service-plan"),
    path("due/", FleetDueView.as_view(), name="due"),
    path(f"{MACHINE}/due/", MachineDueView.as_view(), name="machine-due"),
    path(f"{MACHINE}/service-file/", ServiceFileView.as_view(), name="service-file"),
    path(f"{MACHINE}/meters/", MetersView.as_view(), name="machine-meters"),
    path(f"{MACHINE}/meters/<str:meter>/", MeterView.as_view(), name="machine-meter"),
    path(f"{MACHINE}/readings/", ReadingsView.as_view(), name="machine-readings"),
    path(f"{MACHINE}/readings/<uuid:reading_id>/", ReadingView.as_view(), name="machine-reading"),
    path(f"{MACHINE}/readings/<uuid:reading_id>/review/", ReviewView.as_view(), name="machine-reading-review"),
    path(f"{MACHINE}/use-profiles/", UseProfilesView.as_view(), name="use-profiles"),
    path(f"{MACHINE}/services-done/", ServicesDoneView.as_view(), name="services-done"),
    path(f"{SERVICE}/", ServiceDoneView.as_view(), name="service-done"),
    path(f"{SERVICE}/withdraw/", ServiceWithdrawalView.as_view(), name="service-done-withdraw"),
    path(f"{MACHINE}/observations/", ObservationsView.as_view(), name="observations"),
    path(f"{OBSERVATION}/", ObservationView.as_view(), name="observation"),
    path(f"{OBSERVATION}/withdraw/", ObservationWithdrawalView.as_view(), name="observation-withdraw"),
    path("calendars/", CalendarsView.as_view(), name="calendars"),
    path("calendars/<uuid:calendar_id>/", CalendarView.as_view(), name="calendar"),
    path("calendars/<uuid:calendar_id>/days/", CalendarDaysView.as_view(), name="calendar-days"),
    path("calendars/<uuid:calendar_id>/days/<str:day>/", CalendarDayView.as_view(), name="calendar-day"),
    path("suppliers/", SuppliersView.as_view(), name="suppliers"),
    path("suppliers/<uuid:supplier_id>/", SupplierView.as_view(), name="supplier"),
    path("supplier-prices/", PricesView.as_view(), name="supplier-prices"),
    path("supplier-prices/<int:price_id>/", PriceView.as_view(), name="supplier-price"),
    path("stock-items/", StockItemsView.as_view(), name="stock-items"),
    path("stock-items/<int:item_id>/", StockItemView.as_view(), name="stock-item"),
    path("handling/", HandlingsView.as_view(), name="handlings"),
    path("handling/<int:handling_id>/", HandlingView.as_view(), name="handling"),
    path("stock-imports/", StockImportsView.as_view(), name="stock-imports"),
    path("stock-imports/tables/", StockImportTablesView.as_view(), name="stock-import-tables"),
    path("stock-imports/<uuid:import_id>/", StockImportView.as_view(), name="stock-import"),
    path("imports/<uuid:import_id>/release/", ReleaseView.as_view(), name="import-release"),
    path("imports/<uuid:import_id>/reject/", RejectView.as_view(), name="import-reject"),
    path("counter-answers/", CounterAnswersView.as_view(), name="counter-answers"),
    path("counter-answers/<uuid:check_id>/", CounterAnswerView.as_view(), name="counter-answer"),
    path("order-plans/", OrderPlansView.as_view(), name="order-plans"),
    path("order-plans/<uuid:plan_id>/", OrderPlanView.as_view(), name="order-plan"),
    path("orders/", OrdersView.as_view(), name="orders"),
    path("orders/<uuid:order_id>/", OrderView.as_view(), name="order"),
    path("orders/<uuid:order_id>/receive/", OrderReceiptView.as_view(), name="order-receive"),
    path("orders/<uuid:order_id>/cancel/", OrderCancelView.as_view(), name="order-cancel"),
    path("kits/", KitsView.as_view(), name="kits"),
    path("kits/<uuid:kit_id>/", KitView.as_view(), name="kit"),
    path("kits/<uuid:kit_id>/lines.csv", KitLinesCsvView.as_view(), name="kit-lines-csv"),
    path("kits/<uuid:kit_id>/lines.xlsx", KitLinesXlsxView.as_view(), name="kit-lines-xlsx"),
    path("kits/<uuid:kit_id>/pick-list.pdf", PickListView.as_view(), name="kit-pick-list"),
    path("kits/<uuid:kit_id>/label.pdf", LabelView.as_view(), name="kit-label"),
    path("kits/<uuid:kit_id>/settle/", KitSettleView.as_view(), name="kit-settle"),
    path("kits/<uuid:kit_id>/reserve/", KitReserveView.as_view(), name="kit-reserve"),
    path("kits/<uuid:kit_id>/review/", KitReviewView.as_view(), name="kit-review"),
    path("kits/<uuid:kit_id>/pick/", KitPickView.as_view(), name="kit-pick"),
    path("kits/<uuid:kit_id>/fulfil/", KitFulfilView.as_view(), name="kit-fulfil"),
    path("kits/<uuid:kit_id>/cancel/", KitCancelView.as_view(), name="kit-cancel"),
    path("work-orders/<uuid:order_id>/", WorkOrderView.as_view(), name="work-order"),
]
