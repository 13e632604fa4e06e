"""The one adapter to the library of GS1 application identifiers; the library itself is loaded when first asked."""

from catalog.element_strings.library import first_element

__all__ = ["first_element"]
