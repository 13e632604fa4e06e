"""A recorded check's question asked about another part: for the same engine as it stands, at its position or another.

Facts told of the engine hold for any part. Those of the position hold where it is the same one; those of the part that
was asked about say nothing of another.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from datetime import date
from typing import Any
from uuid import UUID

from catalog.models import Check, Part
from catalog.usecases.checking import Body
from catalog.usecases.told_facts import APPLICATION, POSITION


def question_again(check: Check) -> Body:
    """The recorded question, to be decided anew."""
    body = dict(json.loads(check.question))
    if body.get("machine") is not None:
        body["machine"] = UUID(body["machine"])
    if body.get("application") is not None:
        body["application"] = _with_dates(body["application"])
    return body


def question_about(needed: Part, check: Check) -> Body:
    """About a part that goes to a position of its own. The body has the shape of `POST /checks/`."""
    return _asked(json.loads(check.question), {"id": needed.pk}, (APPLICATION,))


def question_in_its_place(part: Mapping[str, Any], check: Check, position: str) -> Body:
    """About a part, named as bodies name one, at the position the check was decided at."""
    body: Mapping[str, Any] = json.loads(check.question)
    asked = _asked(body, part, (APPLICATION, POSITION))
    replaced = {} if body.get("replaces") is None else {"replaces": body["replaces"]}
    return {**asked, **replaced, "position": position}


def _asked(body: Mapping[str, Any], candidate: Mapping[str, Any], about: Collection[str]) -> dict[str, Any]:
    asked: dict[str, Any] = {"candidate": dict(candidate)}
    if body.get("machine") is not None:
        asked["machine"] = UUID(body["machine"])
    if body.get("application") is not None:
        asked["application"] = _with_dates(body["application"])
    asked["facts"] = [fact for fact in body.get("facts") or () if fact["about"] in about]
    return asked


def _with_dates(application: Mapping[str, Any]) -> dict[str, Any]:
    """An application as it was kept in text, its dates read again."""
    found = dict(application)
    if found.get("date") is not None:
        found["date"] = date.fromisoformat(found["date"])
    if found.get("fuel_records"):
        found["fuel_records"] = [
            {**record, "found_on": date.fromisoformat(record["found_on"])} for record in found["fuel_records"]
        ]
    return found
