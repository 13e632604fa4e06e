"""`?units=`: in which units measures are shown."""

from __future__ import annotations

from rest_framework.request import Request

from catalog.domain.value_documents import Units
from service.http.fields import Choice
from service.http.query import QueryParameters


class UnitsParameter(QueryParameters):
    units = Choice(choices=["si", "us"], required=False, help_text="Show measures in these units; else as given.")


def units_of(request: Request) -> Units:
    if not request.query_params:  # of nearly every check, and a reader for nothing takes as long as many rules
        return "as_given"
    found: Units = UnitsParameter.read(request).get("units", "as_given")
    return found
