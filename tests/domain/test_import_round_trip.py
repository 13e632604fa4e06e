"""What is written out as tables is read back as the same documents, for the demo and for any parts at all."""

from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.gtin import check_digit
from catalog.domain.import_nesting import nested
from catalog.domain.import_reading import TableText, gather
from catalog.domain.import_tables import Aggregate
from catalog.domain.import_writing import written_tables
from catalog.domain.value_documents import pack_value, read_value
from service.tables.sheets import Row
from tests.demo_world import documents, rulebook

pytestmark = pytest.mark.domain
Document = Mapping[str, Any]


def read_back(tables: Mapping[str, list[dict[str, str]]]) -> dict[Aggregate, list[Document]]:
    texts = []
    for name, rows in tables.items():
        header = tuple(dict.fromkeys(column for row in rows for column in row))
        lines = [Row(line, {**dict.fromkeys(header, ""), **row}) for line, row in enumerate(rows, start=2)]
        texts.append(TableText(name, header, lines) if rows else None)
    found = gather([text for text in texts if text is not None], rulebook().attributes)
    assert found.problems == []
    return {aggregate: [nested(row, {})[0] for row in found.documents(aggregate)] for aggregate in Aggregate}


def plain(document: Any) -> Any:
    """Without what is the same as saying nothing, and with values as they are kept."""
    if isinstance(document, Mapping) and "attribute" in document:
        kept = pack_value(read_value(document["value"], rulebook().attributes[document["attribute"]], pointer=""))
        return {**document, "value": kept}
    if isinstance(document, Mapping):
        return {name: plain(value) for name, value in document.items() if value not in (None, "", [], ())}
    return [plain(entry) for entry in document] if isinstance(document, (list, tuple)) else document


def test_the_demo_catalogue_is_the_same_after_the_way_out_and_in() -> None:
    parts, built, stated = (documents(kind) for kind in (Aggregate.PART, Aggregate.SPECIFICATION, Aggregate.STATEMENT))
    back = read_back(written_tables(parts, built, stated, rulebook().attributes))
    assert plain(back[Aggregate.PART]) == plain(parts)
    assert plain(back[Aggregate.SPECIFICATION]) == plain(built)
    assert plain(back[Aggregate.STATEMENT]) == plain(stated)


NUMBERS = st.text("0123456789ABC-/.", min_size=3, max_size=12).map(lambda text: f"N{text}")
NAMES = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "Zs"]), max_size=30).map(str.strip)
CODES = st.integers(0, 10**12 - 1).map(lambda digits: f"{digits:012d}").map(lambda text: text + check_digit(text))
SOURCES = st.builds(lambda n: {"kind": "maker", "citation": f"sheet {n}"}, st.integers(1, 2))
MILLIMETRES = st.decimals(0, 999, places=2).map(lambda number: {"value": f"{number.normalize():f}", "unit": "mm"})


@st.composite
def parts(draw: st.DrawFn) -> Sequence[Document]:
    numbers = draw(st.lists(NUMBERS, min_size=1, max_size=5, unique=True))
    codes = draw(st.lists(CODES, min_size=len(numbers), max_size=len(numbers), unique=True))
    return [_part(draw, number, code, numbers) for number, code in zip(numbers, codes, strict=True)]


def _part(draw: st.DrawFn, number: str, code: str, numbers: Sequence[str]) -> Document:
    places = draw(st.lists(st.tuples(st.sampled_from(["gap", "reach"]), SOURCES), max_size=4, unique_by=str))
    held = draw(st.sampled_from(numbers))
    return {
        "maker": "VRD",
        "number": number,
        "name": draw(NAMES),
        "category": "spark_plug",
        "barcodes": [{"code": code, "pack_quantity": draw(st.integers(1, 144))}],
        "contains": [{"part": {"maker": "VRD", "number": held}, "quantity": draw(st.integers(1, 12))}],
        "attributes": [
            {"attribute": name, "slot": None, "value": draw(MILLIMETRES), "source": source} for name, source in places
        ],
    }


@given(parts())
def test_any_parts_are_the_same_after_the_way_out_and_in(stated: Sequence[Document]) -> None:
    back = read_back(written_tables(stated, (), (), rulebook().attributes))
    assert plain(back[Aggregate.PART]) == plain(stated)
