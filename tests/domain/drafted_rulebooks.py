"""Drafts of the shipped rulebook with anything changed that bears on the gate, and what the gate then says."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache
from itertools import permutations
from typing import Any

from hypothesis import strategies as st

from catalog.domain.answers import COMMON_PRACTICE, Basis, Verdict
from catalog.domain.applicability import Applicability, Application
from catalog.domain.checking import decide
from catalog.domain.findings import Lead
from catalog.domain.folding import verdict_of
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import (
    MATERIAL,
    SERVICE,
    Medium,
    Part,
    PortClasses,
    Position,
    Statement,
    StatementKind,
    SuppliedAs,
)
from catalog.domain.quantities import quantity
from catalog.domain.questions import Engine, Item, Question
from catalog.domain.rulebook_differences import differences
from catalog.domain.rulebook_document import rulebook_from_document
from catalog.domain.rulebook_rows import split
from catalog.domain.rules import Rulebook
from catalog.domain.values import Demand, Offer, Place, Value
from tests.demo_world import document

Document = dict[str, Any]
KEPT = ("injector", "fuel_hose", "seal", "spark_plug", "hose_not_for_fuel")
NEW = "trial_valve"
SOURCE = {"kind": "common_practice", "citation": "common practice, no source"}
GRADED = {"GAS": "gasoline:E10", "LPG": "lpg_liquid:HD-5", "NG": "natural_gas:pipeline gas",
          "CNG": "natural_gas:CNG", "DSL": "diesel:B7", "BIO": "diesel:B20"}  # fmt: skip


@cache
def shipped() -> Document:
    """The reference with the categories that the gate judges each in its own way; the others ask nothing more."""
    whole: Document = copy.deepcopy(document())
    whole["categories"] = {code: whole["categories"][code] for code in KEPT}
    whole["code_floors"] = [row for row in whole["code_floors"] if row["category"] in KEPT]
    whole["may_serve"] = [row for row in whole["may_serve"] if {row["offered"], row["position"]} <= set(KEPT)]
    return whole


def bare(doc: Document) -> Rulebook:
    """Compiled without its rules: what is left is the gate."""
    compiled = rulebook_from_document(doc, number=1)
    return replace(compiled, categories={c: replace(row, rules=()) for c, row in compiled.categories.items()})


@cache
def as_shipped() -> Rulebook:
    return bare(shipped())


CLASSES = tuple(shipped()["service_classes"])
PAIRS = tuple(permutations(CLASSES, 2))
GRADED_FUELS = tuple(f"{code}:{grade}" for code, fuel in shipped()["fuels"].items() for grade in fuel["grades"])
MATERIALS = tuple(dict.fromkeys(row["material"] for row in shipped()["rating_tables"][MATERIAL]["grades"]))
MEDIA = tuple(dict.fromkeys(row["medium"] for row in shipped()["rating_tables"][MATERIAL]["grades"]))

codes = st.sampled_from(CLASSES)
flags = st.booleans()
categories = st.sampled_from(KEPT)
some = st.lists
grades = st.sampled_from(["1", "2", "3", "4", "X", "0"])


class Draft(dict[str, Any]):
    """A document that shows what was changed of it: the whole of it says nothing."""

    def __repr__(self) -> str:
        return " ".join(found.text for found in differences(split(shipped()), split(self)))


@st.composite
def drafts(draw: st.DrawFn) -> Document:
    """The shipped document with one to three changes, tightening or loosening."""
    doc = copy.deepcopy(shipped())
    for change in draw(st.lists(st.sampled_from(CHANGES), min_size=1, max_size=3)):
        change(draw, doc)
    return Draft(doc)


def _covers(draw: st.DrawFn, doc: Document) -> None:
    if draw(flags) and doc["covers"]:
        doc["covers"].pop(draw(st.integers(0, len(doc["covers"]) - 1)))
    else:
        doc["covers"].append({"recorded": draw(codes), "covers": [draw(codes)], "source": SOURCE})


def _service_class(draw: st.DrawFn, doc: Document) -> None:
    code = draw(codes)
    if draw(st.integers(0, 5)) == 0:
        doc["service_classes"].pop(code, None)
    elif code in doc["service_classes"]:
        row = doc["service_classes"][code]
        row |= {"gas": draw(flags), "container_pressure": draw(flags)}
        if draw(flags):
            row["grades"] = draw(some(st.sampled_from(GRADED_FUELS), unique=True, max_size=3))


def _fuel(draw: st.DrawFn, doc: Document) -> None:
    code = draw(st.sampled_from(sorted(doc["fuels"])))
    row = doc["fuels"][code]
    if draw(st.integers(0, 5)) == 0:
        del doc["fuels"][code]
        return
    if draw(flags):
        row["covered_by_bare_name"] = draw(some(st.sampled_from(row["grades"]), unique=True, max_size=4))
    if draw(flags):
        row["usual"] = draw(st.sampled_from(["", *row["grades"]]))
    if draw(flags):
        row["grades"] = [*row["grades"], "trial"]


def _category(draw: st.DrawFn, doc: Document) -> None:
    code = draw(categories)
    row = doc["categories"].get(code)
    if row is None:
        return
    what = draw(st.sampled_from(["fuel_role", "ports", "loose_seal", "not_made_for_fuel", "never_covered", "drop"]))
    if what == "drop":
        del doc["categories"][code]
    elif what == "fuel_role":
        row[what] = draw(st.sampled_from(["metering", "wetted", "combustion", "control", "none"]))
    elif what in ("ports", "never_covered"):
        row[what] = draw(some(st.sampled_from(["inlet", "outlet", "inside"]), unique=True, max_size=2))
    else:
        row[what] = draw(flags)


def _may_serve(draw: st.DrawFn, doc: Document) -> None:
    doc["may_serve"].append({"offered": draw(categories), "position": draw(categories), "source": SOURCE})


def _new_category(draw: st.DrawFn, doc: Document) -> None:
    """A kind of component nobody shipped, let in wherever the draft likes."""
    doc["categories"][NEW] = {
        "name": "trial valve",
        "noun": "trial valve",
        "fuel_role": draw(st.sampled_from(["metering", "wetted", "combustion", "control", "none"])),
        "attributes": draw(some(st.sampled_from([SERVICE, "fuels", MATERIAL]), unique=True)),
        "ports": draw(some(st.sampled_from(["inlet", "inside"]), unique=True)),
        "loose_seal": draw(flags),
        "rules": {},
    }
    doc["may_serve"].append({"offered": NEW, "position": draw(categories), "source": SOURCE})


def _rating(draw: st.DrawFn, doc: Document) -> None:
    table = doc["rating_tables"].get(MATERIAL)
    if table is None or draw(st.integers(0, 9)) == 0:
        doc["rating_tables"].pop(MATERIAL, None)
        return
    material, medium = draw(st.sampled_from([*MATERIALS, "trial rubber"])), draw(st.sampled_from([*MEDIA, "trial oil"]))
    kept = [row for row in table["grades"] if (row["material"], row["medium"]) != (material, medium)]
    if draw(flags):
        kept.append({"material": material, "medium": medium, "grade": draw(grades), "source": SOURCE})
    table["grades"] = kept


def _window(draw: st.DrawFn, doc: Document) -> None:
    table = doc["rating_tables"].get(MATERIAL)
    if table is None:
        return
    material = draw(st.sampled_from(MATERIALS))
    windows = [row for row in table["windows"] if row["material"] != material]
    if draw(flags):
        low, high = draw(st.integers(-80, 0)), draw(st.integers(20, 300))
        window = {"min": str(low), "max": str(high), "unit": "degC"}
        windows.append({"material": material, "window": window, "source": SOURCE})
    table["windows"] = windows


def _attribute(draw: st.DrawFn, doc: Document) -> None:
    row = doc["attributes"][draw(st.sampled_from([SERVICE, "fuels", MATERIAL, "working_pressure", "max_pressure"]))]
    what = draw(st.sampled_from(["of_piece", "fuel_dependent", "kind", "dimension"]))
    if what == "kind":
        row[what] = draw(st.sampled_from(["choice", "choices", "code_list", "quantity", "range"]))
    elif what == "dimension":
        row |= {"dimension": "pressure_absolute", "unit": "kPa"}
    else:
        row[what] = draw(flags)


CHANGES: tuple[Callable[[st.DrawFn, Document], None], ...] = (
    _covers, _service_class, _fuel, _category, _may_serve, _new_category, _rating, _window, _attribute,
)  # fmt: skip


@st.composite
def drafts_of_a_floor(draw: st.DrawFn) -> Document:
    """The shipped document with the floor of a hose's pressure, or the rule that asks it, changed in some way."""
    doc = copy.deepcopy(shipped())
    rule = doc["categories"]["fuel_hose"]["rules"]["working_pressure"]
    rule |= draw(
        st.fixed_dictionaries(
            {},
            optional={
                "when_not_met": st.sampled_from(["reject", "condition", "note"]),
                "when_unknown": st.sampled_from(["undetermined", "condition"]),
                "aspect": st.sampled_from(["pressure", "fit", "performance"]),
                "taken_over": st.sampled_from(["capacity", "none", "same"]),
                "when": st.sampled_from([[], [{"fact": "dusty", "one_of": ["yes"]}]]),
                "only_where_stated": flags,
                "inside_assembly": flags,
                "rank": st.integers(0, 200),
                "comparison": st.sampled_from([{"kind": "at_least"}, {"kind": "at_most"}]),
            },
        )
    )
    doc["attributes"]["working_pressure"] |= draw(
        st.fixed_dictionaries({}, optional={"of_piece": flags, "fuel_dependent": flags, "geometry": flags})
    )
    for row in doc["code_floors"]:
        if row["category"] == "fuel_hose" and draw(flags):
            asked = draw(st.integers(1, 800))
            row |= {"value": {"value": str(asked), "unit": "psi", "reference": "gauge"}, "unless_stated": draw(flags)}
    return Draft(doc)


