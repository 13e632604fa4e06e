"""A recorded answer goes out as the bytes that the framework's own renderer makes of the same document."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rest_framework.renderers import JSONRenderer

from catalog.api.rendering import KeptAnswerRenderer
from catalog.usecases.showing import AsKept

pytestmark = pytest.mark.domain


@pytest.mark.parametrize("accept", ["application/json", "application/json; indent=2"])
@given(words=st.text(st.characters(exclude_categories=["Cs"])), more=st.sampled_from(["", "\u2028", "\u2029"]))
def test_a_kept_answer_is_rendered_to_the_same_bytes(accept: str, words: str, more: str) -> None:
    answer = {"verdict": "accepted", "headline": words + more, "margin": None, "use": [{"quantity": 6}]}
    kept = AsKept(answer, json.dumps(answer, ensure_ascii=False, separators=(",", ":")))
    assert KeptAnswerRenderer().render(kept, accept, {}) == JSONRenderer().render(answer, accept, {})
