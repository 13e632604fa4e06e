"""Published check values for oil service categories and clutch classes, each beside its source."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from catalog.domain.answers import Answer
from catalog.domain.comparing_codes import class_at_least
from catalog.domain.values import Value
from tests.demo_world import rulebook
from tests.reference.asked_of_the_demo import by_check_value

pytestmark = pytest.mark.domain
MET, NOT_MET, UNKNOWN = Answer.MET, Answer.NOT_MET, Answer.UNKNOWN
API, JASO = "API category tables, as reported", "JASO T 903:2016 and :2023, as reported"
ACEA = "ACEA oil sequences of 2021 and 2022, from memory"


@dataclass(frozen=True)
class Ranked:
    """What an oil carries, what is asked, the answer, and words of its reason."""

    id: str
    source: str
    table: str
    offered: tuple[str, ...]
    asked: str
    answer: Answer
    words: str = ""


CASES = [
    Ranked("CV59 newer", API, "oil_services", ("API_SP",), "API_SJ", MET),
    Ranked("CV59 older", API, "oil_services", ("API_SJ",), "API_SP", NOT_MET),
    Ranked("CV60", API, "oil_services", ("API_FA-4",), "API_CJ-4", NOT_MET, "2.9 to 3.2"),
    Ranked("CV61 newer", API, "oil_services", ("API_CK-4",), "API_CH-4", MET),
    Ranked("CV61 C for S", API, "oil_services", ("API_CK-4",), "API_SN", UNKNOWN, "cannot be ranked"),
    Ranked("CV61 dual-marked", API, "oil_services", ("API_SN", "API_CK-4"), "API_SN", MET),
    Ranked("CV63 MA2 for MA", JASO, "wet_clutch", ("JASO_MA2",), "JASO_MA", MET),
    Ranked("CV63 MA for MA2", JASO, "wet_clutch", ("JASO_MA",), "JASO_MA2", UNKNOWN, "may be MA1"),
    Ranked("CV63 MB for MA", JASO, "wet_clutch", ("JASO_MB",), "JASO_MA", NOT_MET),
    Ranked("dual-marked and older", API, "oil_services", ("API_SJ", "API_CK-4"), "API_SP", NOT_MET),
    Ranked("side branch", API, "oil_services", ("API_CK-4",), "API_CF", NOT_MET, "side branch"),
    Ranked("0W-16 apart", API, "oil_services", ("ILSAC_GF-7B",), "ILSAC_GF-5", NOT_MET, "0W-16"),
    Ranked(
        "ACEA type for the one it replaced", ACEA, "oil_services", ("ACEA_E8",), "ACEA_E6", UNKNOWN, "was not checked"
    ),
    Ranked("ACEA numbers are types", ACEA, "oil_services", ("ACEA_E7",), "ACEA_E4", UNKNOWN, "cannot be ranked"),
    Ranked("ACEA for API", ACEA, "oil_services", ("ACEA_E8",), "API_CJ-4", UNKNOWN, "cannot be ranked"),
]


@pytest.mark.parametrize("rows", by_check_value(CASES))
def test_an_oil_category_comes_out_as_published(rows: tuple[Ranked, ...]) -> None:
    for row in rows:
        order = rulebook().tables.orders[row.table]
        weighed = class_at_least(order, "service_category", Value((row.asked,)), Value(row.offered))
        assert weighed.answer is row.answer, f"{row.id}: {weighed.reason}"
        assert row.words in weighed.reason, row.id
