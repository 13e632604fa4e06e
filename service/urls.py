"""The address map: probes, documentation, problem pages and the versioned API."""

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
