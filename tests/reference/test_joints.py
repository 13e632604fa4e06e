"""Published check values for threads and fittings, each beside its source, through the published table of joints."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from catalog.domain.answers import Answer
from catalog.domain.comparing_codes import class_at_least
from catalog.domain.mating import mates_with
from catalog.domain.values import Value
from catalog.domain.weighing import Reading
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain
MET, MET_IF, NOT_MET, UNKNOWN = Answer.MET, Answer.MET_IF, Answer.NOT_MET, Answer.UNKNOWN


def joint(form: str, size: str, gender: str, **more: str) -> Reading:
    said = {"joint_form": form, "joint_size": size, "joint_gender": gender} | {
        f"joint_{name}": code for name, code in more.items()
    }
    return {member: Value((code,)) for member, code in said.items()}


@dataclass(frozen=True)
class CheckValue:
    id: str
    source: str
    asked: Reading
    offered: Reading
    answer: Answer
    says: tuple[str, ...] = ()
    gas: bool | None = False


GUIDES = "thread and fitting identification guides"
CASES = [
    CheckValue("CV47", f"ISO 228-1; {GUIDES}", joint("npt", "1/4", "male"), joint("bspp", "1/4", "female"), NOT_MET,
               ("13.157 mm", "13.72 mm", "18 to the inch", "19 to the inch")),
    CheckValue("CV48", f"ISO 228-1; {GUIDES}", joint("npt", "1/2", "male"), joint("bspp", "1/2", "female"), NOT_MET,
               ("0.385 mm apart", "the same pitch", "55° against 60°", "dangerous look-alike")),
    CheckValue("CV50", GUIDES, joint("flare_37_degrees", "-08", "male"), joint("flare_45_degrees", "-08", "female"),
               NOT_MET, ("37° and 45°", "19.05 mm", "dangerous look-alike")),
    CheckValue("CV51", "SAE J512 and J514, from memory", joint("flare_45_degrees", "-06", "male"),
               joint("flare_37_degrees", "-06", "female"), NOT_MET, ("15.875 mm", "14.2875 mm")),
    CheckValue("CV53", "ASME B1.5 series 4, LP-gas practice 6 from memory", joint("acme", "1-3/4", "male"),
               joint("acme", "1-3/4", "female"), UNKNOWN, ("several pitches",)),
    CheckValue("CV54", "arithmetic", joint("unified_thread", "3/4-16", "male"),
               joint("metric_thread", "M20x1.5", "female"), NOT_MET, ("20 mm", "19.05 mm", "1.5875 mm", "look-alike")),
    CheckValue("R in G", GUIDES, joint("bspt", "1/2", "male"), joint("bspp", "1/2", "female"), MET_IF),
    CheckValue("R in G on fuel gas", GUIDES, joint("bspt", "1/2", "male"), joint("bspp", "1/2", "female"), NOT_MET,
               ("fuel gas",), gas=True),
    CheckValue("R in G, gas not known", GUIDES, joint("bspt", "1/2", "male"), joint("bspp", "1/2", "female"), UNKNOWN,
               ("fuel gas",), gas=None),
    CheckValue("G in Rc", GUIDES, joint("bspp", "1/2", "male"), joint("bspt", "1/2", "female"), NOT_MET),
    CheckValue("NPT in NPTF", GUIDES, joint("npt", "1/4", "male"), joint("nptf", "1/4", "female"), MET_IF),
    CheckValue("one size written twice", "common practice, no source", joint("npt", "1/4 NPT", "male"),
               joint("npt", "1/4", "female"), MET),
    CheckValue("POL for G5/8", "POL valve pages; ISO 228-1", joint("cylinder_valve", "CGA 510", "female", hand="left"),
               joint("bspp", "5/8", "male", hand="right"), NOT_MET, ("left-hand",)),
    CheckValue("hands differ", "common practice, no source", joint("acme", "1-1/4-5", "male", hand="left"),
               joint("acme", "1-1/4-5", "female", hand="right"), NOT_MET, ("hand",)),
    CheckValue("ACME with its pitch", "common practice, no source", joint("acme", "1-3/4", "male", pitch="6_per_inch"),
               joint("acme", "1-3/4-6", "female"), MET),
    CheckValue("ACME of another pitch", "common practice, no source", joint("acme", "1-3/4-4", "male"),
               joint("acme", "1-3/4-6", "female"), NOT_MET, ("pitch",)),
    CheckValue("a barb as before", "common practice, no source", joint("barb", "8 mm", "male"),
               joint("barb", "8 mm", "female"), MET),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_a_joint_comes_out_as_published(case: CheckValue) -> None:
    weighed = mates_with(rulebook().tables.mates["joints"], case.asked, case.offered, gas=case.gas)
    assert weighed.answer is case.answer, weighed.reason
    for words in case.says:
        assert words in weighed.reason


@pytest.mark.parametrize(
    "rows",
    [
        pytest.param(
            (("P30", "P36", MET), ("P36", "P30", NOT_MET), ("P24", "P24", MET), ("C200", "P36HD", NOT_MET),
             ("P36", "C250", UNKNOWN)),
            id="CV55 scopes of CSA/ANSI NGV 1-2017 and ISO 14469:2017",
        )
    ],
)  # fmt: skip
def test_a_vehicle_takes_a_filling_of_its_own_or_a_lower_pressure(rows: tuple[tuple[str, str, Answer], ...]) -> None:
    table = rulebook().tables.orders["cng_fill_profiles"]
    for offered, asked, expected in rows:
        found = class_at_least(table, "fill_profile", Value((asked,)), Value((offered,)))
        assert found.answer is expected, (offered, asked)
