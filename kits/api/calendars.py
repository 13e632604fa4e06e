"""A dealer's calendars, and the days in them that differ."""

from __future__ import annotations

from datetime import date
from typing import ClassVar
from uuid import UUID

from django.urls import reverse
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.editing import body_of, changed_to, created_at, patch_of, shown_at
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.schemas import PAGE
from kits.api import examples, schemas, shapes
from kits.api.access import READ_WRITE, owner_of
from kits.api.shapes import CODE_LENGTH
from kits.models import CalendarDay, WorkCalendar
from kits.usecases.calendar_writing import (
    add_calendar,
    add_day,
    calendar_document,
    calendar_of,
    change_calendar,
    day_document,
    remove_calendar,
    remove_day,
)
from service.errors import Invalid
from service.http.asking import asking_dealer
from service.http.conditional import require_match
from service.http.fields import Text
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, PageParameters, QueryParameters


class CalendarListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    code = Text(required=False, max_length=CODE_LENGTH)
    branch = Text(required=False, max_length=CODE_LENGTH, help_text="The code of the branch whose calendar it is.")


class CalendarsView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("code", "id")

    @extend_schema(
        operation_id="calendars_list",
        summary="This dealer's calendars",
        parameters=[CalendarListParameters, *PAGE],
        responses={200: schemas.CalendarPage},
        examples=[OpenApiExample("Page", examples.CALENDAR_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = CalendarListParameters.read(request)
        columns = {"code": "code", "branch": "branch__code"}
        filters = {columns[name]: value for name, value in wanted.items()}
        rows = WorkCalendar.objects.visible_to(asking_dealer(request)).select_related("branch").filter(**filters)
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([calendar_document(row) for row in found])

    @extend_schema(
        operation_id="calendars_create",
        summary="Add a calendar",
        request=shapes.CalendarShape,
        responses={201: schemas.CalendarAnswer},
        examples=[
            OpenApiExample("Body", examples.CALENDAR_BODY, request_only=True),
            OpenApiExample("Kept", examples.CALENDAR, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        row = add_calendar(body_of(request, shapes.CalendarShape), owner_of(request))
        return created_at(request, row.version, calendar_document(row), address=reverse("calendar", args=[row.pk]))


class CalendarView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="calendars_read",
        summary="Read a calendar",
        responses={200: schemas.CalendarAnswer},
        examples=[OpenApiExample("Read", examples.CALENDAR, response_only=True)],
    )
    def get(self, request: Request, calendar_id: UUID) -> Response:
        NoParameters.read(request)
        row = calendar_of(asking_dealer(request), calendar_id)
        return shown_at(request, row.version, calendar_document(row))

    @extend_schema(
        operation_id="calendars_change",
        summary="Change a calendar",
        parameters=[IF_MATCH],
        request=shapes.CalendarChangeShape,
        responses={200: schemas.CalendarAnswer},
        examples=[
            OpenApiExample("Changed", examples.CALENDAR, response_only=True),
        ],
    )
    def patch(self, request: Request, calendar_id: UUID) -> Response:
        owner = owner_of(request)
        row = calendar_of(owner.dealer, calendar_id)
        row = change_calendar(row, patch_of(request, row.version, shapes.CalendarChangeShape), owner)
        return changed_to(request, row.version, calendar_document(row))

    @extend_schema(
        operation_id="calendars_remove",
        summary="Take away a calendar",
        parameters=[IF_MATCH],
        responses={204: None},
    )
    def delete(self, request: Request, calendar_id: UUID) -> Response:
        NoParameters.read(request)
        owner = owner_of(request)
        row = calendar_of(owner.dealer, calendar_id)
        require_match(request, row.version)
        remove_calendar(row, owner)
        return Response(status=204)


class CalendarDaysView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("date", "id")

    @extend_schema(
        operation_id="calendar_days_list",
        summary="The days of a calendar that differ from its weekdays and public holidays",
        parameters=[*PAGE],
        responses={200: schemas.CalendarDayPage},
        examples=[OpenApiExample("Page", examples.DAY_PAGE, response_only=True)],
    )
    def get(self, request: Request, calendar_id: UUID) -> Response:
        PageParameters.read(request)
        calendar = calendar_of(asking_dealer(request), calendar_id)
        pages = KeysetPagination()
        found = pages.paginate_queryset(CalendarDay.objects.filter(calendar=calendar), request, self)
        return pages.get_paginated_response([day_document(row) for row in found])

    @extend_schema(
        operation_id="calendar_days_create",
        summary="List a day on which the house is closed, or works although it is a holiday",
        request=shapes.CalendarDayShape,
        responses={201: schemas.CalendarDayAnswer},
        examples=[
            OpenApiExample("Closed", {"date": "2026-04-03", "reason": "Spring stocktaking"}, request_only=True),
            OpenApiExample("Kept", examples.DAY, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, calendar_id: UUID) -> Response:
        owner = owner_of(request)
        calendar = calendar_of(owner.dealer, calendar_id)
        day = add_day(calendar, body_of(request, shapes.CalendarDayShape), owner)
        address = reverse("calendar-day", args=[calendar.pk, day.date.isoformat()])
        return created_at(request, calendar.version, day_document(day), address=address)


class CalendarDayView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(operation_id="calendar_days_remove", summary="Take a listed day away", responses={204: None})
    def delete(self, request: Request, calendar_id: UUID, day: str) -> Response:
        NoParameters.read(request)
        owner = owner_of(request)
        remove_day(calendar_of(owner.dealer, calendar_id), _date(day), owner)
        return Response(status=204)


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Invalid(f"{text} is no date; write it like 2026-04-03.", code="not_a_date") from None
