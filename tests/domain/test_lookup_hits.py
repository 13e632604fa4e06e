"""Which parts answer to a text, why and in which order. `shared/domain/trade.md` is common practice, no source."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.gtin import is_gtin_long
from catalog.domain.lookup.hits import PAGE, first_page
from catalog.domain.lookup.judging import Candidate
from catalog.domain.lookup.match_words import PLACES, SURE, MatchedBy
from catalog.domain.lookup.pieces import slips_of
from catalog.domain.lookup.search_keys import after_prefix, first_keys, further_keys
from catalog.domain.part_numbers import number_key
from service.errors import Invalid
from tests.domain.shelf import FILTER_460, SHELF, look_up, part, read, told
from tests.domain.slips import slips

pytestmark = pytest.mark.domain
NUMBERS = st.text("0123O5SBX-. ", min_size=1, max_size=7).filter(number_key)
SHELVES = st.lists(st.tuples(NUMBERS, st.sampled_from(["VRD", "OLM"])), min_size=1, max_size=12, unique=True).map(
    lambda rows: [part(number, maker, id_=place) for place, (number, maker) in enumerate(rows)]
)


def test_scenario_1_other_punctuation_behind_the_makers_code_is_one_sure_hit() -> None:
    hits = look_up("vrd 0021 460")
    assert told(hits) == [("0021-460", "normalised")]
    assert hits[0].note == "same number, different punctuation"


def test_scenario_2_letters_for_zeros_are_offered_and_nothing_is_sure() -> None:
    hits = look_up("OO21-46O")
    assert told(hits)[0] == ("0021-460", "look_alike")
    assert not [hit for hit in hits if hit.matched_by in SURE]
    assert hits[0].note == "looks alike (O for 0); compare it with the label"


def test_scenario_4_a_scan_finds_its_part() -> None:
    (hit,) = look_up("9520000021467")
    assert (hit.candidate, hit.matched_by, hit.pack_quantity) == (FILTER_460, MatchedBy.BARCODE, 1)


def test_scenario_4_a_wrong_check_digit_is_refused_with_the_right_one_and_nothing_else() -> None:
    with pytest.raises(Invalid, match="check digit should be 7 and is 8") as refused:
        look_up("9520000021468")
    assert refused.value.code == "wrong_check_digit"


@pytest.mark.parametrize("typed", ["412345002142", "0412345002142", "00412345002142", "4 12345 00214 2"])
def test_scenario_4_every_length_of_a_trade_item_number_is_one_item(typed: str) -> None:
    assert told(look_up(typed)) == [("2051", "barcode")]


def test_a_number_as_printed_comes_before_the_same_key_written_otherwise() -> None:
    shelf = [part("2145-0", id_=1), part("21-450", id_=2)]
    assert told(look_up("21-450", shelf)) == [("21-450", "exact"), ("2145-0", "normalised")]
    assert told(look_up("21450", shelf)) == [("21-450", "normalised"), ("2145-0", "normalised")]


def test_zeros_in_front_make_another_part_and_it_is_warned_of() -> None:
    assert told(look_up("21-450")) == [("21-450", "exact"), ("0021-450", "near_twin")]
    assert look_up("21-450")[1].note == "differs by leading zeros only"
    assert told(look_up("21-460"))[0] == ("0021-460", "near_twin")


def test_a_case_has_the_quantity_that_is_recorded() -> None:
    (hit,) = look_up("19520000021464")
    assert (hit.candidate, hit.pack_quantity, hit.note) == (
        FILTER_460, 12, "barcode 19520000021464 of a pack of 12",
    )  # fmt: skip


def test_a_case_that_is_not_recorded_has_no_quantity() -> None:
    """GS1 General Specifications, indicator digit (from memory)."""
    (hit,) = look_up("29520000021461")
    assert (hit.candidate, hit.pack_quantity) == (FILTER_460, None)
    assert "how many are in it is not recorded" in hit.note


def test_a_swap_of_neighbours_five_apart_passes_the_check_and_is_another_item() -> None:
    """Why a right check digit proves no identity: computed on the trade page."""
    shelf = [part("A1", id_=1, codes=[("9520000021641", 1)]), part("A2", id_=2, codes=[("9520000026141", 1)])]
    assert told(look_up("9520000021641", shelf)) == [("A1", "barcode")]
    assert told(look_up("9520000026141", shelf)) == [("A2", "barcode")]


def test_a_part_number_of_eight_digits_needs_no_check_digit() -> None:
    shelf = [part("2145-0012", id_=1)]
    assert told(look_up("21450012", shelf)) == [("2145-0012", "normalised")]
    with pytest.raises(Invalid, match=r"No part is numbered 21450014\. .* check digit should be 3 and is 4"):
        look_up("21450014", shelf)


def test_digits_that_check_are_a_number_and_a_barcode() -> None:
    shelf = [part("B", id_=1, codes=[("9520000021467", 4)]), part("9520000021467", id_=2)]
    assert told(look_up("9520000021467", shelf)) == [("9520000021467", "exact"), ("B", "barcode")]


def test_a_part_found_by_number_and_by_barcode_is_there_once_with_its_pack() -> None:
    (hit,) = look_up("9520000021467", [part("9520000021467", id_=1, codes=[("9520000021467", 4)])])
    assert (hit.matched_by, hit.pack_quantity) == (MatchedBy.EXACT, 4)


def test_a_makers_own_code_on_a_package_is_found_as_it_is() -> None:
    assert told(look_up("BOX-77", [part("1", id_=1, codes=[("BOX-77", 6)])])) == [("1", "barcode")]


def test_what_replaces_a_number_stands_behind_it_with_its_chain() -> None:
    hits = look_up("VRD 0021-440")
    assert told(hits)[:3] == [("0021-440", "exact"), ("0021-450", "superseded"), ("0021-460", "superseded")]
    assert hits[2].note == (
        "replaces VRD 0021-440 (VRD 0021-440 > VRD 0021-450 > VRD 0021-460); which of them serves depends on the engine"
    )


def test_numbers_that_replace_each_other_are_a_catalogue_error() -> None:
    hits = look_up("3300-1")
    assert told(hits) == [("3300-1", "exact"), ("3300-2", "superseded")]
    assert hits[1].note == "catalogue error: numbers replace each other (VRD 3300-1 > VRD 3300-2)"


def test_the_makers_code_keeps_other_makers_out_and_says_so() -> None:
    hits = look_up("VRD 4470")
    assert told(hits) == [("4470", "contains")]
    assert hits[0].note == "this number, of another maker"
    assert told(look_up("4470 tsk")) == [("4470", "exact")]


@pytest.mark.parametrize(
    ("typed", "first", "note"),
    [
        ("0021-460 Rev C", "exact", 'the revision "Rev C"'), ("P/N 0021-460", "exact", '"P/N"'),
        ("#0021460", "normalised", '"#"'), ("0021-460 (2 pcs)", "exact", 'the quantity "(2 pcs)"'),
        ("P0021-460", "exact", "a label marks a part number"),
        ("1p0021460", "normalised", "the supplier's part number"),
    ],
)  # fmt: skip
def test_what_was_left_out_to_find_a_part_is_said(typed: str, first: str, note: str) -> None:
    hit = look_up(typed)[0]
    assert (hit.candidate, hit.matched_by.value) == (FILTER_460, first)
    assert note in hit.note


def test_a_number_printed_with_what_could_be_noise_is_found_as_printed() -> None:
    shelf = [part("0021-460 Rev C", id_=1), part("0021-460", id_=2), part("P4410", id_=3), part("4410", id_=4)]
    assert told(look_up("0021-460 Rev C", shelf)) == [("0021-460 Rev C", "exact")]
    assert told(look_up("P4410", shelf)) == [("P4410", "exact")]


def test_a_labels_mark_is_taken_off_only_where_the_rest_is_a_number() -> None:
    assert look_up("Q20") == ()
    assert told(look_up("P0021")) == []
    assert look_up("P0021460", [part("21460", id_=1)]) == ()


@pytest.mark.parametrize(
    ("typed", "way"),
    [("002", "prefix"), ("021-46", "contains"), ("0021-461", "one_edit"), ("OI12", "look_alike"), ("oil filt", "text")],
)
def test_each_way_is_there_from_its_least_length(typed: str, way: str) -> None:
    shelf = [part("0021-460", id_=1, name="Oil filter"), part("0112", id_=2)]
    assert way in {hit.matched_by.value for hit in look_up(typed, shelf)}


@pytest.mark.parametrize(("typed", "way"), [("00", "prefix"), ("1-46", "contains"), ("of", "text"), ("00", "one_edit")])
def test_shorter_texts_ask_for_less(typed: str, way: str) -> None:
    shelf = [part("0021-460", id_=1, name="Oil filter of steel"), part("001", id_=2)]
    assert way not in {hit.matched_by.value for hit in look_up(typed, shelf)}


def test_every_word_must_be_in_the_name() -> None:
    assert told(look_up("spark plug"))[0] == ("4410-12", "text")
    assert [hit.candidate.number for hit in look_up("tsk spark plug")] == ["4470"]
    assert look_up("spark filter") == ()


def test_twenty_hits_then_more() -> None:
    shelf = [part(f"770{place:02d}", id_=place) for place in range(PAGE + 1)]
    page, more = first_page(look_up("770", shelf))
    assert (len(page), more) == (PAGE, True)
    assert first_page(look_up("770", shelf[:-1]))[1] is False


def test_a_text_without_letter_or_digit_is_refused() -> None:
    with pytest.raises(Invalid, match="no letter or digit"):
        read(" - ")


@given(SHELVES, NUMBERS, st.randoms(use_true_random=False))
def test_the_order_is_total_and_does_not_depend_on_the_order_of_loading(
    shelf: list[Candidate], typed: str, chance: Random
) -> None:
    hits = look_up(typed, shelf)
    mixed = list(shelf)
    chance.shuffle(mixed)
    assert look_up(typed, mixed) == hits
    assert [hit.rank for hit in hits] == list(range(1, len(hits) + 1))
    places = [PLACES[hit.matched_by] for hit in hits]
    assert places == sorted(places)


@given(SHELVES, st.sampled_from(["", "-", " ", "/", "\u2013"]))
def test_every_part_is_sure_to_be_found_whatever_separates_its_number(shelf: list[Candidate], between: str) -> None:
    for row in shelf:
        hits = look_up(between.join(row.key), shelf)
        assert row.id in {hit.candidate.id for hit in hits if hit.matched_by in SURE}


@given(SHELVES, NUMBERS)
def test_the_keys_asked_for_load_every_part_that_answers(shelf: list[Candidate], typed: str) -> None:
    """Judging all parts there are finds no more than judging those loaded by the keys."""
    reading = read(typed)
    first, further = first_keys(reading), further_keys(reading)
    loaded = {
        row.id
        for row in shelf
        if row.key in {*first.keys, *further.one_edit}
        or not {*slips_of(row.key)}.isdisjoint(further.one_edit)
        or row.no_zeros in first.no_zeros
        or any(one.first <= row.key and (one.below is None or row.key < one.below) for one in first.ranges)
        or any(one.text in row.key for one in further.inside)
        or row.key.translate(str.maketrans("OQILSZBG", "00115286")) in first.look_alikes
    }
    assert {hit.candidate.id for hit in look_up(typed, shelf)} <= loaded


@given(st.sampled_from(SHELF), st.data())
def test_every_slip_of_the_finger_is_offered(row: Candidate, data: st.DataObject) -> None:
    typed = sorted(key for key in slips(row.key) if len(key) >= 3 and not is_gtin_long(key))
    hits = look_up(data.draw(st.sampled_from(typed)))
    if not any(hit.matched_by in SURE for hit in hits):
        assert row.id in {hit.candidate.id for hit in hits}


@given(st.text(min_size=1, max_size=4), st.text(max_size=3))
def test_what_begins_so_ends_before_the_end_of_the_range(prefix: str, more: str) -> None:
    below = after_prefix(prefix)
    assert below is None or prefix + more < below.encode().decode()


def test_the_range_of_a_prefix_ends_where_another_begins() -> None:
    assert after_prefix("0021") == "0022"
    assert after_prefix("A\U0010ffff") == "B"
    assert after_prefix("\U0010ffff") is None
    assert after_prefix("\ud7ff") == "\ue000"


@pytest.mark.parametrize(
    ("typed", "recorded"),
    [
        ("412345002142", "00412345002142"), ("412345002142", "0412345002142"), ("00412345002142", "412345002142"),
        ("19520000021464", "9520000021467"), ("]C10109520000021467", "9520000021467"), ("BOX-77", "BOX-77"),
    ],
)  # fmt: skip
def test_barcodes_are_asked_for_in_every_length_and_of_a_pack_the_item(typed: str, recorded: str) -> None:
    assert recorded in first_keys(read(typed)).barcodes
    assert told(look_up(typed, [part("1", id_=1, codes=[(recorded, 1)])])) == [("1", "barcode")]


def test_what_is_recorded_of_a_case_beats_what_its_digits_say() -> None:
    shelf = [part("A", id_=1, codes=[("9520000021467", 1)]), part("B", id_=2, codes=[("19520000021464", 12)])]
    assert [(hit.candidate.number, hit.pack_quantity) for hit in look_up("19520000021464", shelf)] == [("B", 12)]