def at_gate(rulebook: Rulebook, question: Question) -> Verdict:
    """What the gate and the category come to, whatever the rules say of the rest.

    Where the position's category is not in the rulebook the gate has nothing to say, and the whole answer counts.
    """
    decision = decide(replace(question, rulebook=rulebook))
    found = [finding for finding in decision.findings if finding.lead in (Lead.GATE, Lead.CATEGORY)]
    return verdict_of(found) if found else decision.verdict


def burned_behind(service: str, *, graded: bool) -> Fuel:
    fuel = Fuel.parse(GRADED[service.split("-", maxsplit=1)[0]])
    return fuel if graded else Fuel(fuel.code)


def by_class(offered: str, asked: str, pair: tuple[str, str], *, graded: bool, specified: bool) -> Question:
    """A part made for one class where another is needed; `specified` where the engine's maker names it all the same."""
    made_for, needed = pair
    ports = tuple(PortClasses(port, (needed,)) for port in ("inlet", "inside"))
    served = (Offer(Value((made_for,)), COMMON_PRACTICE),)
    part = Part("VRD", "1", offered, {(SERVICE, port): served for port in ("inlet", "inside")})
    return _asked(part, Position("place", asked, ports=ports), burned_behind(needed, graded=graded), specified)


def by_material(asked: str, material: str, medium: Medium, *, specified: bool) -> Question:
    """A seal known only by its rubber, where one medium reaches it."""
    position = Position("place", asked, ports=(PortClasses("inside", ("GAS-PI",)),), media=(medium,))
    part = Part("VRD", "1", asked, {(MATERIAL, None): (Offer(Value((material,)), COMMON_PRACTICE),)})
    return _asked(part, position, Fuel.parse("gasoline:E10"), specified)


