"""Adding and changing service plans: a dealer's own, or shared by all."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from catalog.models import EngineSpecification, Maker, Position, Status
from catalog.models.facts import as_text
from catalog.usecases.reading import published
from catalog.usecases.refusals import Gathered, Taken, UnknownMaker, UnknownPosition, UnknownSpecification
from kits.domain.meters import Counts
from kits.domain.plan_documents import needs_of, read_plan
from kits.domain.plan_problems import plan_problems
from kits.models import PlanPart, ServicePlan
from kits.usecases.plan_drafts import PlanDraft, read_document
from kits.usecases.refusals import UnknownPlan
from service.errors import FieldProblem, Invalid, Problems, Stale
from service.operations.changes import NewChange, append, lock_feed
from service.operations.models import Dealer

Row = Mapping[str, Any]
LISTS = ("tasks", "levels", "joints")
ENGINE = ("spec", "maker", "model")
MOST_POSITIONS_NAMED = 40


def add_plan(row: Row, dealer: Dealer | None, now: datetime) -> ServicePlan:
    """Write a plan of the dealer's, or a shared one. Raises what `Gathered.tell` raises, with every problem; Taken."""
    plan = ServicePlan(dealer=dealer, code=row["code"], changed_at=now)
    draft = _state(plan, {**row, **{name: row.get(name) or () for name in LISTS}})
    with transaction.atomic():
        lock_feed()
        if ServicePlan.objects.filter(dealer=dealer, code=plan.code).exists():
            words = f"There is a service plan {plan.code!r} already; change that one, or give this one another code."
            raise Taken(words, pointer="/code")
        plan.save(force_insert=True)
        _name_parts(plan, draft)
        _tell("created", plan, now)
    return plan


def change_plan(plan: ServicePlan, patch: Row, now: datetime) -> ServicePlan:
    """Change what the patch states; a list takes the place of the whole list. Raises Stale besides what adding does."""
    draft = _state(plan, {**json.loads(plan.document), **patch})
    with transaction.atomic():
        lock_feed()
        moved = ServicePlan.objects.filter(pk=plan.pk, version=plan.version).update(version=plan.version + 1)
        if not moved:
            raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
        plan.version, plan.changed_at = plan.version + 1, now
        plan.save()
        _name_parts(plan, draft)
        _tell("changed", plan, now)
    return plan


def plan_of(dealer: Dealer | None, number: UUID) -> ServicePlan:
    """A shared plan or one of the dealer's. Raises UnknownPlan, for another dealer's too."""
    rows = ServicePlan.objects.visible_to(dealer).select_related("maker", "specification", "dealer")
    found = rows.filter(pk=number).first()
    if found is None:
        raise UnknownPlan("There is no such service plan, shared or of yours.")
    return found


def engine_row(plan: ServicePlan) -> dict[str, Any]:
    """The engine a plan is for, in the form it is stated in."""
    spec = plan.specification
    return {
        "spec": None if spec is None else {"model": spec.model, "spec": spec.spec},
        "maker": None if plan.maker is None or spec is not None else plan.maker.code,
        "model": plan.model or None if spec is None else None,
    }


def _state(plan: ServicePlan, row: Row) -> PlanDraft:
    """Put what a body states onto the row, unsaved. Raises what `Gathered.tell` raises, with every problem."""
    problems, known = Gathered(), published()
    if any(name in row for name in ENGINE):
        with problems.each():
            _put_engine(plan, row)
    for column in ("name", "status", "counts"):
        setattr(plan, column, row.get(column) or getattr(plan, column))
    draft = read_document(row, known.rulebook, known.standing.stamp, problems)
    with problems.each():
        _refuse_strange_positions(plan, draft)
    if all(choice["part"] for _, need in needs_of(draft.document) for choice in need["choices"]):
        with problems.each():
            _refuse_unsound(plan, draft)
    problems.tell()
    plan.document = as_text(draft.document)
    return draft


