"""The sentences of a counter answer: what lies here, what comes when, and what is not known."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from kits.domain.counter.offering import Age, Choice, OfferState, Sort, offer_state
from kits.domain.counter.shelf import Arrival, Counter, OnShelf, OrderedNow, ordered_now
from kits.domain.stock import NotTaken, PassedOver

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_WHY = {
    PassedOver.EXPIRED: "too old to be fitted today",
    PassedOver.NO_DATE_CODE: "without a date code, so how old they are cannot be told",
    PassedOver.AGE_NOT_KNOWN: "with a date code, and until when that is good is not recorded",
}


def day_words(day: date, today: date) -> str:
    """``Thu 2 Apr``, with the year where it is another one."""
    words = f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"
    return words if day.year == today.year else f"{words} {day.year}"


def passed_over_words(one: NotTaken) -> str:
    place = f"in bin {one.bin}" if one.bin else "in no bin"
    return f"{one.quantity} {place} passed over: {_WHY[one.why]}."


def shelf_words(shelf: OnShelf, counter: Counter) -> str:
    """All of one part: free or not, what is passed over, and what comes when."""
    return " ".join((f"{lying_words(shelf, counter)}.", *_beside(shelf, counter)))


def lying_words(shelf: OnShelf, counter: Counter) -> str:
    """``VRD 0021-450: 4 free here in bin C-3``, without what comes."""
    free = shelf.free(counter.today)
    if free is None:
        return f"{shelf.shown}: nothing is recorded of it at {counter.name}, so look on the shelf"
    if not free:
        return f"{shelf.shown} is {_none_words(shelf, counter.today)} at {counter.name}"
    taken, _ = shelf.places(counter.today)
    bins = list(dict.fromkeys(one.bin for one in taken if one.bin))
    where = f" in {'bin' if len(bins) == 1 else 'bins'} {', '.join(bins)}" if bins else ""
    short = shelf.short(counter.today)
    return f"{shelf.shown}: {free} free here{where}" + (f", {short} short of {shelf.needed}" if short else "")


def coming_words(shelf: OnShelf, counter: Counter) -> str:
    """``6 arrive by Thu 2 Apr``; where nothing is on its way, when it would come if it were ordered now."""
    if shelf.incoming:
        return ", ".join(
            f"{one.unassigned} arrive by {day_words(one.latest, counter.today)}"
            if one.latest
            else f"{one.unassigned} on their way without a promised day"
            for one in shelf.incoming
        )
    return order_words(ordered_now(shelf, counter), counter)


def order_words(found: OrderedNow, counter: Counter) -> str:
    if found.arrival is None:
        return f"when it could arrive is not known: {' '.join(found.missing)}".rstrip(".")
    return _arrival_words(found.arrival, counter)


def _arrival_words(arrival: Arrival, counter: Counter) -> str:
    day, supplier = day_words(arrival.on, counter.today), arrival.by.supplier
    if arrival.back_order is not None:
        return f"on back-order at {supplier}, promised by {day}"
    words = f"ordered now from {supplier} it arrives {day}"
    if arrival.last is None:
        return words
    if arrival.last.instant is None:
        return f"{words}, if ordered by {day_words(arrival.last.day, counter.today)} (no cut-off hour is recorded)"
    local = arrival.last.instant.astimezone(counter.zone)
    return f"{words}, if ordered by {day_words(local.date(), counter.today)} {local:%H:%M}"


def _beside(shelf: OnShelf, counter: Counter) -> list[str]:
    found = [passed_over_words(one) for one in shelf.places(counter.today)[1]]
    if shelf.overpromised:
        found.append("More of it is promised than was there at the last count: count the bin.")
    if shelf.wants_order(counter.today):
        coming = coming_words(shelf, counter)
        found.append(f"{coming[:1].upper()}{coming[1:]}.")
    return found


def headline_stock(
    choices: Sequence[Choice], alternatives: Sequence[Choice], age: Age, counter: Counter, *, why_not: str
) -> str:
    """One sentence for the counter; `why_not` is said where nothing of what was asked for may be offered.

    `choices` are in the order in which they are offered, `alternatives` what would do in their place.
    """
    said = _offered_words(choices, counter) if choices else _instead_words(alternatives, counter, why_not)
    return f"{said}.{_age_words(age, counter)}"


def _offered_words(choices: Sequence[Choice], counter: Counter) -> str:
    first = next((one for one in choices if one.lies_free(counter.today)), choices[0])
    current = next(one for one in choices if one.sort is Sort.CURRENT)
    lying = _lying_choice(first, counter)
    if first is not current:
        return f"{lying}; {_current_words(current, counter)}"
    wanting = [shelf for shelf in current.shelves if shelf.short(counter.today)]
    return "; ".join((lying, *(coming_words(shelf, counter) for shelf in wanting)))


def _lying_choice(one: Choice, counter: Counter) -> str:
    known = [shelf for shelf in one.shelves if shelf.content is None or shelf.lies_free(counter.today)]
    words = "; ".join(lying_words(shelf, counter) for shelf in known or one.shelves)
    return f"Only with its conditions: {words}" if offer_state(one.verdict) is OfferState.ONLY_IF else words


def _current_words(current: Choice, counter: Counter) -> str:
    return "; ".join(_number_words(shelf, counter) for shelf in current.shelves)


def _number_words(shelf: OnShelf, counter: Counter) -> str:
    free, name = shelf.free(counter.today), f"the current number {shelf.shown}"
    if free:
        return f"of {name} {free} free here"
    if free is None:
        return f"of {name} nothing is recorded here"
    return f"{name} is {_none_words(shelf, counter.today)}, {coming_words(shelf, counter)}"


def _none_words(shelf: OnShelf, today: date) -> str:
    """Pieces that lie there and may not be handed over are not out of stock."""
    if shelf.item is None or not shelf.item.on_hand:
        return "out of stock"
    passed = sum(one.quantity for one in shelf.places(today)[1])
    counts = ((shelf.item.on_hand, "on hand"), (shelf.item.reserved, "promised"), (passed, "passed over for their age"))
    return f"not free ({', '.join(f'{count} {words}' for count, words in counts if count)})"


def _instead_words(alternatives: Sequence[Choice], counter: Counter, why_not: str) -> str:
    """The first alternative that lies free, with what it hangs on; none is named that does not."""
    lying = next((one for one in alternatives if one.lies_free(counter.today)), None)
    words = "nothing that would do here lies free"
    if lying is not None:
        named = _lying_choice(lying, counter)
        words = f"instead {named[:1].lower() if named.startswith('Only') else named[:1]}{named[1:]}"
    return f"{why_not} {words[:1].upper()}{words[1:]}" if why_not.endswith("?") else f"{why_not}; {words}"


def _age_words(age: Age, counter: Counter) -> str:
    if age.as_of is None:
        return " When the stock was last counted is not recorded."
    if not age.stale:
        return ""
    oldest = min(age.as_of.supplied_on, age.as_of.applied_at.astimezone(counter.zone).date())
    return f" Stock is as of {day_words(oldest, counter.today)}."
