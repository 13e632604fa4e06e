"""How a typed serial is read: what is noise, what chooses a block, what cannot be read. Common practice, no source."""

from __future__ import annotations

import pytest

from catalog.domain.serials import Serial, SerialRange, SerialScheme
from service.errors import Invalid

pytestmark = pytest.mark.domain
PUMPS = SerialScheme("OLM")
GENSETS = SerialScheme("TSK", ("", "K"))


@pytest.mark.parametrize(
    "typed",
    [
        "204999", "OLM 204999", "OLM204999", "olm-204999", "SN204999", "S/N 204999", "sn: 204999", "No. 204999",
        "Nr 204999", "no204999", "Serial 204999", "SERIAL NO. 204999", "Serial number: 204999", "0204999",
        "OLM SN 000204999", " 204999 ", "N\u00ba 204999", "\uff12\uff10\uff14\uff19\uff19\uff19",
    ],
)  # fmt: skip
def test_maker_code_words_for_serial_and_leading_zeros_are_noise(typed: str) -> None:
    """Rule 3b: however it is typed, it is the same serial."""
    assert PUMPS.read(typed) == Serial("", 204999)


@pytest.mark.parametrize(
    "typed", ["K204999", "K 204999", "k-204999", "S/N K204999", "OLM K204999", "KK204999", "204999-A"]
)
def test_a_prefix_that_no_block_has_is_never_stripped(typed: str) -> None:
    """Rule 3b: a plant prefix chooses the block; an unknown one asks for the engine plate."""
    assert PUMPS.read(typed) is None


@pytest.mark.parametrize("typed", ["K61390", "k 61390", "TSK K61390", "S/N K0061390"])
def test_a_prefix_of_a_block_chooses_it(typed: str) -> None:
    """Rule 3b."""
    assert GENSETS.read(typed) == Serial("K", 61390)


@pytest.mark.parametrize("typed", ["", "K", "no digits", "\u0663", "9" * 41])
def test_a_serial_that_cannot_be_read_is_refused_and_says_what_to_type(typed: str) -> None:
    """No digit, or over 40 characters."""
    with pytest.raises(Invalid) as refused:
        PUMPS.read(typed)
    assert refused.value.code == "serial_unreadable"
    assert "type the digits from the engine plate" in refused.value.message


@pytest.mark.parametrize(
    ("block", "inside", "outside"),
    [
        (SerialRange(None, 204999), (0, 204999), (205000,)), (SerialRange(205000, None), (205000,), (204999,)),
        (SerialRange(5, 7), (5, 7), (4, 8)), (SerialRange(), (0, 999999), ()),
    ],
)  # fmt: skip
def test_both_ends_of_a_range_belong_to_it(
    block: SerialRange, inside: tuple[int, ...], outside: tuple[int, ...]
) -> None:
    """Rule 3b."""
    assert all(block.holds_for(Serial("", number)).holds is True for number in inside)
    assert all(block.holds_for(Serial("", number)).holds is False for number in outside)
    assert all(block.holds_for(Serial("K", number)).holds is False for number in inside)


@pytest.mark.parametrize(
    ("block", "name"),
    [
        (SerialRange(None, 204999), "serial (change at 205000)"), (SerialRange(205000), "serial (change at 205000)"),
        (SerialRange(), "serial"),
    ],
)  # fmt: skip
def test_an_unknown_serial_asks_for_it_with_the_change(block: SerialRange, name: str) -> None:
    """Rule 3b: the first serial on the far side, the number the trade quotes."""
    assert [fact.name for fact in block.holds_for(None).missing] == [name]
