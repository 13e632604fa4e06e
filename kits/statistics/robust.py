"""Robust slopes and quantiles from scipy, as the forecasts ask for them (`kits.domain.rates.Statistics`)."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache


class RobustStatistics:
    """Theil-Sen slopes and quantiles of Student's distribution. Stateless; scipy is imported on first use."""

    def slope(self, places: Sequence[float], values: Sequence[float]) -> float:
        """The median of the slopes between every two points (Theil 1950, Sen 1968); two places at least must differ."""
        import numpy as np  # noqa: PLC0415 - see below
        from scipy import stats  # noqa: PLC0415 - takes a second to load, and most requests forecast nothing

        # The library also works out the slope's own limits, which few and equal places leave undefined; unused here.
        with np.errstate(invalid="ignore"):
            return float(stats.theilslopes(values, places).slope)

    def student_quantile(self, share: float, degrees: float) -> float:
        """The value that this share of Student's distribution with so many degrees of freedom stays below."""
        return _student_quantile(round(share, 9), round(degrees, 9))


@lru_cache(maxsize=4096)
def _student_quantile(share: float, degrees: float) -> float:
    from scipy import special  # noqa: PLC0415 - see above

    return float(special.stdtrit(degrees, share))