def _put_engine(plan: ServicePlan, row: Row) -> None:
    spec, maker, model = (row.get(name) for name in ENGINE)
    if spec is not None and (maker is not None or model is not None):
        words = "Name the engine in one way: spec, or maker with model."
        raise Invalid(words, pointer="/spec", code="engine_in_one_way")
    if (maker is None) != (model is None):
        missing = "/maker" if maker is None else "/model"
        raise Invalid("A model is named with its maker; give both.", pointer=missing, code="engine_in_one_way")
    plan.specification = None if spec is None else _specification(spec)
    if plan.specification is not None:
        plan.maker, plan.model = plan.specification.maker, plan.specification.model
    else:
        plan.maker, plan.model = (None, "") if maker is None else _model(maker, str(model))


def _specification(spec: Row) -> EngineSpecification:
    rows = EngineSpecification.objects.select_related("maker").filter(status=Status.ACTIVE, model=spec["model"])
    known = {row.spec: row for row in rows.order_by("spec")}
    found = known.get(spec["spec"])
    if found is None:
        choose = f"known of it: {', '.join(known)}" if known else "check the model"
        words = f"There is no specification {spec['spec']!r} of model {spec['model']!r}; {choose}."
        raise UnknownSpecification(words, pointer="/spec")
    return found


def _model(code: str, model: str) -> tuple[Maker, str]:
    maker = Maker.objects.filter(code=code).first()
    if maker is None:
        raise UnknownMaker(f"No maker is known as {code!r}; makers go by their short codes.", pointer="/maker")
    models = set(maker.specifications.filter(status=Status.ACTIVE).values_list("model", flat=True))
    if model not in models:
        words = f"{code} has no model {model!r} in the catalogue; known: {', '.join(sorted(models)) or 'none'}."
        raise UnknownSpecification(words, pointer="/model")
    return maker, model


def _refuse_strange_positions(plan: ServicePlan, draft: PlanDraft) -> None:
    """A position that no build of the plan's engine has is a slip; a plan for no engine cannot be held to any."""
    if not plan.model:
        return
    rows = Position.objects.filter(specification__model=plan.model, specification__status=Status.ACTIVE)
    if plan.specification is not None:
        rows = rows.filter(specification=plan.specification)
    known = frozenset(rows.values_list("code", flat=True))
    problems = Gathered()
    for pointer, need in needs_of(draft.document):
        if need["position"] not in known:
            shown = ", ".join(sorted(known)[:MOST_POSITIONS_NAMED]) or "none"
            words = f"{plan.model} has no position {need['position']!r}; its positions: {shown}."
            problems.errors.append(UnknownPosition(words, pointer=f"{pointer}/position"))
    problems.tell()


def _refuse_unsound(plan: ServicePlan, draft: PlanDraft) -> None:
    found = read_plan(plan.code, Counts(plan.counts), draft.document)
    wrong = (*plan_problems(found.when), *_said_twice(draft.document), *_mixed_units(draft.document))
    if wrong:
        raise Problems(wrong)


def _said_twice(document: Row) -> Iterator[FieldProblem]:
    codes = [joint["code"] for joint in document["joints"]]
    for at, code in enumerate(codes):
        if code in codes[:at]:
            yield FieldProblem(f"/joints/{at}/code", "twice", f"{code!r} stands there already.")


def _mixed_units(document: Row) -> Iterator[FieldProblem]:
    """A position takes pieces or a volume, since what tasks need there is put together."""
    pieces: dict[str, bool] = {}
    for pointer, need in needs_of(document):
        counted = need["unit"] == "each"
        if pieces.setdefault(need["position"], counted) is not counted:
            words = f"{need['position']} is measured in pieces and by volume in this plan; give one of the two."
            yield FieldProblem(f"{pointer}/unit", "mixed_units", words)


def _name_parts(plan: ServicePlan, draft: PlanDraft) -> None:
    PlanPart.objects.filter(plan=plan).exclude(part__in=draft.parts).delete()
    there = set(PlanPart.objects.filter(plan=plan).values_list("part", flat=True))
    PlanPart.objects.bulk_create(PlanPart(plan=plan, part_id=part) for part in sorted(draft.parts - there))


def _tell(kind: str, plan: ServicePlan, now: datetime) -> None:
    change = NewChange(f"service_plan.{kind}", "service_plan", plan.pk, plan.dealer, {"version": plan.version})
    append(change, now)
