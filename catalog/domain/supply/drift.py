"""What is left in a container whose vapour is drawn: the light part goes first, and the pressure with it."""

from __future__ import annotations

from catalog.domain.supply.fluids import Fluids, Mixture

_STEPS = 60


def left_after(fluids: Fluids, mixture: Mixture, *, kelvin: float, left: float) -> Mixture:
    """The liquid left when `left` of its molecules (0..1, above zero) remain at a constant temperature, K.

    Rayleigh's open evaporation: what leaves has at every moment the composition of the vapour over the liquid. Liquid
    drawn leaves the composition as it is.
    """
    if not 0 < left <= 1:
        raise ValueError(f"what is left is a share above 0 and at most 1, not {left}")
    kept = left ** (1 / _STEPS)
    for _ in range(_STEPS if left < 1 else 0):
        mixture = _after_one_step(fluids, mixture, kelvin, kept)
    return mixture


def _after_one_step(fluids: Fluids, mixture: Mixture, kelvin: float, kept: float) -> Mixture:
    """Midpoint rule: the vapour over the liquid of half a step on leaves during the whole step."""
    halfway = _less(mixture, fluids.vapour_over(mixture, kelvin), (1 + kept) / 2)
    return _less(mixture, fluids.vapour_over(halfway, kelvin), kept)


def _less(mixture: Mixture, leaving: Mixture, kept: float) -> Mixture:
    gone = dict(leaving.shares)
    amounts = [(species, share - (1 - kept) * gone.get(species, 0.0)) for species, share in mixture.shares]
    present = [(species, amount) for species, amount in amounts if amount > 0]
    whole = sum(amount for _, amount in present)
    return Mixture(tuple((species, amount / whole) for species, amount in present))
