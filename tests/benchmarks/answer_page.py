"""Page: the answer at the counter as a page, against a page of the same frame with nothing in it."""

from __future__ import annotations

from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.served import served_with_session

AT_MOST = 3.0
# An answer with all its findings, one that asks for a fact, and one with other parts to offer.
ASKED = {
    "rejected": ("4470", "Genset South"),
    "undetermined": ("4410-07", "Truck 2"),
    "accepted": ("4410-12", "Truck 7"),
}


def measure() -> list[Row]:
    with served_with_session() as (get, send):
        pages = {
            verdict: get(send("/counter/", {"number": number, "machine": machine}))
            for verdict, (number, machine) in ASKED.items()
        }
        taken = interleaved({"trivial": get("/trivial-page/"), **pages}, repeat=10)
    return [_row(verdict, taken) for verdict in ASKED]


def _row(verdict: str, taken: dict[str, float]) -> Row:
    ratio = taken[verdict] / taken["trivial"]
    beside = {f"{side} us": taken[side] for side in ("trivial", verdict)}
    return Row(f"page of an answer, {verdict}", ratio, "of a trivial page", f"<= {AT_MOST}", ratio <= AT_MOST, beside)
