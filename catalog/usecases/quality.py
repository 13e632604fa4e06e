"""How good the catalogue is: what is missing where it decides, most wanted first, and where sources disagree.

Counted by the database; as many statements however large the catalogue is.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Case, Count, Exists, F, OuterRef, Q, QuerySet, TextField, Value, When
from django.db.models.functions import Cast, Coalesce

from catalog.domain.answers import Verdict
from catalog.domain.parts import SuppliedAs
from catalog.domain.quality import STANDS_FOR, Critical, critical_places, facts_asked_for
from catalog.domain.rules import Rulebook
from catalog.domain.value_documents import write_value
from catalog.domain.values import Slot
from catalog.models import Check, Part, PartAttribute, Position, PositionDemand, Status
from catalog.usecases.answers import instant, source_document
from catalog.usecases.reading import part_name
from service.errors import Invalid

RECENT = timedelta(days=30)
MOST_CHECKS = 2_000
MOST_CONTRADICTIONS = 100
OPEN_END = -(2**63)  # what no number is kept as
ENDLESS = (SuppliedAs.CUT_LENGTH.value, SuppliedAs.VOLUME.value)
Spot = tuple[str, str, Slot]  # category, attribute, slot
Numbers = Mapping[Any, int]


@dataclass(frozen=True, slots=True)
class _Counts:
    """How many parts there are, how many have a value, how many positions there are and state a need.

    Parts are by category and whether they are sold by length or volume.
    """

    parts: Numbers
    having: Numbers
    positions: Numbers
    stating: Numbers
    asked_lately: Numbers = field(default_factory=dict)

    def lacking(self, category: str, critical: Critical) -> int:
        kinds = (False,) if critical.of_piece else (False, True)
        return sum(self.parts.get((category, kind), 0) - self.having.get((category, *critical.place, kind), 0)
                   for kind in kinds)  # fmt: skip

    def asking(self, category: str, critical: Critical) -> int:
        """Positions that ask for it: every one of the category, or those that state a need."""
        if not critical.always:
            return self.stating.get((category, *critical.place), 0)
        carrying = (True,) if critical.with_fuel else (False, True)
        return sum(self.positions.get((category, fuel), 0) for fuel in carrying)

    def in_use(self, category: str, critical: Critical) -> bool:
        """A slot that no part has a value in and no position speaks of is none of this category's."""
        spot = (category, *critical.place)
        return critical.slot is None or spot in self.stating or any((*spot, kind) in self.having for kind in (0, 1))


def quality(rulebook: Rulebook, now: datetime, *, category: str | None = None) -> dict[str, Any]:
    """`category` leaves out all others. Raises Invalid for one that is not known.

    Checks are counted over every dealer, and nothing of them but their number is told.
    """
    if category is not None and category not in rulebook.categories:
        words = f"There is no category {category[:60]!r}; see GET /categories/."
        raise Invalid(words, pointer="?category", code="unknown_category")
    chosen = sorted(rulebook.categories) if category is None else [category]
    places = [(code, one) for code in chosen for one in critical_places(rulebook.categories[code], rulebook)]
    lately, read, undetermined = _asked_lately(now - RECENT)
    counts = _counted(category, lately)
    contradictions, more = _contradictions(category, {(code, *one.place) for code, one in places})
    return {
        "since": instant(now - RECENT),
        "undetermined_checks": undetermined,
        "undetermined_checks_read": read,
        "missing": _missing(places, counts, rulebook),
        "contradictions": contradictions,
        "more_contradictions": more,
    }


def _missing(
    places: Sequence[tuple[str, Critical]], counts: _Counts, rulebook: Rulebook
) -> list[dict[str, Any]]:  # fmt: skip
    rows = [
        {
            "category": code,
            "attribute": critical.attribute,
            "slot": critical.slot,
            "name": rulebook.attribute_name(critical.attribute),
            "rules": list(critical.rules),
            "parts_lacking": counts.lacking(code, critical),
            "positions": counts.asking(code, critical),
            "recent_checks": sum(counts.asked_lately.get((code, fact), 0)
                                 for fact in facts_asked_for(critical, rulebook)),
        }
        for code, critical in places
        if counts.in_use(code, critical)
    ]  # fmt: skip
    wanted = [row for row in rows if row["parts_lacking"]]
    return sorted(wanted, key=_most_wanted_first)


def _most_wanted_first(row: Mapping[str, Any]) -> tuple[Any, ...]:
    by_number = (-row["positions"], -row["recent_checks"], -row["parts_lacking"])
    return (*by_number, row["category"], row["attribute"], row["slot"] or "")


