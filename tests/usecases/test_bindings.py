"""What an approval is for is what is to be used, whatever number was asked for."""

from __future__ import annotations

import json
from typing import Any

import pytest

from catalog.usecases.bindings import binding_of

pytestmark = pytest.mark.domain


def answer(*use: tuple[str, int], **more: Any) -> dict[str, Any]:
    used = [{"part": {"maker": "VRD", "number": number}, "quantity": quantity} for number, quantity in use]
    base = {"verdict": "conditional", "machine": "m", "position": "oil_filter", "conditions": ["a", "b"], "use": used}
    return {**base, **more}


def facts(*asked: str, adapters: tuple[str, ...] = (), engine: str = "VRD-H40 S-131", **more: Any) -> str:
    parts = [{"maker": "VRD", "number": number, **more} for number in (*asked, *adapters)]
    joined = list(range(len(asked), len(parts)))
    candidate = [{"part": index, "with": joined} for index in range(len(asked))]
    return json.dumps({"parts": parts, "positions": [], "rest": {"candidate": candidate, "engine": {"key": engine}}})


def digest(answered: dict[str, Any], text: str) -> str:
    found = binding_of(answered, text)
    assert found is not None
    return found.digest


def test_a_number_that_was_passed_over_makes_no_difference() -> None:
    use = ("0021-460", 1)
    assert digest(answer(use), facts("0021-440")) == digest(answer(use), facts("0021-460"))


def test_one_number_may_have_become_several() -> None:
    several = answer(("7702", 2), ("7703", 4))
    assert digest(several, facts("7701")) != digest(answer(("7702", 2)), facts("7701"))


def test_adapters_and_what_was_written_of_goods_are_part_of_it() -> None:
    use = answer(("7702", 1))
    plain = digest(use, facts("7702"))
    assert digest(use, facts("7702", adapters=("A-1",))) != plain
    assert digest(use, facts("7702", described=True, offers=["blue"])) not in {
        plain, digest(use, facts("7702", described=True, offers=["red"])),
    }  # fmt: skip


def test_with_another_engine_in_the_machine_it_is_something_else() -> None:
    """An approval belongs to one engine: common practice, no source."""
    use = answer(("0021-460", 1))
    assert digest(use, facts("0021-460")) != digest(use, facts("0021-460", engine="VRD-H40 S-118"))


@pytest.mark.parametrize("change", [{"verdict": "rejected"}, {"machine": None}, {"position": None}], ids=str)
def test_what_no_approval_can_be_for_has_none(change: dict[str, Any]) -> None:
    assert binding_of(answer(("7702", 1), **change), facts("7702")) is None
