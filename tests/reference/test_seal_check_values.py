"""Check values of rings, rubber, oils and belts, each a question with all its halves beside its source.

Ratings: the open data set "Chemical resistance ratings for common elastomers" (Zenodo 22115966), 1 satisfactory to 4
unsatisfactory, and the tests named beside a row. What no source decides is marked.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from catalog.domain.answers import Answer, Verdict
from catalog.domain.comparing_codes import Wetting
from catalog.domain.quantities import Interval, quantity
from catalog.domain.seal_size import (
    CROSS_SECTION,
    GLAND_USE,
    INNER_DIAMETER,
    RING_SIZE,
    Surroundings,
    size_seals,
)
from catalog.domain.values import Value
from catalog.domain.weighing import Reading
from tests.demo_world import part, rulebook
from tests.reference.asked_of_the_demo import UNSOURCED, DemoPlace, changed
from tests.reference.weighed_by_rule import codes, degrees, grade, rated, weighed

pytestmark = pytest.mark.domain
MET, MET_IF, NOT_MET, UNKNOWN = Answer.MET, Answer.MET_IF, Answer.NOT_MET, Answer.UNKNOWN
DATA_SET = "Zenodo 22115966"
COMPUTED = "computed from AS568 sizes and a public gland table"
GLAND_OF_012: Reading = {RING_SIZE: codes("-012"), GLAND_USE: codes("static_radial")}
OIL, FUEL = Surroundings(gas=False, forgiving=True, dynamic=False), Surroundings(gas=False, forgiving=False)
LIFT_PUMP = DemoPlace("OLM-K55", "D-30A", "lift_pump_seal_upper", "diesel:B7")
ENGINE_OIL = DemoPlace("VRD-H40", "S-131", "engine_oil", "gasoline:E10")


def ring(inner: str, least: str, most: str) -> Reading:
    section = Interval(quantity(least, "mm"), quantity(most, "mm"))
    return {INNER_DIAMETER: Value(quantity(inner, "mm")), CROSS_SECTION: Value(section)}


def sealed(offered: Reading, around: Surroundings = FUEL) -> tuple[Answer, str]:
    found = size_seals(GLAND_OF_012, offered, rulebook().tables.reference, around)
    return found.answer, found.reason


def refused_for(offered: Reading, words: str) -> bool:
    answer, reason = sealed(offered)
    return answer is NOT_MET and words in reason


def a_little_thick() -> tuple[Answer, Answer, bool]:
    thick = ring("9.3", "1.72", "1.88")
    (in_oil, _), (in_fuel, reason) = sealed(thick, OIL), sealed(thick, FUEL)
    return in_oil, in_fuel, "18.6 % to 32.4 %" in reason


def same_size_other_rubber() -> tuple[Answer, Answer]:
    return sealed({RING_SIZE: codes("-012")})[0], rated("EPDM", Wetting("diesel", None, dynamic=False))


def fluorocarbon_in_lp_gas(floor: str) -> Answer:
    return rated("FKM", Wetting("lpg_liquid", degrees(floor, "60"), dynamic=False))


def fluorocarbon_in_e10() -> tuple[str, Answer]:
    """Neat ethanol rates it 3; the blend has a row of its own and is never read as ethanol."""
    return grade("FKM", "gasoline_E10"), rated("FKM", Wetting("gasoline_E10", None, dynamic=False))


def silicone_in_the_cold() -> tuple[bool, Answer]:
    low = rulebook().tables.ratings["seal_material"].windows["VMQ"].low
    reaches = low is not None and low.amount <= quantity("-55", "degC").amount
    return reaches, rated("VMQ", Wetting("lpg_vapour", degrees("-55", "60"), dynamic=False))


def chloroprene(*, moves: bool) -> Answer:
    return rated("CR", Wetting("lpg_vapour", None, dynamic=moves))


def without_a_material() -> Verdict:
    unmarked = changed(part("OLM", "8812-1"), {"seal_material": None})
    return LIFT_PUMP.asked(unmarked, {})[0]


def same_categories() -> tuple[Verdict, set[str]]:
    """The verdict on an oil that meets the categories, and what of its base any rule looks at."""
    read = {member for rule in rulebook().categories["engine_oil"].rules for member in rule.attributes}
    return ENGINE_OIL.asked(part("VRD", "9110"), {})[0], {m for m in read if "base_oil" in m}


def ash(percent: str) -> Answer:
    window = Value(Interval(quantity("0.4", "%"), quantity("0.6", "%")))
    return weighed("engine_oil", "sulfated_ash", {"sulfated_ash": window},
                   {"sulfated_ash": Value(quantity(percent, "%"))}).answer  # fmt: skip


def belt(offered: str, asked: str) -> Answer:
    return weighed("belt", "belt_profile", {"belt_profile": codes(asked)}, {"belt_profile": codes(offered)}).answer


def lengths() -> Answer:
    length = Value(quantity("1000", "mm"))
    asked = {"belt_length": length, "belt_length_system": codes("inside_Li")}
    offered = {"belt_length": length, "belt_length_system": codes("datum_Ld_or_Lp")}
    return weighed("belt", "belt_length", asked, offered).answer


HYDROCARBONS = ("gasoline", "lpg_vapour", "natural_gas", "lpg_liquid", "diesel")
RUBBERS = ("NBR", "CR", "VMQ", "AU", "FVMQ", "FKM", "FFKM")
CASES: list[tuple[str, str, Callable[[], object], object]] = [
    ("CV10", COMPUTED, lambda: refused_for({RING_SIZE: codes("-110")}, "44.9 % to 53.0 %"), True),
    ("CV12", COMPUTED, a_little_thick, (MET_IF, NOT_MET, True)),
    ("CV13", COMPUTED, lambda: refused_for(ring("9.25", "1.42", "1.58"), "1.4 % to"), True),
    ("CV19", DATA_SET, same_size_other_rubber, (MET, NOT_MET)),
    ("CV20", DATA_SET, lambda: [grade("EPDM", medium) for medium in HYDROCARBONS], ["4"] * 5),
    ("CV21", DATA_SET, lambda: "".join(grade(rubber, "lpg_vapour") for rubber in RUBBERS), "1243311"),
    ("CV23", "three public seal tables; floors of places: common practice",
     lambda: [fluorocarbon_in_lp_gas(floor) for floor in ("-40", "-30", "0")], [NOT_MET, UNKNOWN, MET]),
    ("CV24", f"{DATA_SET}; EN 549 scope", silicone_in_the_cold, (True, NOT_MET)),
    ("CV25", "OSTI 1616838: soak in E10", fluorocarbon_in_e10, ("1", MET)),
    ("CV27", "BAM studies of FAME; US biodiesel hand-out",
     lambda: (grade("NBR", "diesel_B100"), grade("FKM", "diesel_B100")), ("3", "1")),
    ("CV28", "public guide to the 1 to 4 ratings", lambda: {chloroprene(moves=m) for m in (True, False)}, {MET_IF}),
    ("CV29", f"{DATA_SET}; mixed up at counters: {UNSOURCED}",
     lambda: (grade("SBR", "gasoline"), grade("SBR", "diesel")), ("4", "4")),
    ("CV30", UNSOURCED, without_a_material, Verdict.UNDETERMINED),
    ("CV67", "machinery-lubrication articles", lambda: (ash("0.05"), ash("0.5")), (NOT_MET, MET)),
    ("CV69", UNSOURCED, same_categories, (Verdict.ACCEPTED, set())),
    ("CV72", "public belt manuals", lambda: (belt("SPA", "A"), lengths()), (NOT_MET, UNKNOWN)),
    ("CV73", "belt interchange article", lambda: (belt("B", "5L"), belt("5L", "B")), (MET_IF, NOT_MET)),
]  # fmt: skip


@pytest.mark.parametrize(("source", "found", "expected"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_a_check_value_comes_out_as_published(source: str, found: Callable[[], object], expected: object) -> None:
    assert found() == expected, source
