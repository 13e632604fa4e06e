"""Rows of kits to frozen values."""

from kits.loading.plans import plan_read, plans_of

__all__ = ["plan_read", "plans_of"]
