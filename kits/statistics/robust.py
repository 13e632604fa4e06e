"""Robust slopes and quantiles from numpy and scipy, as the forecasts ask for them (`kits.domain.rates.Statistics`)."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache


class RobustStatistics:
    """Theil-Sen slopes and quantiles of Student's distribution. Stateless; libraries are loaded on first use."""

    def slope(self, places: Sequence[float], values: Sequence[float]) -> float:
        """The median of the slopes between every two points (Theil 1950, Sen 1968); two places at least must differ.

        Worked out here: the library gives the same slope, and takes most of its time for limits that nobody asks for.
        """
        import numpy as np  # noqa: PLC0415 - only where something is forecast

        across, up = (np.asarray(entries, dtype=float) for entries in (places, values))
        apart = across[:, None] - across
        later = apart > 0
        return float(np.median((up[:, None] - up)[later] / apart[later]))

    def student_quantile(self, share: float, degrees: float) -> float:
        """The value that this share of Student's distribution with so many degrees of freedom stays below."""
        return _student_quantile(round(share, 9), round(degrees, 9))


@lru_cache(maxsize=4096)
def _student_quantile(share: float, degrees: float) -> float:
    from scipy import special  # noqa: PLC0415 - takes a second to load, and most requests forecast nothing

    return float(special.stdtrit(degrees, share))
