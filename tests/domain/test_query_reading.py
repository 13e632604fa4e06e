"""How a typed text is read as a number. Common practice, no source; marks of labels: ANSI MH10.8.2 (from memory)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.lookup.attempts import attempts_of
from catalog.domain.lookup.reading import LONGEST_QUERY, tried
from catalog.domain.part_numbers import number_key
from service.errors import Invalid
from tests.domain.shelf import MAKERS, read

pytestmark = pytest.mark.domain


def numbers(text: str) -> list[tuple[str | None, str]]:
    return [(one.maker, one.number) for one in attempts_of(text, MAKERS)]


@pytest.mark.parametrize("typed", ["vrd 0021 460", "VRD0021-460", "Vrd-0021.460", "vrd: 0021460", "0021-460 VRD"])
def test_the_makers_code_is_read_and_the_whole_as_well(typed: str) -> None:
    as_typed, of_maker = attempts_of(typed, MAKERS)
    assert (as_typed.maker, as_typed.number) == (None, typed)
    assert (of_maker.maker, of_maker.key, of_maker.step) == ("VRD", "0021460", 0)


@pytest.mark.parametrize(
    "typed",
    [
        "P/N 0021-460", "p/n: 0021-460", "PN 0021-460", "Part no. 0021-460", "part number 0021-460", "Part # 0021-460",
        "No. 0021-460", "Nr 0021-460", "N\u00ba 0021-460", "\u21160021-460", "# 0021-460", "#0021-460",
        "0021-460#", "0021-460 P/N", "0021-460 Rev C", "0021-460 rev. c", "0021-460, Revision C", "0021-460 (Rev C)",
        "0021-460-Rev 2", "0021-460 (2 pcs)", "0021-460 2 pcs", "0021-460 qty 2", "0021-460, Qty: 2 ea",
        "2 pcs 0021-460", "0021-460 x 2", "0021-460 x2", "0021-460 (x 2)", "2 x 0021-460", "2\u00d7 0021-460",
        "P/N 0021-460 Rev C (2 pcs)", "0021-460(2 PCS)",
    ],
)  # fmt: skip
def test_what_is_written_round_a_number_is_taken_off_after_the_whole_was_tried(typed: str) -> None:
    attempts = attempts_of(typed, MAKERS)
    assert attempts[0].number == typed
    assert attempts[0].notes == ()
    bare = next(one for one in attempts if one.number == "0021-460")
    assert bare.step > 0
    assert len(bare.notes) == bare.step


@pytest.mark.parametrize(
    "typed", ["4410-12K", "R-2200K", "0021-460-1", "REVERSE", "NO460", "PN460", "HX-410C", "12PCS"]
)
def test_suffixes_and_letters_of_the_number_itself_stay(typed: str) -> None:
    assert [one for one in attempts_of(typed, MAKERS) if not one.only_whole] == [attempts_of(typed, MAKERS)[0]]


def test_the_makers_code_may_stand_before_or_behind_the_words() -> None:
    assert ("VRD", "0021-460") in numbers("VRD P/N 0021-460 Rev C")
    assert ("VRD", "0021-460") in numbers("P/N VRD 0021-460")


@pytest.mark.parametrize(
    ("typed", "rest"), [("P0021-460", "0021-460"), ("1P0021-460", "0021-460"), ("Q12", "12"), ("S4410", "4410")]
)
def test_a_labels_mark_is_the_last_attempt_and_right_only_if_all_of_it_is(typed: str, rest: str) -> None:
    last = attempts_of(typed, MAKERS)[-1]
    assert (last.number, last.only_whole) == (rest, True)
    assert "on a label marks" in last.notes[0]


@pytest.mark.parametrize(
    ("typed", "maker", "number", "without"),
    [
        ("oil filter 0021-460", None, "0021-460", "oil filter"),
        ("0021 460 oil filter", None, "0021 460", "oil filter"),
        ("VRD oil filter 0021-460 x 2", "VRD", "0021-460", "oil filter"), ("Filter vrd 4410", "VRD", "4410", "Filter"),
    ],
)  # fmt: skip
def test_a_number_among_words_is_the_last_attempt_and_right_only_if_all_of_it_is(
    typed: str, maker: str | None, number: str, without: str
) -> None:
    last = attempts_of(typed, MAKERS)[-1]
    assert (last.maker, last.number, last.only_whole) == (maker, number, True)
    assert last.notes[-1] == f'read without "{without}"'


@pytest.mark.parametrize("typed", ["oil 15W 40 for 4410", "hose 1/4", "oil filter", "12 V"])
def test_words_with_two_numbers_with_a_size_or_with_none_hold_no_number(typed: str) -> None:
    assert [one for one in attempts_of(typed, MAKERS) if one.only_whole] == []


def test_a_plain_code_128_or_39_loses_only_the_scanners_mark() -> None:
    assert [one.number for one in read("]C00021-460").attempts] == ["0021-460"]
    assert [one.number for one in read("]A0P4410").attempts] == ["P4410", "4410"]


def test_what_was_tried_is_told() -> None:
    assert tried(read("vrd 77 Rev C"))[:2] == ("Tried: number vrd 77 Rev C.", "Tried: number VRD 77 Rev C.")
    assert any("read without the revision" in one for one in tried(read("77 Rev C")))


def test_a_text_too_long_is_refused() -> None:
    with pytest.raises(Invalid) as refused:
        read("7" * (LONGEST_QUERY + 1))
    assert refused.value.code == "query_too_long"


@given(st.text(max_size=60))
def test_the_text_as_it_stands_is_always_the_first_attempt(text: str) -> None:
    attempts = attempts_of(text, MAKERS)
    assert bool(attempts) >= bool(number_key(text))
    if number_key(text):
        assert attempts[0].key == number_key(text)
    assert len({(one.key, one.maker) for one in attempts}) == len(attempts)


@given(st.lists(st.sampled_from("0123456789ABCDX"), min_size=1, max_size=8), st.sampled_from(["-", " ", ".", "/", "_"]))
def test_separators_never_matter(pieces: list[str], between: str) -> None:
    separated, plain = (attempts_of(text, MAKERS)[0].key for text in (between.join(pieces), "".join(pieces)))
    assert separated == plain
