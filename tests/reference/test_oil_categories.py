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
# id, source, table, offered, asked, answer, words of the reason
CASES = [
    ("CV59 newer", API, "api_service", ("SP",), "SJ", MET, ""),
    ("CV59 older", API, "api_service", ("SJ",), "SP", NOT_MET, ""),
    ("CV60", API, "api_service", ("FA-4",), "CJ-4", NOT_MET, "2.9 to 3.2"),
    ("CV61 newer", API, "api_service", ("CK-4",), "CH-4", MET, ""),
    ("CV61 C for S", API, "api_service", ("CK-4",), "SN", UNKNOWN, "cannot be ranked"),
    ("CV61 dual-marked", API, "api_service", ("SN", "CK-4"), "SN", MET, ""),
    ("CV63 MA2 for MA", JASO, "jaso_wet_clutch", ("MA2",), "MA", MET, ""),
    ("CV63 MA for MA2", JASO, "jaso_wet_clutch", ("MA",), "MA2", UNKNOWN, "may be MA1"),
    ("CV63 MB for MA", JASO, "jaso_wet_clutch", ("MB",), "MA", NOT_MET, ""),
    ("dual-marked and older", API, "api_service", ("SJ", "CK-4"), "SP", NOT_MET, ""),
    ("side branch", API, "api_service", ("CK-4",), "CF", NOT_MET, "side branch"),
    ("0W-16 apart", API, "api_service", ("GF-7B",), "GF-5", NOT_MET, "0W-16"),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case[0])
def test_an_oil_category_comes_out_as_published(
    case: tuple[str, str, str, tuple[str, ...], str, Answer, str],
) -> None:
    _, _, table, offered, asked, answer, words = case
    weighed = class_at_least(rulebook().tables.orders[table], "service_category", Value((asked,)), Value(offered))
    assert weighed.answer is answer, weighed.reason
    assert words in weighed.reason
