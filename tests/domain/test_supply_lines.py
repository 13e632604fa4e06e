"""Supply lines from tank to rail, each worked by hand in its case file; and what must hold of every line.

Pressures by hand: the table of propane, HD-5 and butane mixes computed from reference equations (J. Chem. Eng. Data 54
(2009) 3141); capacities: the D*L*K table and the 100-lb chart of a generating set's manual; pipes: NFPA 54.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.domain.answers import Verdict
from catalog.domain.folding import verdict_of
from tests.domain.lines import CASES, decided

pytestmark = pytest.mark.domain
WORSE = [Verdict.ACCEPTED, Verdict.CONDITIONAL, Verdict.UNDETERMINED, Verdict.REJECTED]
TRUCK = CASES[0]
TANK = next(case for case in CASES if "500-gallon" in case["title"])


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["title"])
def test_a_line_is_decided_as_worked_by_hand(case: dict[str, Any]) -> None:
    expected, decision = case["expected"], decided(case)
    told = "\n".join(f"{f.outcome.value} {f.slot}: {f.text}" for f in decision.findings)
    assert decision.verdict.value == expected["verdict"], told
    assert expected["governing"] in (None, decision.governing), told
    assert all(words in decision.headline for words in expected["headline_has"]), decision.headline
    for words in expected.get("conditions_have", ()):
        assert any(words in condition for condition in decision.conditions), decision.conditions
    for words in expected.get("missing_have", ()):
        assert any(words in fact.name for fact in decision.missing), decision.missing


def test_the_cases_are_enough_and_reach_every_verdict() -> None:
    assert len(CASES) >= 15
    assert {case["expected"]["verdict"] for case in CASES} == {verdict.value for verdict in Verdict}
    assert all(case["by_hand"] for case in CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["title"])
def test_every_sentence_is_whole(case: dict[str, Any]) -> None:
    for finding in decided(case).findings:
        assert finding.text[:1] == finding.text[:1].upper()
        assert finding.text.endswith(".")
        assert not {mark for mark in ("  ", " ,", "..", "_", "inf", "nan") if mark in finding.text}, finding.text


@pytest.mark.parametrize("kept", range(4))
def test_a_line_that_says_nothing_of_its_end_is_not_accepted(kept: int) -> None:
    """Nothing compared is nothing accepted; the fourth stage of the truck is its vaporiser, the first that asks."""
    decision = decided({**TRUCK, "stages": TRUCK["stages"][:kept][:3]})
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.missing


def test_the_heat_of_a_vaporiser_is_told() -> None:
    """10 kg/h from liquid at 20 degC to vapour at 20 degC and 1.5 psi take 1.03 kW, computed; 26 psi a little less."""
    decision = decided({**TRUCK, "air": [20, 40], "draws": 10, "composition": {"propane": 100}})
    text = next(f.text for f in decision.findings if f.attribute == "heat")
    assert float(text.split("bring ")[1].split()[0]) == pytest.approx(1.0, abs=0.04)


def test_where_the_equations_do_not_reach_nothing_is_told() -> None:
    """Compressed natural gas is above its critical point and has no boiling pressure."""
    decision = decided({**TRUCK, "fuel": "natural_gas:CNG", "withdrawal": "vapour"})
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.headline.startswith("Cannot tell how the fuel behaves")
    assert decision.headline.endswith(".")


@pytest.mark.parametrize("index", range(1, len(TRUCK["stages"])))
def test_a_stage_of_unknown_service_or_rating_is_not_accepted(index: int) -> None:
    """Missing is unknown: each stage of the truck without its class, and without its rating."""
    stages, kind = TRUCK["stages"], TRUCK["stages"][index]["kind"]
    bare = [{**stage, "inlet": []} if at == index else stage for at, stage in enumerate(stages)]
    weak = {
        name: text for name, text in stages[index]["values"].items() if name not in ("working_pressure", "max_pressure")
    }
    unrated = [{**stage, "values": weak} if at == index else stage for at, stage in enumerate(stages)]
    expected = Verdict.ACCEPTED if kind == "rail" else Verdict.UNDETERMINED
    assert decided({**TRUCK, "stages": bare}).verdict is expected
    assert decided({**TRUCK, "stages": unrated}).verdict is expected


def test_a_meter_whose_highest_pressure_is_not_known_is_not_accepted() -> None:
    gas = next(case for case in CASES if case["fuel"].startswith("natural"))
    pipe = {**gas["stages"][1], "values": {**gas["stages"][1]["values"], "hose_length": "1000 mm"}}
    fed = {**gas, "stages": [gas["stages"][0], pipe, gas["stages"][2]]}
    open_ended = {**gas["stages"][0], "values": {"supply_pressure": "7.. inH2O gauge"}}
    assert decided(fed).verdict is Verdict.ACCEPTED
    assert decided({**fed, "stages": [open_ended, *fed["stages"][1:]]}).verdict is Verdict.UNDETERMINED


@settings(max_examples=15, deadline=None)
@given(st.floats(-40, 25), st.floats(0, 20))
def test_colder_never_raises_the_pressure_anywhere_upstream(low: float, warmer: float) -> None:
    cold, warm = (decided({**TRUCK, "air": [air, 45]}) for air in (low, low + warmer))
    for ours, theirs in zip(cold.series, warm.series, strict=True):
        if ours.pressures[0] is not None and theirs.pressures[0] is not None:
            assert ours.pressures[0] <= theirs.pressures[0] + 1.0


@settings(max_examples=15, deadline=None)
@given(st.floats(0.5, 20), st.floats(0, 20), st.sampled_from(CASES))
def test_more_load_never_improves_a_verdict(draws: float, more: float, case: dict[str, Any]) -> None:
    less, greater = (decided({**case, "draws": flow}).verdict for flow in (draws, draws + more))
    assert WORSE.index(greater) >= WORSE.index(less)


@settings(max_examples=10, deadline=None)
@given(st.floats(0.1, 0.8), st.floats(0, 0.2))
def test_a_fuller_tank_never_gives_a_worse_verdict(fill: float, more: float) -> None:
    emptier, fuller = (decided({**TANK, "draws": 6, "fill": min(level, 0.85)}).verdict for level in (fill, fill + more))
    assert WORSE.index(fuller) <= WORSE.index(emptier)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["title"])
def test_without_a_known_draw_nothing_is_accepted(case: dict[str, Any]) -> None:
    decision = decided({**case, "draws": None})
    assert decision.verdict in (Verdict.UNDETERMINED, Verdict.REJECTED)
    assert verdict_of(decision.findings) is decision.verdict
