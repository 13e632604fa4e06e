"""The one adapter to the library of public holidays."""

from kits.holidays_of.public_holidays import calendar_of, public_holidays

__all__ = ["calendar_of", "public_holidays"]
