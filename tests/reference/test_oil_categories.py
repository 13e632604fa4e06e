"""Published check values for oil service categories and clutch classes, each beside its source."""

from __future__ import annotations

import pytest

from catalog.domain.answers import Answer
from catalog.domain.comparing_codes import class_at_least
from catalog.domain.values import Value
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain
MET, NOT_MET, UNKNOWN = Answer.MET, Answer.NOT_MET, Answer.UNKNOWN
API, JASO = "API category tables, as reported", "JASO T 903:2016 and :2023, as reported"
ACEA = "ACEA oil sequences of 2021 and 2022, from memory"
# id, source, table, offered, asked, answer, words of the reason
CASES = [
    ("CV59 newer", API, "oil_services", ("API_SP",), "API_SJ", MET, ""),
    ("CV59 older", API, "oil_services", ("API_SJ",), "API_SP", NOT_MET, ""),
    ("CV60", API, "oil_services", ("API_FA-4",), "API_CJ-4", NOT_MET, "2.9 to 3.2"),
    ("CV61 newer", API, "oil_services", ("API_CK-4",), "API_CH-4", MET, ""),
    ("CV61 C for S", API, "oil_services", ("API_CK-4",), "API_SN", UNKNOWN, "cannot be ranked"),
    ("CV61 dual-marked", API, "oil_services", ("API_SN", "API_CK-4"), "API_SN", MET, ""),
    ("CV63 MA2 for MA", JASO, "wet_clutch", ("JASO_MA2",), "JASO_MA", MET, ""),
    ("CV63 MA for MA2", JASO, "wet_clutch", ("JASO_MA",), "JASO_MA2", UNKNOWN, "may be MA1"),
    ("CV63 MB for MA", JASO, "wet_clutch", ("JASO_MB",), "JASO_MA", NOT_MET, ""),
    ("dual-marked and older", API, "oil_services", ("API_SJ", "API_CK-4"), "API_SP", NOT_MET, ""),
    ("side branch", API, "oil_services", ("API_CK-4",), "API_CF", NOT_MET, "side branch"),
    ("0W-16 apart", API, "oil_services", ("ILSAC_GF-7B",), "ILSAC_GF-5", NOT_MET, "0W-16"),
    ("ACEA type for the one it replaced", ACEA, "oil_services", ("ACEA_E8",), "ACEA_E6", UNKNOWN, "was not checked"),
    ("ACEA numbers are types", ACEA, "oil_services", ("ACEA_E7",), "ACEA_E4", UNKNOWN, "cannot be ranked"),
    ("ACEA for API", ACEA, "oil_services", ("ACEA_E8",), "API_CJ-4", UNKNOWN, "cannot be ranked"),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case[0])
def test_an_oil_category_comes_out_as_published(
    case: tuple[str, str, str, tuple[str, ...], str, Answer, str],
) -> None:
    _, _, table, offered, asked, answer, words = case
    weighed = class_at_least(rulebook().tables.orders[table], "service_category", Value((asked,)), Value(offered))
    assert weighed.answer is answer, weighed.reason
    assert words in weighed.reason