def _counted(category: str | None, lately: Numbers) -> _Counts:
    """`category` leaves out all others; without it nothing is asked of the category, which costs the least."""
    parts = Part.objects.filter(status=Status.ACTIVE, **_of("category", category))
    endless = Case(When(supplied_as__in=ENDLESS, then=Value(1)), default=Value(0))
    positions = Position.objects.filter(specification__status=Status.ACTIVE, **_of("category", category))
    demands = PositionDemand.objects.filter(
        position__specification__status=Status.ACTIVE, **_of("position__category", category)
    )
    return _Counts(
        parts=_numbers(parts.annotate(endless=endless).values_list("category", "endless").annotate(Count("id"))),
        having=_numbers(_having(category)),
        positions=_numbers(positions.values_list("category", "carries_fuel").annotate(Count("id"))),
        stating=_numbers(demands.values_list("position__category", "attribute", "slot")
                         .annotate(Count("position", distinct=True))),
        asked_lately=lately,
    )  # fmt: skip


def _of(column: str, category: str | None) -> dict[str, str]:
    return {} if category is None else {column: category}


def _having(category: str | None) -> QuerySet[Any, Any]:
    """How many parts have anything recorded, by category, attribute, slot and whether they are endless goods."""
    named = [When(attribute=code, then=Value(other)) for code, other in STANDS_FOR.items()]
    rows = PartAttribute.objects.filter(part__status=Status.ACTIVE, **_of("part__category", category)).annotate(
        named=Case(*named, default=F("attribute")),
        endless=Case(When(part__supplied_as__in=ENDLESS, then=Value(1)), default=Value(0)),
    )
    kept = rows.values_list("part__category", "named", "slot", "endless")
    return kept.annotate(Count("part", distinct=True))


def _numbers(rows: Iterable[Sequence[Any]]) -> dict[Any, int]:
    return {tuple(key): number for *key, number in rows}


def _asked_lately(since: datetime) -> tuple[Counter[tuple[str, str]], int, int]:
    """How often each missing fact was asked for, by the candidate's category; and of how many checks that is known.

    Answers are kept as text, so the latest are read and the others only counted.
    """
    checks = Check.objects.filter(verdict=Verdict.UNDETERMINED.value, checked_at__gte=since)
    answers = [json.loads(text) for text in
               checks.order_by("-checked_at").values_list("answer", flat=True)[:MOST_CHECKS]]  # fmt: skip
    asked = [(answer["use"][0]["part"]["id"], {fact["fact"] for fact in answer["missing"]})
             for answer in answers if answer["use"]]  # fmt: skip
    categories = dict(Part.objects.filter(pk__in={part for part, _ in asked if part}).values_list("pk", "category"))
    found = Counter((categories[part], fact) for part, facts in asked if part in categories for fact in facts)
    return found, len(answers), checks.count()


def _contradictions(category: str | None, critical: set[Spot]) -> tuple[list[dict[str, Any]], bool]:
    """Places of parts in use of which several sources say different things, in the order the parts were added.

    In that order the database stops as soon as it has found enough.
    """
    rows = PartAttribute.objects.filter(Exists(_otherwise()), part__status=Status.ACTIVE)
    if category is not None:
        rows = rows.filter(part__category=category)
    spots = rows.order_by("part", "attribute", "slot").values_list("part", "attribute", "slot").distinct()
    places = list(spots[: MOST_CONTRADICTIONS + 1])
    return _disagreements(places[:MOST_CONTRADICTIONS], critical), len(places) > MOST_CONTRADICTIONS


def _otherwise() -> QuerySet[PartAttribute]:
    """A later row of the same place that says something else."""
    ends = {f"{name}_end": Coalesce(name, Value(OPEN_END)) for name in ("lo", "hi")}
    rows = PartAttribute.objects.annotate(
        slot_text=Coalesce("slot", Value("")), codes_text=_codes_text("codes"), **ends
    )
    differs = ~Q(codes_text=_codes_text(OuterRef("codes")))
    for name in ("state", "form", "code"):
        differs |= ~Q(**{name: OuterRef(name)})
    for name in ("lo", "hi"):
        differs |= ~Q(**{f"{name}_end": Coalesce(OuterRef(name), Value(OPEN_END))})
    same_place = {"part": OuterRef("part"), "attribute": OuterRef("attribute")}
    return rows.filter(
        differs, slot_text=Coalesce(OuterRef("slot"), Value("")), pk__gt=OuterRef("pk"), **same_place
    )  # fmt: skip


def _codes_text(codes: Any) -> Coalesce:
    return Coalesce(Cast(codes, TextField()), Value("", output_field=TextField()))


def _disagreements(places: Sequence[tuple[Any, ...]], critical: set[Spot]) -> list[dict[str, Any]]:
    rows = PartAttribute.objects.filter(
        part__in={place[0] for place in places}, attribute__in={place[1] for place in places}
    )
    said: dict[tuple[Any, ...], list[PartAttribute]] = {place: [] for place in places}
    for row in rows.select_related("part__maker").defer("part__facts").order_by("id"):
        if (row.part_id, *row.place) in said:
            said[row.part_id, *row.place].append(row)
    return [
        {
            "part": part_name(values[0].part),
            "category": values[0].part.category,
            "attribute": place[1],
            "slot": place[2],
            "critical": (values[0].part.category, place[1], place[2]) in critical,
            "values": [
                {"value": write_value(row.value, units="as_given"), "source": source_document(row.source)}
                for row in values
            ],
        }
        for place, values in said.items()
    ]
