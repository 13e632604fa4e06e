"""The feed over HTTP: what changed since a number, in the order in which it was committed."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param
from rest_framework.views import APIView

from service.http import operation_schemas as schemas
from service.http.asking import dealer_of
from service.http.conditional import not_modified, tagged, weak_etag
from service.http.pagination import page_size
from service.http.problem_documents import plain
from service.http.query import QueryParameters, WholeParameter
from service.operations import changes
from service.operations.changes import FeedPage
from service.operations.models import Change, Scope


class ChangeListParameters(QueryParameters):
    also = ("page_size",)

    since = WholeParameter(
        required=False,
        min_value=0,
        help_text="Only changes with a higher number: the cursor of the last answer. Left out, all that are kept.",
    )


class ChangesView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="changes_list",
        summary="What was added, edited and withdrawn since a number, in the order of commits",
        description="Changes of the shared catalogue, and this dealer's own. Keep `cursor` and ask with it as `since` "
        "next. A number that is no longer kept, or that this feed never reached, is answered 410 with `newest`: fetch "
        "everything once more, then go on from that number.",
        parameters=[ChangeListParameters, schemas.PAGE[1]],
        responses={200: schemas.ChangePage},
        examples=[OpenApiExample("Page", schemas.CHANGE_PAGE_EXAMPLE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        since: int | None = ChangeListParameters.read(request).get("since")
        limit, dealer = page_size(request), dealer_of(request)
        page = changes.read_after(changes.kept_after() if since is None else since, dealer=dealer, limit=limit)
        tag = weak_etag(page.cursor, since, limit, page.more)
        return not_modified(request, tag) or tagged(_answer(request, page), tag)


def _answer(request: Request, page: FeedPage) -> Response:
    following: str | None = None
    if page.more:
        following = replace_query_param(request.build_absolute_uri(), "since", page.cursor)
    response = Response(
        {"results": [_document(change) for change in page.changes], "next": following, "previous": None,
         "cursor": page.cursor}
    )  # fmt: skip
    if following:
        response.headers["Link"] = f'<{following}>; rel="next"'
    return response


def _document(change: Change) -> dict[str, Any]:
    return {
        "number": change.seq,
        "kind": change.kind,
        "object_type": change.object_type,
        "object_id": change.object_id,
        "own": change.dealer_id is not None,
        "at": plain(change.at),
        "payload": change.payload,
    }
