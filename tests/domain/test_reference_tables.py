"""Published tables of a rulebook: compiled as they stand, refused by path where they have slipped, in the digest."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from catalog.domain.quantities import quantity
from catalog.domain.reference_tables import ReferenceTables
from catalog.domain.rulebook_document import assemble, digest_of, publication_problems, rulebook_from_document
from service.errors import Invalid
from tests.demo_world import FIXTURES

pytestmark = pytest.mark.domain
Document = dict[str, Any]
FILES = ("ring_sizes", "ring_glands", "tolerances", "viscosity_grades")
SIZES, GLANDS = "/reference_tables/ring_sizes", "/reference_tables/ring_glands"
ISO_286, ISO_2768 = "/reference_tables/iso_286", "/reference_tables/iso_2768"
J300 = "/reference_tables/sae_j300"


@cache
def shipped() -> Document:
    folder = FIXTURES / "reference"
    return assemble({stem: json.loads((folder / f"{stem}.json").read_text(encoding="utf-8")) for stem in FILES})


def compiled(document: Document) -> ReferenceTables:
    return rulebook_from_document(document, number=1).tables.reference


def row_of(document: Document, table: str, **wanted: str) -> tuple[int, Document]:
    rows = document["reference_tables"][table]["rows"]
    return next((n, row) for n, row in enumerate(rows) if all(row.get(key) == found for key, found in wanted.items()))


def test_every_table_is_compiled_under_its_kind() -> None:
    tables = compiled(shipped())
    assert {code for kind in (tables.ring_sizes, tables.ring_glands, tables.tolerance_grades,
                              tables.general_tolerances, tables.viscosity_grades) for code in kind} \
        == set(shipped()["reference_tables"])  # fmt: skip


def test_every_row_has_a_source_of_its_own_or_its_tables() -> None:
    """Published, and from memory where the page that was read says so."""
    tables = compiled(shipped())
    rings = [size.source for table in tables.ring_sizes.values() for size in table.sizes.values()]
    general = {(row.tolerance_class, row.step.up_to): row.source for row in tables.general_tolerances["iso_2768"].rows}
    assert all(source.kind.value == "published" and source.citation for source in rings)
    assert general["m", quantity("4000", "mm").amount].kind.value == "from_memory"
    assert general["m", quantity("2000", "mm").amount].kind.value == "published"


def shift_up(document: Document) -> str:
    """Each code of series 0 with the inner diameter of the one after it, in millimetres alone."""
    rows = document["reference_tables"]["ring_sizes"]["rows"]
    for row, after in pairwise(rows[:47]):
        row["inner_mm"] = after["inner_mm"]
    return f"{SIZES}/rows/0/inner_in"


def shift_whole_rows(document: Document) -> str:
    """Both units moved down a row, so that the last ring of the series is no larger than the one before it."""
    rows = document["reference_tables"]["ring_sizes"]["rows"]
    for row, after in pairwise(rows[:47]):
        for key in ("inner_mm", "inner_in", "inner_tolerance_mm", "inner_tolerance_in"):
            row[key] = after[key]
    return f"{SIZES}/rows/46/inner_mm"


def in_ring(code: str, key: str, value: str, at: str = "") -> Callable[[Document], str]:
    def change(document: Document) -> str:
        number, row = row_of(document, "ring_sizes", code=code)
        row[key] = value
        return f"{SIZES}/rows/{number}/{at or key}"

    return change


def smaller_than_before(document: Document) -> str:
    number, row = row_of(document, "ring_sizes", code="203")
    row["inner_mm"] = "5.94"
    return f"{SIZES}/rows/{number}/inner_mm"


def without_a_ring(document: Document) -> str:
    number, _ = row_of(document, "ring_sizes", code="023")
    del document["reference_tables"]["ring_sizes"]["rows"][number]
    return f"{SIZES}/series/0/listed"


def of_an_invalid_number(document: Document) -> str:
    rows = document["reference_tables"]["ring_sizes"]["rows"]
    number, row = row_of(document, "ring_sizes", code="050")
    rows.insert(number + 1, row | {"code": "051", "inner_mm": "139.42", "inner_in": "5.489"})
    return f"{SIZES}/rows/{number + 1}/code"


def put(path: str, value: object, at: str = "") -> Callable[[Document], str]:
    def change(document: Document) -> str:
        node: Any = document
        *way, last = path.strip("/").split("/")
        for key in way:
            node = node[int(key)] if isinstance(node, list) else node[key]
        node[int(last) if isinstance(node, list) else last] = value
        return at or path

    return change


def in_gland(use: str, section: str, key: str, value: str, at: str = "") -> Callable[[Document], str]:
    def change(document: Document) -> str:
        number, row = row_of(document, "ring_glands", use=use, section_mm=section)
        row[key] = value
        return f"{GLANDS}/rows/{number}/{at or key}"

    return change


def swapped(path: str, first: int, second: int, at: str) -> Callable[[Document], str]:
    def change(document: Document) -> str:
        table = path.rsplit("/", 1)[-1]
        rows = document["reference_tables"][table]["rows"]
        rows[first], rows[second] = rows[second], rows[first]
        return f"{path}/rows/{at}"

    return change


def without(path: str, number: int, at: str) -> Callable[[Document], str]:
    def change(document: Document) -> str:
        del document["reference_tables"][path.rsplit("/", 1)[-1]]["rows"][number]
        return f"{path}/rows/{at}"

    return change


SLIPPED = [
    ("shifted in one unit", shift_up, "the two stand for one size"),
    ("shifted in both", shift_whole_rows, "rise along a series"),
    ("a size no larger than the one before", smaller_than_before, "rise along a series"),
    ("a tolerance of nothing", in_ring("203", "inner_tolerance_mm", "0"), "more than nothing"),
    ("a tolerance below nothing", in_ring("203", "inner_tolerance_mm", "-0.13"), "more than nothing"),
    ("a tolerance that shrinks", in_ring("214", "inner_tolerance_mm", "0.20"), "never shrink"),
    ("the cross-section of another series", in_ring("012", "section_mm", "2.62"), "series 0 is 1.78 mm"),
    ("the tolerance of another series", in_ring("203", "section_tolerance_mm", "0.08", "section_mm"), "series 2"),
    ("inches of another ring", in_ring("012", "inner_in", "0.362"), "0.362 in is not 9.25 mm"),
    ("a number that no ring has", of_an_invalid_number, "no series has the code '051'"),
    ("a code twice", in_ring("202", "code", "201"), "codes rise"),
    ("a row missing of those listed", without_a_ring, "the row of 023 is missing"),
    ("a series of unknown thickness", in_ring("214", "code", "325"), "series 3 states no cross-section"),
    ("two series with one code", put(f"{SIZES}/series/1/codes", ["050-178"], f"{SIZES}/series"), "share a code"),
    ("a code that is none", put(f"{SIZES}/series/1/codes", ["12"]), "write 012 or 004-050"),
    ("a size that is no number", in_ring("203", "inner_mm", "7,52"), "not a plain decimal"),
    ("a size that is no text", put(f"{SIZES}/rows/0/inner_mm", 2), "a text is expected"),
    ("general steps that fall back", put(f"{SIZES}/class_b_sections/1/up_to_mm", "2.00"), "further than the one"),
    ("a gland of another ring", in_gland("static_radial", "2.62", "depth_max_mm", "2.40", "squeeze_min_percent"),
     "comes to"),
    ("a gland the wrong way round", in_gland("dynamic", "1.78", "depth_min_mm", "1.46", "depth_max_mm"), "shallower"),
    ("a groove narrower than its ring", in_gland("dynamic", "1.78", "width_mm", "1.70"), "wider than its ring"),
    ("an unknown use", in_gland("dynamic", "1.78", "use", "loose"), "none of static_radial"),
    ("glands out of order", swapped(GLANDS, 0, 1, "1/section_mm"), "rise, each once"),
    ("a hole between steps", without(ISO_286, 2, "2/over_mm"), "sizes between have none"),
    ("steps that overlap", put(f"{ISO_286}/rows/2/over_mm", "9"), "the two overlap"),
    ("a step of no length", put(f"{ISO_286}/rows/2/up_to_mm", "10"), "where it begins"),
    ("limits the wrong way round", put(f"{ISO_286}/rows/0/deviations_um/g6/upper", "-12"), "above the lower"),
    ("a grade missing in a step", put(f"{ISO_286}/rows/2/deviations_um", {"H7": {"upper": "18", "lower": "0"}}),
     "has the grades of the others"),
    ("a grade that tightens", put(f"{ISO_286}/rows/3/deviations_um/H7/upper", "17",
                                  f"{ISO_286}/rows/3/deviations_um/H7"), "never shrink"),
    ("a hole in a class", without(ISO_2768, 2, "2/over_mm"), "sizes between have none"),
    ("a general tolerance that tightens", put(f"{ISO_2768}/rows/2/tolerance_mm", "0.04"), "never shrink"),
    ("a general tolerance of nothing", put(f"{ISO_2768}/rows/0/tolerance_mm", "0"), "more than nothing"),
    ("a viscosity that no grade has", put(f"{J300}/rows/4/viscosity_least_mm2_s", "9.4"), "have no grade"),
    ("grades out of order", swapped(J300, 2, 3, "3/viscosity_least_mm2_s"), "no thicker than"),
    ("a grade that ends before it begins", put(f"{J300}/rows/3/viscosity_below_mm2_s", "6.9"), "above where it begins"),
    ("one grade twice beside one winter grade", put(f"{J300}/rows/6/beside", ["10W", "15W"]), "beside one winter"),
    ("a winter grade that is none", put(f"{J300}/rows/6/beside", ["30W"]), "no winter grade '30W'"),
    ("a viscosity that is no number", put(f"{J300}/rows/3/viscosity_least_mm2_s", "1e1"), "no plain decimal"),
    ("a viscosity with half a point", put(f"{J300}/rows/3/viscosity_least_mm2_s", "6."), "no plain decimal"),
    ("a table of no kind", put(f"{J300}/kind", "colours"), "none of ring_sizes"),
    ("a key of another kind", put(f"{J300}/series", []), "the keys here are"),
    ("a table without rows", put(f"{J300}/rows", []), "at least one row"),
    ("a table without a source", put(f"{J300}/source", None), "an object is expected"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "words"), [case[1:] for case in SLIPPED], ids=[case[0] for case in SLIPPED])
def test_a_table_that_has_slipped_is_refused_by_path_and_words(change: Callable[[Document], str], words: str) -> None:
    document = copy.deepcopy(shipped())
    path = change(document)
    with pytest.raises(Invalid) as refused:
        compiled(document)
    assert refused.value.pointer == path
    assert words in refused.value.message
    assert publication_problems(document, shipped())


@pytest.mark.parametrize(
    "change",
    [
        in_ring("012", "inner_mm", "9.249"),
        in_gland("dynamic", "1.78", "width_mm", "2.42"),
        put(f"{ISO_286}/rows/0/deviations_um/g6/upper", "-3"),
        put(f"{ISO_2768}/rows/0/tolerance_mm", "0.04"),
        put(f"{J300}/rows/3/high_shear_least_mpa_s", "2.7"),
        put(f"{J300}/source/citation", "SAE J300, another edition"),
    ],
)
def test_a_changed_value_changes_the_digest(change: Callable[[Document], str]) -> None:
    document = copy.deepcopy(shipped())
    change(document)
    compiled(document)
    assert digest_of(document) != digest_of(shipped())


def test_a_rulebook_without_tables_is_read_as_before() -> None:
    """Documents published before there were tables have no such section."""
    assert compiled({}) == ReferenceTables()
