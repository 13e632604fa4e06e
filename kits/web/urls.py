"""Addresses of the pages for a dealer's people."""

from django.urls import path

from kits.web import approvals, counter, counter_described, today

urlpatterns = [
    path("counter/", counter.asking, name="counter"),
    path("counter/describe/", counter_described.describing, name="counter-describe"),
    path("counter/<uuid:check_id>/", counter.shown, name="counter-check"),
    path("counter/<uuid:check_id>/told/", counter.told, name="counter-told"),
    path("counter/<uuid:check_id>/ask-approval/", approvals.asked, name="counter-ask-approval"),
    path("counter/<uuid:check_id>/approve/", approvals.given, name="counter-approve"),
    path("counter/<uuid:check_id>/decline/", approvals.declined, name="counter-decline"),
    path("approvals/", approvals.waiting, name="approvals"),
    path("today/", today.checks, name="today"),
]
