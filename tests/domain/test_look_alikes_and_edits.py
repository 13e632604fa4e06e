"""Keys for suggestions: characters taken for one another, and one slip of the finger."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.lookup.edits import is_one_edit, shortened
from catalog.domain.lookup.look_alikes import look_alike_key
from catalog.domain.part_numbers import number_key
from tests.domain.slips import ALPHABET, slips

pytestmark = pytest.mark.domain
KEYS = st.text("0O1I2A", max_size=6)


def distance(one: str, other: str) -> int:
    """Optimal string alignment, its recurrence written out (Damerau 1964; Wikipedia's pseudo-code, from memory)."""
    table = {(-1, place): place + 1 for place in range(-1, len(other))}
    table |= {(place, -1): place + 1 for place in range(-1, len(one))}
    for row, left in enumerate(one):
        for column, right in enumerate(other):
            ways = [
                table[row - 1, column] + 1, table[row, column - 1] + 1, table[row - 1, column - 1] + (left != right)
            ]  # fmt: skip
            if row and column and left == other[column - 1] and one[row - 1] == right:
                ways.append(table[row - 2, column - 2] + 1)
            table[row, column] = min(ways)
    return table[len(one) - 1, len(other) - 1]


@pytest.mark.parametrize(
    ("one", "other", "steps"),
    [("CA", "ABC", 3), ("0021460", "0021640", 1), ("", "A", 1), ("AB", "BA", 1), ("A", "A", 0)],
)
def test_the_reference_is_right_where_its_answer_is_known(one: str, other: str, steps: int) -> None:
    """CA to ABC is the published case in which this distance is 3 and the unrestricted one 2."""
    assert distance(one, other) == steps


@given(KEYS, KEYS)
def test_one_edit_is_a_distance_of_one(one: str, other: str) -> None:
    assert is_one_edit(one, other) == (distance(one, other) == 1)
    assert is_one_edit(one, other) == (other in slips(one, "0O1I2A"))


@given(st.text(ALPHABET, max_size=12))
def test_every_key_listed_is_one_edit_away_and_both_ways(key: str) -> None:
    assert all(is_one_edit(key, other) and is_one_edit(other, key) for other in slips(key))


@given(st.text("0O1I2A", max_size=9), st.data())
def test_what_is_one_slip_away_shares_a_key_or_one_less_a_character(key: str, data: st.DataObject) -> None:
    """So that an index over both misses no slip, whatever the characters."""
    other = data.draw(st.sampled_from(sorted(slips(key, "0O1I2A\u00e9"))))
    assert {key, *shortened(key)} & {other, *shortened(other)}


@given(st.text(max_size=8), st.data())
def test_every_edit_of_any_text_is_one_edit(text: str, data: st.DataObject) -> None:
    other = data.draw(st.characters())
    place = data.draw(st.integers(0, len(text)))
    edited = data.draw(
        st.sampled_from(
            [text[:place] + other + text[place + more :] for more in (0, 1)] + [text[:place] + text[place + 1 :]]
        )
    )
    assert is_one_edit(text, edited) == (text != edited)
    assert text == edited or edited in slips(text, other)


def test_substitution_insertion_deletion_and_swap_are_there_and_the_key_itself_is_not() -> None:
    keys = slips("2051")
    assert {"2061", "20512", "251", "2015", "A2051", "205+"} <= keys
    assert "2051" not in keys


@pytest.mark.parametrize(
    ("letters", "digits"),
    [("OQ", "00"), ("IL", "11"), ("S", "5"), ("Z", "2"), ("B", "8"), ("G", "6"), ("OO2146O", "0021460")],
)
def test_letters_taken_for_digits_fold(letters: str, digits: str) -> None:
    """I, L and O: Crockford's Base32; the others: common practice, no source."""
    assert look_alike_key(letters) == digits


@pytest.mark.parametrize(
    ("foreign", "latin"),
    [
        ("\u0410", "A"), ("\u0412", "B"), ("\u0415", "E"), ("\u0417", "3"), ("\u041a", "K"), ("\u041c", "M"),
        ("\u041d", "H"), ("\u041e", "O"), ("\u0420", "P"), ("\u0421", "C"), ("\u0422", "T"), ("\u0423", "Y"),
        ("\u0425", "X"), ("\u0405", "S"), ("\u0406", "I"), ("\u0408", "J"), ("\u0391", "A"), ("\u0392", "B"),
        ("\u0396", "Z"), ("\u0397", "H"), ("\u039a", "K"), ("\u039d", "N"), ("\u039f", "O"), ("\u03a1", "P"),
        ("\u03a4", "T"), ("\u03a5", "Y"), ("\u03a7", "X"),
    ],
)  # fmt: skip
def test_cyrillic_and_greek_capitals_fold_like_the_latin_ones_they_are_drawn_like(foreign: str, latin: str) -> None:
    """UTS #39, confusables.txt."""
    assert look_alike_key(number_key(foreign)) == look_alike_key(latin)
    assert look_alike_key(number_key(foreign.lower())) == look_alike_key(latin)
    assert number_key(foreign) != latin


@given(st.text(), st.text())
def test_folding_is_coarser_than_the_key_and_its_own_fold(one: str, other: str) -> None:
    left, right = number_key(one), number_key(other)
    assert look_alike_key(look_alike_key(left)) == look_alike_key(left)
    assert len(look_alike_key(left)) == len(left)
    if left == right:
        assert look_alike_key(left) == look_alike_key(right)
    # One character in, one out: what folds alike piece by piece folds alike whole.
    assert look_alike_key(left + right) == look_alike_key(left) + look_alike_key(right)
