"""Which specification a model and a specification number mean."""

from __future__ import annotations

from collections.abc import Iterable

from catalog import loading
from catalog.loading import LoadedSpecification
from catalog.usecases.refusals import UnknownSpecification


class SpecificationFinder:
    """The specifications asked about, loaded in one statement; one more only where one is missing."""

    def __init__(self, pairs: Iterable[tuple[str, str]], stamp: str) -> None:
        self._pairs = frozenset(pairs)
        self._found = loading.specifications(stamp, self._pairs)
        self._known: dict[str, tuple[str, ...]] | None = None

    def find(self, pair: tuple[str, str], pointer: str) -> LoadedSpecification:
        """Raises UnknownSpecification, with the specifications there are of that model."""
        found = self._found.get(pair)
        if found is not None and not found.withdrawn:
            return found
        model, spec = pair
        known = self._of_model(model)
        choose = f"known of {model}: {', '.join(known)}" if known else "check the model on the engine plate"
        raise UnknownSpecification(
            f"There is no specification {spec!r} of model {model!r}; {choose}.",
            pointer=pointer,
            suggestions=[{"model": model, "spec": number} for number in known],
        )

    def _of_model(self, model: str) -> tuple[str, ...]:
        if self._known is None:
            self._known = loading.specification_numbers(model for model, _ in self._pairs)
        return self._known.get(model, ())
