"""The one adapter to the statistics library; the library itself is loaded when first asked."""

from kits.statistics.robust import RobustStatistics

__all__ = ["RobustStatistics"]
