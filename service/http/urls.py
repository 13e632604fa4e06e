"""Addresses outside of the versioned API: what problems mean."""

from django.urls import path

from service.http import problem_pages

urlpatterns = [
    path("problems/", problem_pages.index, name="problems"),
    path("problems/<slug:slug>/", problem_pages.page, name="problem"),
]
