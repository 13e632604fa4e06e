"""Addresses below /api/v1/ of kits, stock and orders."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