def below_the_floor(supplied_as: SuppliedAs, *, stated: bool) -> Question:
    """A hose rated for 100 psi where liquid LP-gas stands at container pressure, for which codes ask 350."""
    rated = Value(quantity("100", "psi", "gauge"))
    offers = {
        ("working_pressure", None): (Offer(rated, COMMON_PRACTICE),),
        (SERVICE, "inside"): (Offer(Value(("LPG-CL",)), COMMON_PRACTICE),),
    }
    part = Part("VRD", "1", "fuel_hose", offers, supplied_as=supplied_as)
    needs: dict[Place, tuple[Demand, ...]] = {}
    if stated:
        needs = {("working_pressure", None): (Demand(rated, Basis.STATED, COMMON_PRACTICE),)}
    place = Position("place", "fuel_hose", ports=(PortClasses("inside", ("LPG-CL",)),), demands=needs)
    return _asked(part, place, Fuel.parse("lpg_liquid:HD-5"), specified=False)


def _asked(part: Part, position: Position, fuel: Fuel, specified: bool) -> Question:
    here = Statement(StatementKind.SPECIFIED, part, "place", Applicability(all_fuels=(fuel,)), "VRD", COMMON_PRACTICE)
    engine = Engine("E", (fuel,), (position,), (here,) if specified else ())
    record = FuelRecord((fuel,), RecordMode.ONLY_FUEL, date(2026, 1, 12))
    application = Application("E", fuel_records=(record,), certified=False)
    return Question(as_shipped(), (Item(part),), application, engine, "place")
