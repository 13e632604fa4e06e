"""Rows of kits to frozen values."""

from kits.loading.plans import plan_read, plans_of
from kits.loading.service_records import ServiceRecords, meter_from, service_records

__all__ = ["ServiceRecords", "meter_from", "plan_read", "plans_of", "service_records"]
