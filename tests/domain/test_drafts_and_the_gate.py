"""No draft that may be published opens the gate: every ordered pair of classes, every rubber in every medium."""

from __future__ import annotations

import copy
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from catalog.domain.answers import Answer, Effect, Verdict
from catalog.domain.checking import decide
from catalog.domain.findings import Lead
from catalog.domain.folding import verdict_of
from catalog.domain.parts import MATERIAL, Medium, SuppliedAs
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.questions import Question
from catalog.domain.rulebook_document import publication_problems, rulebook_from_document
from catalog.domain.rules import FuelRole, Rulebook
from tests.domain.drafted_rulebooks import (
    KEPT,
    MATERIALS,
    MEDIA,
    NEW,
    PAIRS,
    SOURCE,
    Document,
    as_shipped,
    at_gate,
    bare,
    below_the_floor,
    by_class,
    by_material,
    drafts,
    drafts_of_a_floor,
    shipped,
)

pytestmark = pytest.mark.domain
YES = (Verdict.ACCEPTED, Verdict.CONDITIONAL)
law = settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
PLACES = ("injector", "fuel_hose", "seal")


@cache
def refused_as_shipped(offered: str, asked: str, *, graded: bool, specified: bool) -> tuple[Question, ...]:
    """The questions over every pair of classes to which the shipped gate says anything but yes."""
    every = (by_class(offered, asked, pair, graded=graded, specified=specified) for pair in PAIRS)
    return tuple(question for question in every if at_gate(as_shipped(), question) not in YES)


@law
@given(drafts(), st.sampled_from([*KEPT, NEW]), st.sampled_from(PLACES), st.booleans(), st.booleans())
def test_no_draft_that_may_be_published_lets_a_class_through_that_the_shipped_gate_does_not(
    draft: Document, offered: str, asked: str, graded: bool, specified: bool
) -> None:
    if publication_problems(draft, shipped()):
        event("refused")
        return
    event("published")
    drafted = bare(draft)
    let_in = {(row["offered"], row["position"]) for row in draft["may_serve"]}
    for question in refused_as_shipped(offered, asked, graded=graded, specified=specified):
        if at_gate(drafted, question) in YES:
            # A draft may let a stricter kind of part stand in for another; its classes are then held to as before.
            assert (offered, asked) in let_in
            assert by_class_alone(as_shipped(), question) in YES


def by_class_alone(rulebook: Rulebook, question: Question) -> Verdict:
    """What the gate says, whatever the category of the part."""
    found = decide(replace(question, rulebook=rulebook)).findings
    return verdict_of(tuple(finding for finding in found if finding.lead is Lead.GATE))


def test_the_shipped_gate_refuses_pairs_at_every_place_asked_about() -> None:
    for place in PLACES:
        for specified in (True, False):
            assert len(refused_as_shipped(place, place, graded=True, specified=specified)) > len(PAIRS) / 2
            assert len(refused_as_shipped("hose_not_for_fuel", place, graded=True, specified=specified)) == len(PAIRS)


@law
@given(drafts(), st.booleans(), st.booleans())
def test_a_category_that_was_never_shipped_is_held_to_the_shipped_table(
    draft: Document, graded: bool, specified: bool
) -> None:
    if NEW not in draft["categories"] or publication_problems(draft, shipped()):
        return
    drafted = bare(draft)
    role = drafted.categories[NEW].fuel_role
    judged = {FuelRole.METERING: "injector", FuelRole.WETTED: "fuel_hose"}.get(role)
    for pair in PAIRS:
        like = judged and at_gate(as_shipped(), by_class(judged, judged, pair, graded=graded, specified=specified))
        if like not in YES:
            question = by_class(NEW, NEW, pair, graded=graded, specified=specified)
            assert at_gate(drafted, question) not in YES


@law
@given(drafts(), st.sampled_from([*MEDIA, "trial oil"]), st.none() | st.integers(20, 300), st.booleans())
def test_no_draft_lets_a_loose_seal_through_that_the_published_ratings_do_not(
    draft: Document, medium: str, hot: int | None, specified: bool
) -> None:
    if publication_problems(draft, shipped()):
        return
    drafted, window = bare(draft), None
    if hot is not None:
        end = Quantity(hot * 1_000, Dimension.TEMPERATURE, "degC")
        window = Interval(end, end)
    for material in (*MATERIALS, "trial rubber"):
        question = by_material("seal", material, Medium(medium, window), specified=specified)
        if at_gate(as_shipped(), question) not in YES:
            assert at_gate(drafted, question) not in YES


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(drafts_of_a_floor(), st.sampled_from(SuppliedAs), st.booleans())
def test_no_draft_accepts_a_hose_below_what_published_codes_ask(
    draft: Document, supplied_as: SuppliedAs, stated: bool
) -> None:
    """CSA B149.1 clause 6.2.10 as publicly transcribed, and the scope of UL 21: 350 psi at container pressure."""
    if publication_problems(draft, shipped()):
        event("refused")
        return
    event("published")
    question = below_the_floor(supplied_as, stated=stated)
    found = decide(replace(question, rulebook=rulebook_from_document(draft, number=1))).findings
    assert [f.effect for f in found if f.attribute == "working_pressure"] == [Effect.REJECT]


