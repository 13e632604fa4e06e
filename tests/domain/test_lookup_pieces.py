"""The pieces a part is found by are enough: what stands in its key or begins a word of its name begins a piece."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.lookup.pieces import endings_of, slips_of, words_kept
from catalog.domain.lookup.search_keys import (
    LEAST_FOR_INSIDE,
    LEAST_FOR_ONE_EDIT,
    MOST_FOR_ONE_EDIT,
    further_keys,
    one_edit_keys,
    slips_asked,
    words_of,
)
from catalog.domain.part_numbers import number_key
from tests.domain.shelf import look_up, part, read
from tests.domain.slips import slips

pytestmark = pytest.mark.domain
KEYS = st.text("0015OIS8B\u00c9", max_size=14).map(number_key)


@given(KEYS, KEYS)
def test_a_text_stands_inside_a_key_exactly_where_the_key_or_an_ending_begins_with_it(key: str, text: str) -> None:
    if len(text) >= LEAST_FOR_INSIDE:
        assert (text in key) == any(one.startswith(text) for one in (key, *endings_of(key)))


@given(KEYS, st.data())
def test_whatever_is_cut_out_of_a_key_begins_a_piece(key: str, data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(key)))
    text = key[start : start + LEAST_FOR_INSIDE + 1]
    if len(text) >= LEAST_FOR_INSIDE:
        assert any(one.startswith(text) for one in (key, *endings_of(key)))


@given(st.text(max_size=30), st.data())
def test_the_words_kept_are_those_that_are_asked_for(name: str, data: st.DataObject) -> None:
    kept = tuple(words_kept(name))
    assert kept == words_of(name)
    if kept:
        word = data.draw(st.sampled_from(kept))
        assert any(one.startswith(word[:2]) for one in kept)


@given(KEYS, st.data())
def test_whatever_a_slip_makes_of_a_key_asks_for_it_or_for_a_piece(key: str, data: st.DataObject) -> None:
    typed = data.draw(st.sampled_from(sorted(slips(key))))
    if slips_asked(typed):
        assert not {key, *slips_of(key)}.isdisjoint(one_edit_keys([typed]))


@pytest.mark.parametrize("length", [LEAST_FOR_ONE_EDIT, MOST_FOR_ONE_EDIT])
def test_the_shortest_and_the_longest_that_is_asked_for_by_a_slip_is_found(length: int) -> None:
    typed = "12345678" * 6
    for key in (typed[:length] + "X", "X" + typed[1:length], typed[1:length]):
        assert not {key, *slips_of(key)}.isdisjoint(one_edit_keys([typed[:length]]))
        assert one_edit_keys([typed[: MOST_FOR_ONE_EDIT + 1], typed[:2]]) == ()


def test_an_unusual_character_is_a_slip_like_another() -> None:
    shelf = [part("12\u00c94", id_=1)]
    assert "124" in further_keys(read("12X4")).one_edit
    assert "124" in slips_of(shelf[0].key)
    assert [hit.candidate.id for hit in look_up("12X4", shelf)] == [1]
