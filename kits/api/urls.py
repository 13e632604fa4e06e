"""Addresses below /api/v1/ of kits, stock and orders."""

from django.urls import path

from kits.api.service_plans import ServicePlansView, ServicePlanView

urlpatterns = [
    path("service-plans/", ServicePlansView.as_view(), name="service-plans"),
    path("service-plans/<uuid:plan_id>/", ServicePlanView.as_view(), name="service-plan"),
]
