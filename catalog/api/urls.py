"""Addresses below /api/v1/."""

from django.urls import path

from catalog.api.checks import BatchView, ChecksView, CheckView
from catalog.api.imports import ImportsView, ImportTablesView
from catalog.api.parts import PartsView, PartView
from catalog.api.reference import CategoriesView, CategoryView, FuelsView, ServiceClassesView

urlpatterns = [
    path("checks/", ChecksView.as_view(), name="checks"),
    path("checks/batch/", BatchView.as_view(), name="checks-batch"),
    path("checks/<uuid:check_id>/", CheckView.as_view(), name="check"),
    path("catalogue-imports/", ImportsView.as_view(), name="catalogue-imports"),
    path("catalogue-imports/tables/", ImportTablesView.as_view(), name="catalogue-imports-tables"),
    path("categories/", CategoriesView.as_view(), name="categories"),
    path("categories/<slug:code>/", CategoryView.as_view(), name="category"),
    path("fuels/", FuelsView.as_view(), name="fuels"),
    path("fuel-services/", ServiceClassesView.as_view(), name="fuel-services"),
    path("parts/", PartsView.as_view(), name="parts"),
    path("parts/<int:part_id>/", PartView.as_view(), name="part"),
]
