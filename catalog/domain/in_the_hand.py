"""What somebody measured or read on the very piece, beside what is recorded of its number.

Of recorded sources that disagree, those stand which the piece bears out: it is in the hand, and they speak of others
like it. A piece that bears out none, or all, leaves them as they are: then it is one more source. What was only told
bears out nothing (common practice, no source).
"""

from __future__ import annotations

from catalog.domain.quantities import Dimension, Quantity
from catalog.domain.values import How, Offer, Value

CALLIPER = Quantity(200, Dimension.LENGTH, "mm")  # 0.02 mm, what a calliper of the shop can be trusted to
_ON_THE_PIECE = frozenset({How.MEASURED, How.LABEL})


def heard_together(recorded: tuple[Offer, ...], told: tuple[Offer, ...]) -> tuple[Offer, ...]:
    """What counts of one place. A length as far from the recorded one as a calliper may be off is no second size."""
    seen = tuple(offer for offer in told if offer.how in _ON_THE_PIECE)
    borne_out = tuple(one for one in recorded if all(_bears_out(offer, one.value) for offer in seen))
    if not seen or not borne_out:
        return (*recorded, *told)
    values = {one.value for one in borne_out}
    return (*borne_out, *(offer for offer in told if offer not in seen or offer.value in values))


def _bears_out(seen: Offer, recorded: Value) -> bool:
    size, of_number = seen.value.payload, recorded.payload
    if seen.how is How.MEASURED and isinstance(size, Quantity) and isinstance(of_number, Quantity):
        reach = CALLIPER.amount if size.dimension is CALLIPER.dimension else 0
        return size.dimension is of_number.dimension and abs(size.amount - of_number.amount) <= reach
    return seen.value == recorded
