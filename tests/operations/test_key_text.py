import string

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from service.operations.keys import BASE62, KeyMalformed, checksum, parse

pytestmark = pytest.mark.domain


@st.composite
def key_texts(draw: st.DrawFn) -> str:
    mode = draw(st.sampled_from(["live", "test"]))
    id8 = draw(st.text(BASE62, min_size=8, max_size=8))
    secret = draw(st.text(BASE62, min_size=32, max_size=32))
    body = f"gudgeon_{mode}_{id8}_{secret}"
    return body + checksum(body)


ANY_CHARACTER = st.one_of(st.sampled_from(string.printable), st.characters())


@given(key_texts())
def test_a_whole_key_is_read_back(text: str) -> None:
    parsed = parse(text)
    assert f"gudgeon_{parsed.mode.value}_{parsed.id8}_" == text[:-38]


@given(key_texts(), st.data(), ANY_CHARACTER)
def test_a_key_with_any_one_character_changed_is_refused(text: str, data: st.DataObject, other: str) -> None:
    place = data.draw(st.integers(0, len(text) - 1))
    assume(text[place] != other)
    with pytest.raises(KeyMalformed):
        parse(text[:place] + other + text[place + 1 :])


@given(key_texts(), st.data(), ANY_CHARACTER)
def test_a_key_with_a_character_too_many_or_too_few_is_refused(text: str, data: st.DataObject, other: str) -> None:
    place = data.draw(st.integers(0, len(text) - 1))
    for wrong in (text[:place] + other + text[place:], text[:place] + text[place + 1 :]):
        with pytest.raises(KeyMalformed):
            parse(wrong)


@given(key_texts(), st.data())
def test_a_key_with_two_neighbours_swapped_is_refused(text: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(text) - 2))
    assume(text[place] != text[place + 1])
    with pytest.raises(KeyMalformed):
        parse(text[:place] + text[place + 1] + text[place] + text[place + 2 :])


@given(st.text(max_size=80))
def test_what_is_no_key_is_refused_in_words(text: str) -> None:
    assume(not text.startswith("gudgeon_"))
    with pytest.raises(KeyMalformed, match="gudgeon_live_"):
        parse(text)
