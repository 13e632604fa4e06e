"""An adapter that is named is one piece: where two joints do not mate, each asks for a piece of its own."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.api.world import FIXTURES, Desk

pytestmark = pytest.mark.db
J_440 = {"maker": "TSK", "number": "J-440"}
JOINT = ("joint_form", "joint_size", "joint_gender", "joint_hand")


def lock_off(*adapters: dict[str, str], outlet_size: str = "1/4") -> dict[str, Any]:
    """The golden lock-off whose inlet is NPT where a flare stands, with its outlet in NPT too."""
    case = json.loads((FIXTURES / "cases" / "lock-off-through-an-adapter.json").read_text(encoding="utf-8"))
    question: dict[str, Any] = case["question"]
    described = question["candidate"]["described"]
    stated = {(row["attribute"], row["slot"]): row["value"] for row in described["attributes"]}
    outlet = {(member, "outlet"): stated[(member, "inlet")] for member in JOINT}
    stated |= {**outlet, ("joint_size", "outlet"): outlet_size}
    rows = [{"attribute": member, "slot": slot, "value": value} for (member, slot), value in stated.items()]
    return {**question, "candidate": {"described": {**described, "attributes": rows}, "with": list(adapters)}}


def joints(answer: dict[str, Any]) -> dict[str, str]:
    return {row["slot"]: row["outcome"] for row in answer["findings"] if row["attribute"] == "connections"}


def test_one_adapter_does_not_join_two_joints(desk: Desk) -> None:
    """Common practice, no source: one piece of brass stands in one place."""
    answer = desk.answer(lock_off(J_440))
    assert answer["verdict"] == "rejected"
    assert sorted(joints(answer).values()) == ["met_if", "not_met"]
    assert "a piece joins one" in answer["headline"]


def test_named_once_for_each_joint_it_joins_them_and_each_place_is_said(desk: Desk) -> None:
    """One joint on gas at each place, so neither is one too many."""
    answer = desk.answer(lock_off(J_440, J_440))
    assert (answer["verdict"], joints(answer)) == ("conditional", {"inlet": "met_if", "outlet": "met_if"})
    made = [condition for condition in answer["conditions"] if "J-440" in condition]
    assert made == [f"the joint ({place}) is made with TSK J-440 and leak-tested" for place in ("inlet", "outlet")]


def test_adapters_of_two_sizes_each_stand_where_they_fit_in_whatever_order_they_are_named(desk: Desk) -> None:
    larger = desk.get("/parts/?maker=TSK&number=J-440").json()["results"][0]
    record = desk.get(f"/parts/{larger['id']}/").json()
    rows = [
        {"attribute": row["attribute"], "slot": row["slot"], "source": row["source"],
         "value": "3/8" if (row["attribute"], row["slot"]) == ("joint_size", "end_b") else row["value"]}
        for row in record["attributes"]
    ]  # fmt: skip
    body = {name: record[name] for name in ("maker", "name", "category", "supplied_as", "condition")}
    other = {"maker": "TSK", "number": "J-446"}
    desk.made("/parts/", {**body, "number": other["number"], "attributes": rows})
    for named in ((J_440, other), (other, J_440)):
        answer = desk.answer(lock_off(*named, outlet_size="3/8"))
        assert answer["verdict"] == "conditional"
        assert "the joint (inlet) is made with TSK J-440 and leak-tested" in answer["conditions"]
        assert "the joint (outlet) is made with TSK J-446 and leak-tested" in answer["conditions"]
    assert desk.answer(lock_off(J_440, outlet_size="3/8"))["verdict"] == "rejected"


def test_a_piece_too_many_at_one_joint_on_gas_is_refused_still(desk: Desk) -> None:
    answer = desk.answer(lock_off(J_440, J_440, J_440))
    assert answer["verdict"] == "rejected"
    assert "2 adapters where a gas line takes one joint." in answer["headline"]
