"""Rulebook documents: joined, canonical, compiled, refused by path, and never published looser than shipped."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.domain.answers import Answer, Effect
from catalog.domain.quantities import quantity
from catalog.domain.rulebook_document import (
    assemble,
    canonical,
    digest_of,
    publication_problems,
    rulebook_from_document,
)
from catalog.domain.rules import ComparisonKind, FuelRole
from service.errors import Invalid
from tests.demo_world import document

pytestmark = pytest.mark.domain
Document = dict[str, Any]
SOURCE = {"kind": "common_practice", "citation": "common practice, no source"}


def draft(change: Callable[[Document], object] | None = None) -> Document:
    copied: Document = copy.deepcopy(document())
    if change is not None:
        change(copied)
    return copied


def at(doc: Document, path: str) -> tuple[Any, str]:
    """The container of what a path names, and its last key."""
    node: Any = doc
    *way, last = path.strip("/").split("/")
    for key in way:
        node = node[int(key)] if isinstance(node, list) else node[key]
    return node, last


def put(path: str, value: object) -> Callable[[Document], object]:
    def change(doc: Document) -> None:
        node, last = at(doc, path)
        node[int(last) if isinstance(node, list) else last] = value

    return change


def drop(path: str) -> Callable[[Document], object]:
    def change(doc: Document) -> None:
        node, last = at(doc, path)
        del node[int(last) if isinstance(node, list) else last]

    return change


def add(path: str, value: object) -> Callable[[Document], object]:
    def change(doc: Document) -> None:
        node, last = at(doc, path)
        node[last].append(value)

    return change


def test_the_shipped_document_compiles_and_may_be_published() -> None:
    rulebook = rulebook_from_document(document(), number=3, digest="d")
    assert (rulebook.number, rulebook.digest) == (3, "d")
    assert publication_problems(document(), document()) == ()


def test_a_compiled_rule_says_what_its_document_says() -> None:
    rules = {rule.code: rule for rule in rulebook_from_document(document(), number=1).categories["injector"].rules}
    flow = rules["static_flow"]
    assert flow.comparison.kind is ComparisonKind.WITHIN
    assert flow.attributes == ("static_flow", "flow_pressure_difference", "flow_fluid")
    assert (flow.comparison.inner[0].minus_ppm, flow.comparison.inner[0].plus_ppm) == (30_000, 30_000)
    assert flow.comparison.outer[0].plus_ppm == 100_000
    assert flow.comparison.condition
    assert (flow.when_not_met, flow.when_unknown) == (Effect.REJECT, Effect.UNDETERMINED)
    assert rules["seal_length"].comparison.inner[0].plus == quantity("0.3", "mm").amount
    assert rules["seal_size"].slots == ("upper_seal", "lower_seal")


def test_gate_vocabularies_are_the_fuels_with_their_grades_and_the_classes() -> None:
    rulebook = rulebook_from_document(document(), number=1)
    assert {"diesel", "diesel:B7", "lpg_vapour:HD-5"} <= set(rulebook.attributes["fuels"].vocabulary)
    assert set(rulebook.attributes["fuel_service"].vocabulary) == set(rulebook.classes)
    assert rulebook.categories["hose_not_for_fuel"].fuel_role is FuelRole.NONE
    assert rulebook.tables.orders["hose_standards"].pairs["SAE_J30_R7", "SAE_J30_R6"] is Answer.MET


def test_the_order_of_keys_and_files_changes_nothing() -> None:
    text = canonical(document())
    shuffled = json.loads(json.dumps(document(), sort_keys=True))
    assert canonical(shuffled) == text
    assert rulebook_from_document(shuffled, number=1) == rulebook_from_document(document(), number=1)
    halves = {name: {name: rows} for name, rows in sorted(document().items(), reverse=True)}
    assert digest_of(assemble(halves)) == digest_of(document())


json_documents = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text("aé", max_size=4),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("abé", max_size=3), inner, max_size=3),
    max_leaves=12,
)


@given(st.dictionaries(st.text("ab", max_size=3), json_documents, max_size=3))
def test_a_canonical_text_reads_back_to_itself(found: dict[str, object]) -> None:
    text = canonical(found)
    assert canonical(json.loads(text)) == text
    assert ": " not in text
    assert ", " not in text


def test_composed_and_decomposed_letters_are_one_document() -> None:
    assert digest_of({"name": "caf\u00e9"}) == digest_of({"name": "cafe\u0301"})


def test_any_change_changes_the_digest() -> None:
    changed = draft(put("/categories/spark_plug/rules/reach/when_unknown", "condition"))
    assert digest_of(changed) != digest_of(document())
    assert len(digest_of(changed)) == 64


def test_inexact_numbers_are_refused_by_path() -> None:
    with pytest.raises(Invalid) as refused:
        canonical({"rows": [{"value": 0.3}]})
    assert refused.value.pointer == "/rows/0/value"


def test_two_files_may_not_hold_one_code_and_no_file_an_unknown_section() -> None:
    row: Document = {"fuels": {"gasoline": {}}}
    with pytest.raises(Invalid) as twice:
        assemble({"a": row, "b": row})
    assert (twice.value.code, twice.value.pointer) == ("held_twice", "/b/fuels/gasoline")
    with pytest.raises(Invalid) as unknown:
        assemble({"a": {"colours": []}})
    assert (unknown.value.code, unknown.value.pointer) == ("unknown_key", "/a/colours")


REACH = "/categories/spark_plug/rules/reach"
JOINTS = "/mate_tables/joints/joints"
MALFORMED = [
    (put("/categories/oil_filter/rules/bypass_setting/comparison/not_below", "unheard_of"),
     "/categories/oil_filter/rules/bypass_setting/comparison/not_below"),
    (put("/categories/belt/rules/belt_profile/comparison/table", "unheard_of"),
     "/categories/belt/rules/belt_profile/comparison/table"),
    (drop("/order_tables/belt_profiles/pairs/0/condition"), "/order_tables/belt_profiles/pairs/0/condition"),
    (put("/fuels", []), "/fuels"),
    (put("/extra", {}), "/extra"),
    (put(f"{REACH}/comparison/kind", "about"), f"{REACH}/comparison/kind"),
    (put(f"{REACH}/comparison/inner/0/both", {"value": "0.3", "unit": "kPa"}), f"{REACH}/comparison/inner/0/both"),
    (put(f"{REACH}/comparison/inner/0/both", {"value": "0.3", "unit": "g"}), f"{REACH}/comparison/inner/0/both"),
    (put(f"{REACH}/comparison/inner/0", {"percent": "three"}), f"{REACH}/comparison/inner/0/percent"),
    (put(f"{REACH}/comparison/inner/0", {"percent": "-3"}), f"{REACH}/comparison/inner/0/percent"),
    (put(f"{REACH}/when_not_met", "undetermined"), f"{REACH}/when_not_met"),
    (put(f"{REACH}/when_unknown", "reject"), f"{REACH}/when_unknown"),
    (put(f"{REACH}/rank", "first"), f"{REACH}/rank"),
    (put(f"{REACH}/colour", "red"), f"{REACH}/colour"),
    (put(f"{REACH}/approvable_by", "anyone"), f"{REACH}/approvable_by"),
    (put(f"{REACH}/slots", ["upper"]), f"{REACH}/slots"),
    (drop(f"{REACH}/source"), f"{REACH}/source"),
    (put(f"{REACH}/source/kind", "hearsay"), f"{REACH}/source/kind"),
    (put(f"{REACH}/attributes", ["depth"]), f"{REACH}/attributes"),
    (put(f"{REACH}/comparison", {"kind": "includes"}), f"{REACH}/comparison/kind"),
    (put(f"{REACH}/attributes", ["reach", "gap", "plug_hex", "plug_seat"]), f"{REACH}/comparison/kind"),
    (put(f"{REACH}/comparison/outer", [{"percent": "9"}]), f"{REACH}/comparison/condition"),
    (put("/categories/spark_plug/rules/electrode_material/comparison/table", "metals"),
     "/categories/spark_plug/rules/electrode_material/comparison/table"),
    (put("/categories/injector/rules/connector/comparison/table", "joints"),
     "/categories/injector/rules/connector/comparison/table"),
    (put("/categories/spark_plug/rules/resistor/when/0/one_of", ["perhaps"]),
     "/categories/spark_plug/rules/resistor/when"),
    (put("/categories/injector/ports", []), "/categories/injector/ports"),
    (put("/categories/injector/ports", ["bottom"]), "/categories/injector/ports"),
    (put("/categories/injector/never_covered", ["outlet"]), "/categories/injector/never_covered"),
    (put("/categories/spark_plug/attributes", []), "/categories/spark_plug/attributes"),
    (put("/categories/spark_plug/cautions", ["shark"]), "/categories/spark_plug/cautions"),
    (put("/categories/fuel_hose/assembly_only_classes", ["LPG-XX"]), "/categories/fuel_hose/assembly_only_classes"),
    (put("/attributes/reach/unit", "kPa"), "/attributes/reach/unit"),
    (put("/attributes/reach/dimension", "girth"), "/attributes/reach/dimension"),
    (put("/attributes/fuels/vocabulary_of", "colours"), "/attributes/fuels/vocabulary_of"),
    (put("/fuels/diesel/usual", "B9"), "/fuels/diesel/usual"),
    (put("/fuels/diesel/covered_by_bare_name", ["B9"]), "/fuels/diesel/covered_by_bare_name"),
    (put("/service_classes/DSL-L/grades", ["diesel:B9"]), "/service_classes/DSL-L/grades"),
    (put("/code_floors/0/value", {"value": "350", "unit": "psi", "reference": "absolute"}),
     "/code_floors/0/value/reference"),
    (put("/code_floors/0/attribute", "colour"), "/code_floors/0/attribute"),
    (drop("/categories/regulator/rules/shut_off_engine_building/asks/question"),
     "/categories/regulator/rules/shut_off_engine_building/asks/question"),
    (put("/categories/regulator/rules/fuel_side_material/inside_assembly", "always"),
     "/categories/regulator/rules/fuel_side_material/inside_assembly"),
    (put("/code_floors/0/category", "piano"), "/code_floors"),
    (put("/covers/0/covers", ["LPG-XX"]), "/covers"),
    (add("/may_serve", {"offered": "piano", "position": "injector", "source": SOURCE}), "/may_serve"),
    (put("/never_serves/0/made_for", ["LPG-XX"]), "/never_serves"),
    (put("/never_serves/0/roles", ["pumping"]), "/never_serves/0/roles"),
    (put("/order_tables/oil_services/chains/0", ["API_SJ", "API_SL", "API_SJ"]), "/order_tables/oil_services/chains/0"),
    (add("/order_tables/cng_fill_profiles/pairs", {"offered": "P24", "demanded": "B250", "answer": "met"}),
     "/order_tables/cng_fill_profiles/pairs"),
    (put("/order_tables/cng_fill_profiles/pairs/6/answer", "met"), "/order_tables/cng_fill_profiles/pairs"),
    (put("/attributes/fill_profile/vocabulary", ["P12", "P24", "P30"]),
     "/categories/fitting/rules/fill_profile/comparison/table"),
    (drop(f"{JOINTS}/rows/0/cells/nptf"), f"{JOINTS}/rows/0/cells"),
    (drop(f"{JOINTS}/rows/0"), f"{JOINTS}/rows"),
    (put(f"{JOINTS}/rows/0/cells/nptf", {"answer": "not_met"}), f"{JOINTS}/rows"),
    (put(f"{JOINTS}/rows/1/external", "npt"), f"{JOINTS}/rows/1/external"),
    (put(f"{JOINTS}/threads/0/angle", "steep"), f"{JOINTS}/threads/0/angle"),
    (put(f"{JOINTS}/look_alikes/0/sizes/0", ["1/2"]), f"{JOINTS}/look_alikes/0/sizes/0"),
    (add("/order_tables/electrodes/pairs", {"offered": "tin", "demanded": "nickel", "answer": "met"}),
     "/order_tables/electrodes/pairs"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "path"), MALFORMED, ids=[f"{number} {path}" for number, (_, path) in enumerate(MALFORMED)]
)
def test_a_malformed_document_is_refused_by_the_path_of_what_is_wrong(
    change: Callable[[Document], object], path: str
) -> None:
    changed = draft(change)
    with pytest.raises(Invalid) as refused:
        rulebook_from_document(changed, number=1)
    assert refused.value.pointer == path
    assert path in refused.value.message
    assert any(path in problem.pointer for problem in publication_problems(changed, document()))


HOSE, PLUG = "/categories/fuel_hose", "/categories/spark_plug"
LOOSER = [
    (put(f"{REACH}/when_unknown", "note"), f"{REACH}/when_unknown"),
    (add("/covers", {"recorded": "LPG-V2", "covers": ["LPG-CL"], "source": SOURCE}), "/covers"),
    (put("/covers/0/covers", ["GAS-LP", "GAS-E85"]), "/covers"),
    (put("/fuels/diesel/covered_by_bare_name", ["B0", "B5", "B7", "B100"]), "/fuels/diesel/covered_by_bare_name"),
    (put("/fuels/gasoline/grades", ["E0", "E10"]), "/fuels/gasoline/grades"),
    (put("/service_classes/LPG-CL/gas", False), "/service_classes/LPG-CL"),
    (put("/service_classes/LPG-CV/container_pressure", False), "/service_classes/LPG-CV"),
    (put("/service_classes/DSL-L/grades", []), "/service_classes/DSL-L/grades"),
    (put("/categories/injector/fuel_role", "wetted"), "/categories/injector/fuel_role"),
    (put(f"{HOSE}/fuel_role", "none"), f"{HOSE}/fuel_role"),
    (put(f"{HOSE}/assembly_only_classes", ["LPG-CL"]), f"{HOSE}/assembly_only_classes"),
    (put(f"{HOSE}/loose_seal", True), f"{HOSE}/loose_seal"),
    (put(f"{PLUG}/emission_listed", False), f"{PLUG}/emission_listed"),
    (put("/categories/hose_not_for_fuel/not_made_for_fuel", False), "/categories/hose_not_for_fuel/not_made_for_fuel"),
    (put("/code_floors", []), "/code_floors"),
    (put("/code_floors/0/value", {"value": "300", "unit": "psi", "reference": "gauge"}), "/code_floors"),
    (put("/code_floors/0/classes", ["LPG-CV"]), "/code_floors"),
    (put("/code_floors/0/value", {"state": "known_none"}), "/code_floors"),
    (put("/code_floors/0/unless_stated", True), "/code_floors"),
    (put("/categories/container/never_covered", []), "/categories/container/never_covered"),
    (put("/categories/container/each_piece", ""), "/categories/container/each_piece"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "path"), LOOSER, ids=[f"{number} {path}" for number, (_, path) in enumerate(LOOSER)]
)
def test_a_draft_looser_than_the_shipped_rulebook_is_not_published(
    change: Callable[[Document], object], path: str
) -> None:
    assert any(path in problem.pointer for problem in publication_problems(draft(change), document()))


TIGHTER = [
    drop("/covers/0"),
    put("/fuels/diesel/covered_by_bare_name", ["B7"]),
    put(f"{HOSE}/fuel_role", "metering"),
    put("/code_floors/0/value", {"value": "400", "unit": "psi", "reference": "gauge"}),
    put(f"{REACH}/when_unknown", "condition"),
    put(f"{PLUG}/rules/plug_hex/when_not_met", "condition"),
    drop(PLUG),
]


@pytest.mark.parametrize("number", range(len(TIGHTER)))
def test_a_draft_as_tight_or_tighter_may_be_published(number: int) -> None:
    assert publication_problems(draft(TIGHTER[number]), document()) == ()


RATINGS = {"name": "seal materials", "source": SOURCE, "windows": [], "grades": [
    {"material": "NBR", "medium": "propane", "grade": "3", "source": SOURCE}]}  # fmt: skip


def test_a_published_grade_of_a_seal_material_may_get_worse_and_never_better() -> None:
    shipped = draft(put("/rating_tables/seal_material", RATINGS))
    assert publication_problems(shipped, shipped) == ()
    # Nothing published would be a cannot-tell, which a maker's statement turns into a yes; a published no stays one.
    for grade, kept in (("1", False), ("4", True), ("X", False)):
        changed = copy.deepcopy(shipped)
        put("/rating_tables/seal_material/grades/0/grade", grade)(changed)
        assert (publication_problems(changed, shipped) == ()) is kept


@settings(max_examples=15)
@given(st.data())
def test_dropping_covers_never_stops_a_publication_and_adding_any_pair_does(data: st.DataObject) -> None:
    rulebook = rulebook_from_document(document(), number=1)
    classes = sorted(rulebook.classes)
    pair = data.draw(st.tuples(st.sampled_from(classes), st.sampled_from(classes)))
    row = {"recorded": pair[0], "covers": [pair[1]], "source": SOURCE}
    problems = publication_problems(draft(add("/covers", row)), document())
    assert (problems == ()) is (pair in rulebook.covers)
