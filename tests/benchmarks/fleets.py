"""Order questions for fleets of machines: one round of orders, suppliers with charges, minimums and three pack sizes.

All invented, and the same for the same seed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from random import Random

from kits.domain.calendars import Calendar, Delivery
from kits.domain.money import Money
from kits.domain.order_plan.question import Need, Offer, OrderQuestion, Supplier
from kits.domain.stock import Batch, StockItem

PARTS = 200
LINES = 25  # of one machine's specification
SERVICES = 4
PLACED = datetime(2026, 3, 9, 8, tzinfo=UTC)
DAYS = Calendar("both", date(2026, 1, 1), date(2026, 12, 31))
CENT = 100

Part = tuple[str, str]


@dataclass(frozen=True, slots=True)
class _World:
    dice: Random
    parts: tuple[Part, ...]
    suppliers: tuple[str, ...]


def fleet(machines: int, seed: int) -> OrderQuestion:
    """The needs of twelve weeks for that many machines."""
    world = _World(Random(seed), tuple(("VRD", f"{number:04d}") for number in range(PARTS)), tuple("ABCDEFGH"))  # noqa: S311 - a test world
    needs = tuple(need for number in range(machines) for need in _needs(number, world))
    used = sorted({part for need in needs for part in need.serves})
    offers = tuple(offer for part in used for offer in _offers(part, world))
    stock = tuple(StockItem(part, (Batch("A", world.dice.randrange(6)),)) for part in used if world.dice.random() < 0.3)
    suppliers = tuple(
        Supplier(code, _usd(world.dice.randrange(1500, 6000)), _usd(world.dice.randrange(5000, 20000)))
        for code in world.suppliers
    )
    return OrderQuestion(needs, stock, offers, PLACED, UTC, "USD", suppliers)


def _usd(cents: int) -> Money:
    return Money(cents * CENT, "USD")


def _needs(machine: int, world: _World) -> list[Need]:
    dice = world.dice
    lines = dice.sample(range(PARTS), LINES)
    needs = []
    for service in range(SERVICES):
        shelf = date(2026, 3, 13) + timedelta(weeks=3 * service + dice.randrange(3))
        for line in lines:
            if dice.random() < 0.6:
                serves = tuple(world.parts[(line + step) % PARTS] for step in range(dice.choice((1, 1, 2, 3))))
                name = f"M{machine}/{service}/{line}"
                quantity = dice.choice((1, 1, 1, 2, 4, 6))
                needs.append(Need(name, f"M{machine}", serves[0], quantity, shelf, shelf + timedelta(days=3), serves))
    return needs


def _offers(part: Part, world: _World) -> list[Offer]:
    dice = world.dice
    fair = dice.randrange(200, 6000)
    offers = []
    for supplier in dice.sample(world.suppliers, dice.choice((1, 2, 3))):
        price = fair * dice.randrange(90, 115) // 100
        delivery = Delivery(dice.choice((2, 4, 7, 10)), DAYS, UTC)
        for pack, share in ((1, 100), (4, 93), (10, 86)):
            name = f"{supplier}/{part[1]}/{pack}"
            cents = price * pack * share // 100
            offers.append(Offer(name, supplier, part, _usd(cents), pack, delivery=delivery))
    return offers
