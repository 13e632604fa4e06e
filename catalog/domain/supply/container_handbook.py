"""The trade's own estimate of a container's vapour: D*L*K of a lying tank, a printed chart for the 100-lb cylinder.

Both count the heat of the fuel burned (HHV), not that of boiling, for air at 0 degF and a liquid that may sag to
-20 degF, which is 10.7 psi gauge in propane. Where more pressure must be held the sag is that pressure's own boiling
temperature. Temperatures here are kelvin, heats W; inches, pounds and Btu/h stay inside.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from catalog.domain.answers import Source, SourceKind
from catalog.domain.supply.container import ACCURACY, ACCURACY_WORDS, Container, Standing, check_fill
from service.errors import Invalid

BTU_PER_HOUR = 1055.05585262 / 3600  # W
POUND = 0.45359237  # kg
PROPANE_HIGHER_HEAT = 21_591 * 2326.0  # J/kg; 21,591 Btu/lb in the same trade tables
HANDBOOK_SAG = (-20 + 459.67) / 1.8  # K
_SAG_DIFFERENCE = 20 / 1.8  # K that -20 degF lies below 0 degF: a difference, 11.1 K
HANDBOOK = Source(SourceKind.PUBLISHED, "a generating set's installation manual, D*L*K table and 100-lb cylinder chart")

# Fill in per cent of the volume to K. Above 60 % the table says no more, so no more is counted; an empty tank has none.
_K = ((0.0, 0.0), (10.0, 45.0), (20.0, 60.0), (30.0, 70.0), (40.0, 80.0), (50.0, 90.0), (60.0, 100.0))
# The 100-lb cylinder, Btu/h: by pounds left at 0 degF and at 70 degF, and full by degF.
_CHART_0_F = ((0.0, 0.0), (10.0, 28_000.0), (50.0, 64_000.0), (100.0, 113_000.0))
_CHART_70_F = ((0.0, 0.0), (10.0, 66_000.0), (50.0, 167_000.0), (100.0, 300_000.0))
_CHART_FULL = ((0.0, 113_000.0), (20.0, 167_000.0), (40.0, 214_000.0), (60.0, 277_000.0), (70.0, 300_000.0))
_LEAST_F, _MOST_F = -15.0, 20.0  # where the multiplier may be used
LINEAR_UP_TO = (_MOST_F + 459.67) / 1.8  # K
OPTIMISTIC = 2.1  # how far the published tables lie below the straight line above that, at the most


@dataclass(frozen=True, slots=True)
class HandbookCapacity:
    """Heat of fuel (HHV) that the vapour drawn carries, W. `disputed` where published tables do not agree with it."""

    heat_watts: float
    least_watts: float  # what is left where it is as far too high as it may be
    words: str
    disputed: bool
    source: Source = HANDBOOK

    @property
    def btu_per_hour(self) -> float:
        return self.heat_watts / BTU_PER_HOUR

    @property
    def flow(self) -> float:
        """kg/s of propane."""
        return self.heat_watts / PROPANE_HIGHER_HEAT


def handbook_k(fill: float) -> float:
    """K of the D*L*K rule, between its printed fills by a straight line. Raises Invalid outside 0..1."""
    check_fill(fill)
    return _between(_K, fill * 100)


def handbook_multiplier(air_kelvin: float, sag_kelvin: float = HANDBOOK_SAG) -> float:
    """(air - sag) / 20 degF, never below zero: 1 at 0 degF air and the handbook's own sag of -20 degF."""
    return max(air_kelvin - sag_kelvin, 0.0) / _SAG_DIFFERENCE


def tank_capacity(
    container: Container, *, fill: float, air_kelvin: float, sag_kelvin: float = HANDBOOK_SAG
) -> HandbookCapacity:
    """A lying tank by outside diameter x overall length x K x multiplier.

    Raises Invalid for an upright container, which the rule was not made for, and for a fill outside 0..1.
    """
    if container.standing is not Standing.HORIZONTAL:
        raise Invalid("D*L*K is a rule for tanks that lie; an upright cylinder has a chart.", code="container_standing")
    size = container.outside_diameter_m * container.length_m / 0.0254**2
    rated = size * handbook_k(fill) * handbook_multiplier(air_kelvin, sag_kelvin) * BTU_PER_HOUR
    return _screened(rated, air_kelvin, f"D*L*K with a multiplier of {handbook_multiplier(air_kelvin, sag_kelvin):.2f}")


def cylinder_capacity(*, contents_kg: float, air_kelvin: float, sag_kelvin: float = HANDBOOK_SAG) -> HandbookCapacity:
    """The upright 100-lb propane cylinder: its chart at 0 degF with the multiplier, never above what the chart says.

    Raises Invalid for contents that such a cylinder does not hold.
    """
    if not 0 <= contents_kg <= 100.5 * POUND:  # 45.4 and 45.5 kg are printed for 100 lb
        raise Invalid(f"A 100-lb cylinder holds 0 to 45.4 kg, not {contents_kg} kg.", code="container_contents")
    pounds, fahrenheit = min(contents_kg / POUND, 100.0), _fahrenheit(air_kelvin)
    rated = _between(_CHART_0_F, pounds) * handbook_multiplier(air_kelvin, sag_kelvin)
    if fahrenheit > 0:
        # The chart is printed for the handbook's own sag; a liquid held warmer gives less in proportion.
        share = handbook_multiplier(air_kelvin, sag_kelvin) / handbook_multiplier(air_kelvin)
        rated = min(rated, _chart(pounds, fahrenheit) * share)
    words = f"chart of the 100-lb cylinder with {pounds:.3g} lb in it"
    return _screened(rated * BTU_PER_HOUR, air_kelvin, words, charted=True)


def _screened(watts: float, air_kelvin: float, how: str, *, charted: bool = False) -> HandbookCapacity:
    fahrenheit = _fahrenheit(air_kelvin)
    # A temperature given as degC or degF comes here with a rounding of its own.
    outside = not _LEAST_F - 1e-6 <= fahrenheit <= _MOST_F + 1e-6
    warm = fahrenheit > _MOST_F + 1e-6
    words, least = f"{how}; {ACCURACY_WORDS}", watts * (1 - ACCURACY)
    if warm and not charted:
        words = f"{words}; screening only above 20 degF: the published tables are 1.35 to 2.1 times lower"
        least = min(least, watts / OPTIMISTIC)
    elif outside and not warm:
        words = f"{words}; below -15 degF the multiplier is not published"
    return HandbookCapacity(watts, least, words, disputed=outside)


def _chart(pounds: float, fahrenheit: float) -> float:
    """Btu/h above 0 degF: printed for a full cylinder by temperature, and by contents at 0 and at 70 degF."""
    cold, warm = _between(_CHART_0_F, pounds), _between(_CHART_70_F, pounds)
    coldest, warmest = _CHART_FULL[0][1], _CHART_FULL[-1][1]
    return cold + (warm - cold) * (_between(_CHART_FULL, fahrenheit) - coldest) / (warmest - coldest)


def _between(points: Sequence[tuple[float, float]], at: float) -> float:
    """By straight lines, and level beyond the ends."""
    if at >= points[-1][0]:
        return points[-1][1]
    after = max(bisect_left([point[0] for point in points], at), 1)
    (low, first), (high, second) = points[after - 1], points[after]
    return first + (second - first) * (max(at, low) - low) / (high - low)


def _fahrenheit(kelvin: float) -> float:
    return kelvin * 1.8 - 459.67
