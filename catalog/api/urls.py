"""Addresses below /api/v1/."""

from django.urls import path

from catalog.api.also_needed import AlsoNeededView
from catalog.api.approvals import ApprovalsView, ApprovalView, CheckApprovalsView, ReliedOnView, WithdrawalView
from catalog.api.check_downloads import ChecksCsvView, ChecksXlsxView
from catalog.api.checks import BatchView, ChecksView, CheckView
from catalog.api.data_errors import DataErrorsView, DataErrorView
from catalog.api.engines import (
    SpecificationsView,
    SpecificationView,
    StatementsView,
    StatementView,
    SupersessionsView,
)
from catalog.api.finding_parts import FindPartsView
from catalog.api.imports import ImportsView, ImportTablesView
from catalog.api.lookups import LookupView, MissesView
from catalog.api.machines import (
    AsBuiltListView,
    AsBuiltView,
    CustomersView,
    CustomerView,
    FuelRecordsView,
    MachinesView,
    MachineView,
)
from catalog.api.outcomes import HoldCloseView, HoldConfirmView, HoldsView, OutcomesView
from catalog.api.parts import PartsView, PartView
from catalog.api.quality import QualityView
from catalog.api.reference import CategoriesView, CategoryView, FuelsView, ServiceClassesView
from catalog.api.reference_tables import ReferenceTablesView, ReferenceTableView
from catalog.api.resolving import ResolveView
from catalog.api.rulebook_rows import DraftProblemsView, RebaseView, RowsView, RowView
from catalog.api.rulebooks import DifferencesView, PublishView, RulebooksView, RulebookView
from catalog.api.slips import SlipView
from catalog.api.substitutes import SubstitutesView
from catalog.api.supply_checks import SupplyChecksView, SupplyCheckView
from catalog.api.where_used import AssembliesView, UsedAtView
from catalog.api.work_orders import WorkOrdersView

urlpatterns = [
    path("checks/", ChecksView.as_view(), name="checks"),
    path("checks.csv", ChecksCsvView.as_view(), name="checks-csv"),
    path("checks.xlsx", ChecksXlsxView.as_view(), name="checks-xlsx"),
    path("checks/batch/", BatchView.as_view(), name="checks-batch"),
    path("checks/<uuid:check_id>/", CheckView.as_view(), name="check"),
    path("checks/<uuid:check_id>/slip.pdf", SlipView.as_view(), name="check-slip"),
    path("checks/<uuid:check_id>/also-needed/", AlsoNeededView.as_view(), name="check-also-needed"),
    path("checks/<uuid:check_id>/approvals/", CheckApprovalsView.as_view(), name="check-approvals"),
    path("checks/<uuid:check_id>/outcomes/", OutcomesView.as_view(), name="check-outcomes"),
    path("approvals/", ApprovalsView.as_view(), name="approvals"),
    path("approvals/<uuid:approval_id>/", ApprovalView.as_view(), name="approval"),
    path("approvals/<uuid:approval_id>/withdraw/", WithdrawalView.as_view(), name="approval-withdraw"),
    path("approvals/<uuid:approval_id>/checks/", ReliedOnView.as_view(), name="approval-checks"),
    path("holds/", HoldsView.as_view(), name="holds"),
    path("holds/<int:hold_id>/confirm/", HoldConfirmView.as_view(), name="hold-confirm"),
    path("holds/<int:hold_id>/close/", HoldCloseView.as_view(), name="hold-close"),
    path("work-orders/", WorkOrdersView.as_view(), name="work-orders"),
    path("supply-checks/", SupplyChecksView.as_view(), name="supply-checks"),
    path("supply-checks/<uuid:check_id>/", SupplyCheckView.as_view(), name="supply-check"),
    path("supersessions/resolve/", ResolveView.as_view(), name="supersessions-resolve"),
    path("parts/<int:part_id>/substitutes/", SubstitutesView.as_view(), name="part-substitutes"),
    path("parts/<int:part_id>/supersessions/", SupersessionsView.as_view(), name="part-supersessions"),
    path("parts/<int:part_id>/engines/", UsedAtView.as_view(), name="part-engines"),
    path("parts/<int:part_id>/assemblies/", AssembliesView.as_view(), name="part-assemblies"),
    path("engine-specs/", SpecificationsView.as_view(), name="engine-specs"),
    path("engine-specs/<int:spec_id>/", SpecificationView.as_view(), name="engine-spec"),
    path("statements/", StatementsView.as_view(), name="statements"),
    path("statements/<int:statement_id>/", StatementView.as_view(), name="statement"),
    path("customers/", CustomersView.as_view(), name="customers"),
    path("customers/<uuid:customer_id>/", CustomerView.as_view(), name="customer"),
    path("machines/", MachinesView.as_view(), name="machines"),
    path("machines/<uuid:machine_id>/", MachineView.as_view(), name="machine"),
    path("machines/<uuid:machine_id>/fuel-records/", FuelRecordsView.as_view(), name="fuel-records"),
    path("machines/<uuid:machine_id>/as-built/", AsBuiltListView.as_view(), name="as-built"),
    path("machines/<uuid:machine_id>/as-built/<str:position>/", AsBuiltView.as_view(), name="as-built-position"),
    path("catalogue-imports/", ImportsView.as_view(), name="catalogue-imports"),
    path("catalogue-imports/tables/", ImportTablesView.as_view(), name="catalogue-imports-tables"),
    path("categories/", CategoriesView.as_view(), name="categories"),
    path("categories/<slug:code>/", CategoryView.as_view(), name="category"),
    path("fuels/", FuelsView.as_view(), name="fuels"),
    path("reference/", ReferenceTablesView.as_view(), name="reference"),
    path("reference/<slug:table>/", ReferenceTableView.as_view(), name="reference-table"),
    path("fuel-services/", ServiceClassesView.as_view(), name="fuel-services"),
    path("data-errors/", DataErrorsView.as_view(), name="data-errors"),
    path("data-errors/<int:error_id>/", DataErrorView.as_view(), name="data-error"),
    path("quality/", QualityView.as_view(), name="quality"),
    path("parts/", PartsView.as_view(), name="parts"),
    path("parts/find/", FindPartsView.as_view(), name="parts-find"),
    path("parts/lookup/", LookupView.as_view(), name="parts-lookup"),
    path("misses/", MissesView.as_view(), name="misses"),
    path("parts/<int:part_id>/", PartView.as_view(), name="part"),
    path("rulebooks/", RulebooksView.as_view(), name="rulebooks"),
    path("rulebooks/<slug:rulebook>/", RulebookView.as_view(), name="rulebook"),
    path("rulebooks/<slug:rulebook>/differences/", DifferencesView.as_view(), name="rulebook-differences"),
    path("rulebooks/<slug:rulebook>/publish/", PublishView.as_view(), name="rulebook-publish"),
    path("rulebooks/<slug:rulebook>/rebase/", RebaseView.as_view(), name="rulebook-rebase"),
    path("rulebooks/<slug:rulebook>/problems/", DraftProblemsView.as_view(), name="rulebook-problems"),
    path("rulebooks/<slug:rulebook>/rows/", RowsView.as_view(), name="rulebook-rows"),
    path("rulebooks/<slug:rulebook>/rows/<slug:section>/<str:key>/", RowView.as_view(), name="rulebook-row"),
]
