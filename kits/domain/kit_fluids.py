"""The fluids of one kit: what its lines need of each summed, then bought by the container."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from catalog.domain.answers import Fact
from catalog.domain.parts import PartKey
from kits.domain.containers import Container, Mix, cheapest_mix


@dataclass(frozen=True, slots=True)
class FluidNeed:
    """What one line needs of a fluid."""

    line: int
    part: PartKey
    microlitres: int


@dataclass(frozen=True, slots=True)
class FluidBought:
    """One fluid of the kit. Its containers stand on the first of its lines; without a price there are none."""

    part: PartKey
    lines: tuple[int, ...]
    needed: int
    mix: Mix | None
    missing: tuple[Fact, ...] = ()


def fluids(
    needs: Sequence[FluidNeed], containers: Mapping[PartKey, tuple[Container, ...]], currency: str
) -> tuple[FluidBought, ...]:
    """Each fluid once. Prices in `currency` are taken where there are any, else those of the one currency there is.

    Where no container is priced, or only in several other currencies, the line asks for it.
    """
    by_part: dict[PartKey, list[FluidNeed]] = {}
    for need in needs:
        by_part.setdefault(need.part, []).append(need)
    return tuple(_bought(part, found, containers.get(part, ()), currency) for part, found in by_part.items())


def _bought(part: PartKey, needs: Sequence[FluidNeed], containers: tuple[Container, ...], currency: str) -> FluidBought:
    lines, needed = tuple(need.line for need in needs), sum(need.microlitres for need in needs)
    own = tuple(entry for entry in containers if entry.price.currency == currency)
    offered = own or containers
    currencies = sorted({entry.price.currency for entry in offered})
    if len(currencies) == 1:
        return FluidBought(part, lines, needed, cheapest_mix(needed, offered, currencies[0]))
    shown = " ".join(part)
    if currencies:
        words = f"In which currency is {shown} bought? Its containers are priced in {', '.join(currencies)}."
    else:
        words = f"In which containers is {shown} sold, and at what price? None is recorded."
    return FluidBought(part, lines, needed, None, (Fact(f"containers of {shown}", words),))
