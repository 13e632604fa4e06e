"""Addresses of the pages for a dealer's people."""

from django.urls import path

from kits.web import counter, counter_described, today

urlpatterns = [
    path("counter/", counter.asking, name="counter"),
    path("counter/describe/", counter_described.describing, name="counter-describe"),
    path("counter/<uuid:check_id>/", counter.shown, name="counter-check"),
    path("counter/<uuid:check_id>/told/", counter.told, name="counter-told"),
    path("today/", today.checks, name="today"),
]
