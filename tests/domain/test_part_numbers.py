"""Two spellings of one number have one key; zeros are never punctuation."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from catalog.domain.part_numbers import number_key, without_zeros

pytestmark = pytest.mark.domain
DASHES = "-\u2010\u2011\u2012\u2013\u2014\u2212\uff0d"


@pytest.mark.parametrize("dash", DASHES)
def test_every_dash_is_the_same_dash(dash: str) -> None:
    assert number_key(f"0021{dash}460") == "0021460"


@pytest.mark.parametrize(
    "printed", ["0021 460", "0021.460", "0021/460", "0021\u00a0460", " 0021-460 ", "00\u00ad21460"]
)
def test_separators_are_no_part_of_a_number(printed: str) -> None:
    assert number_key(printed) == "0021460"


def test_case_and_width_are_no_part_of_a_number() -> None:
    assert number_key("hx-410") == number_key("\uff28\uff38-410") == "HX410"


@pytest.mark.parametrize(
    ("printed", "bare"), [("0021-460", "21460"), ("HX-0410", "HX410"), ("000", "0"), ("1001", "1001"), ("A-00B", "A0B")]
)
def test_only_zeros_that_lead_a_run_of_digits_can_have_been_lost(printed: str, bare: str) -> None:
    assert without_zeros(number_key(printed)) == bare


def test_letters_that_look_like_digits_stay_letters() -> None:
    assert number_key("OO21-46O") != number_key("0021-460")


@given(st.text())
@example("\u0390")  # unfolds when put in capitals, and composes again
@example("A-\u0301")  # apart only by a dash
def test_a_key_is_its_own_key(text: str) -> None:
    key = number_key(text)
    assert number_key(key) == key
    assert without_zeros(without_zeros(key)) == without_zeros(key)


@given(st.lists(st.text("0123456789ABCHX", min_size=1), min_size=1), st.sampled_from([*DASHES, " ", ".", "/"]))
def test_whatever_stands_between_the_pieces_the_key_is_one(pieces: list[str], between: str) -> None:
    assert number_key(between.join(pieces)) == "".join(pieces)