def changed(path: str, value: object) -> Document:
    draft = copy.deepcopy(shipped())
    node: Any = draft
    *way, last = path.strip("/").split("/")
    for key in way:
        node = node[int(key)] if isinstance(node, list) else node[key]
    if value is None:
        del node[int(last) if isinstance(node, list) else last]
    elif isinstance(node, list):
        node.append(value)
    else:
        node[last] = value
    return draft


RATED = f"/rating_tables/{MATERIAL}"
HOSE = "/categories/fuel_hose"
PRESSURE = f"{HOSE}/rules/working_pressure"
VALVE = {"name": "trial valve", "noun": "trial valve", "attributes": [], "rules": {}}
SEAL_RULE = "/categories/seal/rules/seal_material/comparison/table"
DOORS = [
    ("/service_classes/GAS-PI/grades", ["gasoline:E0"], "/service_classes/GAS-PI/grades"),
    ("/service_classes/LPG-CL/grades", ["lpg_liquid:autogas"], "/service_classes/LPG-CL/grades"),
    ("/service_classes/DSL-L", None, "/service_classes/DSL-L"),
    ("/service_classes/CNG-H/fuel_family", "natural gas", "/service_classes/CNG-H/fuel_family"),
    ("/fuels/other_gas/usual", "wellhead", "/fuels/other_gas/usual"),
    ("/fuels/gasoline/usual", "", "/fuels/gasoline/usual"),
    ("/fuels/diesel/grades", ["B0", "B5", "B7", "B20", "B30", "B100", "HVO"], "/fuels/diesel/grades"),
    ("/fuels/diesel", None, "/fuels/diesel"),
    ("/categories/hose_not_for_fuel", None, "/categories/hose_not_for_fuel"),
    ("/categories/seal/loose_seal", False, "/categories/seal/loose_seal"),
    ("/categories/injector/loose_seal", True, "/categories/injector/loose_seal"),
    ("/categories/injector/ports", ["inlet", "outlet"], "/categories/injector/ports"),
    ("/categories/trial_valve", {**VALVE, "fuel_role": "none", "ports": ["inlet"]},
     "/categories/trial_valve/fuel_role"),
    ("/categories/trial_valve", {**VALVE, "fuel_role": "control", "attributes": ["fuel_service", "fuels"]},
     "/categories/trial_valve/fuel_role"),
    ("/categories/trial_valve", {**VALVE, "fuel_role": "none", "attributes": ["fuels"]},
     "/categories/trial_valve/fuel_role"),
    ("/categories/trial_valve", {**VALVE, "fuel_role": "metering", "attributes": ["fuel_service"], "ports": ["inlet"],
                                 "loose_seal": True}, "/categories/trial_valve/loose_seal"),
    ("/may_serve/-1", {"offered": "fuel_hose", "position": "injector", "source": SOURCE}, "/may_serve"),
    ("/may_serve/-1", {"offered": "spark_plug", "position": "fuel_hose", "source": SOURCE}, "/may_serve"),
    ("/may_serve/-1", {"offered": "hose_not_for_fuel", "position": "fuel_hose", "source": SOURCE}, "/may_serve"),
    (f"{RATED}/grades/-1", {"material": "trial rubber", "medium": "gasoline", "grade": "1", "source": SOURCE},
     f"{RATED}/grades"),
    (RATED, None, RATED),
    (f"{RATED}/windows/0", None, f"{RATED}/windows"),
    (f"{RATED}/windows/0/window", {"min": "-30", "max": "400", "unit": "degC"}, f"{RATED}/windows"),
    ("/attributes/working_pressure/of_piece", True, "/attributes/working_pressure/of_piece"),
    ("/attributes/ambient/kind", "quantity", "/attributes/ambient"),
    (PRESSURE, None, PRESSURE),
    (f"{PRESSURE}/when_not_met", "note", PRESSURE),
    (f"{PRESSURE}/when_unknown", "condition", PRESSURE),
    (f"{PRESSURE}/comparison/kind", "at_most", PRESSURE),
    (f"{PRESSURE}/aspect", "fit", PRESSURE),
    (f"{PRESSURE}/when", [{"fact": "dusty", "one_of": ["yes"]}], PRESSURE),
    (f"{PRESSURE}/inside_assembly", True, PRESSURE),
    (f"{PRESSURE}/asks", {"fact": "inspector", "question": "Does the inspector allow it?"}, PRESSURE),
    ("/code_floors/1/unless_stated", True, "/code_floors"),
    ("/code_floors/1/value", {"min": None, "max": "400", "unit": "psi", "reference": "gauge"}, "/code_floors"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("path", "value", "pointer"), DOORS, ids=[f"{number} {path}" for number, (path, _, _) in enumerate(DOORS)]
)
def test_each_door_is_shut_and_the_sentence_says_where(path: str, value: object, pointer: str) -> None:
    problems = publication_problems(changed(path, value), shipped())
    assert pointer in {problem.pointer for problem in problems if problem.code == "looser_than_shipped"}
    assert all(problem.detail.endswith(".") for problem in problems if problem.code == "looser_than_shipped")


def test_a_pair_that_is_refused_is_shown_in_the_sentence() -> None:
    draft = copy.deepcopy(shipped())
    draft["covers"].append({"recorded": "LPG-V2", "covers": ["LPG-CL"], "source": SOURCE})
    (problem,) = publication_problems(draft, shipped())
    assert problem.detail.startswith("LPG-V2 covers LPG-CL is not in the shipped table")


def test_material_is_rated_by_the_published_table_under_whatever_name_a_draft_brings_another() -> None:
    draft = copy.deepcopy(shipped())
    rule = next(
        (category, name)
        for category, row in draft["categories"].items()
        for name, rule in row["rules"].items()
        if rule["comparison"].get("table") == MATERIAL
    )
    kind = {"material": "NBR", "medium": "lpg_liquid", "grade": "1", "source": SOURCE}
    draft["rating_tables"]["kinder"] = {"name": "kinder", "source": SOURCE, "windows": [], "grades": [kind]}
    draft["categories"][rule[0]]["rules"][rule[1]]["comparison"]["table"] = "kinder"
    (problem,) = publication_problems(draft, shipped())
    assert problem.pointer == f"/categories/{rule[0]}/rules/{rule[1]}/comparison/table"


TIGHTER = [
    (f"{RATED}/grades/0/grade", "4"),
    (f"{RATED}/windows/0/window", {"min": "-20", "max": "80", "unit": "degC"}),
    ("/may_serve/-1", {"offered": "injector", "position": "fuel_hose", "condition": "tried", "source": SOURCE}),
    ("/categories/trial_valve", {**VALVE, "fuel_role": "metering", "attributes": ["fuel_service"], "ports": ["inlet"]}),
    ("/categories/trial_bracket", {**VALVE, "fuel_role": "none"}),
    ("/code_floors/1/value", {"value": "400", "unit": "psi", "reference": "gauge"}),
    (f"{PRESSURE}/rank", 1),
]


@pytest.mark.parametrize("number", range(len(TIGHTER)))
def test_what_is_as_tight_may_be_published(number: int) -> None:
    assert publication_problems(changed(*TIGHTER[number]), shipped()) == ()


def test_what_a_draft_no_longer_holds_is_judged_by_nothing_and_never_a_yes() -> None:
    without = changed("/categories/seal", None)
    assert publication_problems(without, shipped()) == ()
    question = by_material("seal", "NBR", Medium("gasoline"), specified=True)
    assert (at_gate(as_shipped(), question), at_gate(bare(without), question)) == (
        Verdict.ACCEPTED, Verdict.UNDETERMINED,
    )  # fmt: skip


def test_a_position_that_fuel_reaches_of_a_kind_that_it_does_not_is_never_a_yes() -> None:
    """Were the position's category changed to one the gate does not ask, its recorded classes would go unheard."""
    question = by_class("spark_plug", "spark_plug", ("GAS-PI", "LPG-VI"), graded=True, specified=True)
    assert decide(question).verdict is Verdict.UNDETERMINED
    plain = by_class("hose_not_for_fuel", "hose_not_for_fuel", ("GAS-PI", "LPG-VI"), graded=True, specified=True)
    decision = decide(plain)
    assert (decision.verdict, decision.findings[0].outcome) == (Verdict.UNDETERMINED, Answer.UNKNOWN)
    assert decision.catalogue_errors


def test_every_malformed_row_is_told_at_once_at_its_own_place() -> None:
    draft = copy.deepcopy(shipped())
    draft["categories"]["fuel_hose"]["rules"]["working_pressure"]["rank"] = "first"
    draft["attributes"]["hose_bore"]["colour"] = "red"
    draft["covers"][0] = {"recorded": "GAS-PI", "covers": "GAS-LP", "source": SOURCE}
    draft["covers"][2]["source"] = {"kind": "hearsay", "citation": "x"}
    pointers = {problem.pointer for problem in publication_problems(draft, shipped())}
    assert pointers == {f"{PRESSURE}/rank", "/attributes/hose_bore/colour", "/covers/0/covers",
                        "/covers/2/source/kind"}  # fmt: skip
