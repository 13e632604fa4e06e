"""The one adapter to the library of fluid properties; the library itself is loaded when first asked."""

from catalog.fluid_properties.reference_fluids import ReferenceFluids

__all__ = ["ReferenceFluids"]
