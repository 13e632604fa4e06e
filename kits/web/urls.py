"""Addresses of the pages for a dealer's people."""

from django.urls import path

from kits.web import counter

urlpatterns = [
    path("counter/", counter.asking, name="counter"),
]
