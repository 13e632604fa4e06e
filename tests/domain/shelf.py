"""A shelf of invented parts to look up, as the acceptance page has them, and one call from text to hits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from catalog.domain.lookup.hits import Hit, found
from catalog.domain.lookup.judging import Candidate, Package
from catalog.domain.lookup.reading import Reading, read_query
from catalog.domain.part_numbers import number_key, without_zeros
from catalog.element_strings import first_element

MAKERS = ("VRD", "OLM", "TSK")


def part(
    number: str,
    maker: str = "VRD",
    *,
    id_: int,
    name: str = "",
    codes: Sequence[tuple[str, int]] = (),
    superseded_by: Sequence[int] = (),
) -> Candidate:
    key = number_key(number)
    packages = tuple(Package(code, quantity) for code, quantity in codes)
    return Candidate(id_, maker, number, key, without_zeros(key), name, packages, tuple(superseded_by))


FILTER_440 = part("0021-440", id_=1, name="Oil filter", superseded_by=[2])
FILTER_450 = part("0021-450", id_=2, name="Oil filter", superseded_by=[3])
FILTER_460 = part(
    "0021-460", id_=3, name="Oil filter", codes=[("9520000021467", 1), ("19520000021464", 12)]
)  # fmt: skip
CLAMP = part("21-450", id_=4, name="Hose clamp")
AIR_ELEMENT = part("2051", id_=5, name="Air element", codes=[("412345002142", 1)])
PLUG_12 = part("4410-12", id_=6, name="Spark plug")
PLUG_TSK = part("4470", "TSK", id_=7, name="Spark plug")
LOOP_1 = part("3300-1", id_=8, superseded_by=[9])
LOOP_2 = part("3300-2", id_=9, superseded_by=[8])
SHELF = (FILTER_440, FILTER_450, FILTER_460, CLAMP, AIR_ELEMENT, PLUG_12, PLUG_TSK, LOOP_1, LOOP_2)


def read(text: str) -> Reading:
    return read_query(text, MAKERS, first_element)


def look_up(text: str, shelf: Iterable[Candidate] = SHELF) -> tuple[Hit, ...]:
    return found(read(text), shelf)


def told(hits: Iterable[Hit]) -> list[tuple[str, str]]:
    """Number and way of each hit, in their order."""
    return [(hit.candidate.number, hit.matched_by.value) for hit in hits]
