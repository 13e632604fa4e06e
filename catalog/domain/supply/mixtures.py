"""What fuels are made of: compositions with their sources, and which is weighed where hot or cold is worse.

A grade is a band, not a mixture. What stands the pressure is weighed with the band's most volatile composition
(hottest), what has to give the pressure with its least volatile (coldest). A composition stated by whoever asks is
the fuel itself and stands for both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from catalog.domain.answers import COMMON_PRACTICE, Source, SourceKind
from catalog.domain.fuels import Fuel
from catalog.domain.supply.fluids import Fluids, Mixture, Species
from service.errors import Invalid

_ROUNDING = 0.5  # per cent by which the parts of a stated composition may miss a whole


class Share(StrEnum):
    """How parts are counted: volume of each liquid at 60 degF (15.6 degC), or molecules."""

    LIQUID_VOLUME = "liquid volume %"
    MOLE = "mol %"


@dataclass(frozen=True, slots=True)
class Composition:
    """A named mixture: parts in per cent, how they are counted, and who says so."""

    name: str
    parts: tuple[tuple[Species, float], ...]
    counted: Share
    source: Source

    def mixture(self, fluids: Fluids) -> Mixture:
        """In mole fractions. Raises OutOfRange where a part is no liquid at 60 degF and is counted as one."""
        if self.counted is Share.LIQUID_VOLUME:
            return fluids.by_liquid_volume(dict(self.parts))
        whole = sum(share for _, share in self.parts)
        return Mixture(tuple((species, share / whole) for species, share in self.parts))

    @property
    def shown(self) -> str:
        """The composition in words, e.g. `80 % propane, 20 % n-butane (liquid volume %)`."""
        parts = ", ".join(f"{share:g} % {species.value}" for species, share in self.parts)
        return f"{parts} ({self.counted.value})" if len(self.parts) > 1 else self.parts[0][0].value


def _published(citation: str) -> Source:
    return Source(SourceKind.PUBLISHED, citation)


def _liquids(name: str, source: Source, **percent: float) -> Composition:
    parts = tuple((Species[species.upper()], share) for species, share in percent.items())
    return Composition(name, parts, Share.LIQUID_VOLUME, source)


_PURE = _published("a pure fluid")
_HD5 = "GPA 2140 HD-5 (in secondary texts)"
_SEASONAL = _published("propane to butane from 80/20 to 30/70 by season, as fuel suppliers' pages on EN 589 state it")

PROPANE = _liquids("propane", _PURE, propane=100)
PROPENE = _liquids(
    "propene", _published("EN 589: at most 1550 kPa gauge at 40 degC, which is that of propene alone"), propene=100
)
BUTANE = _liquids("n-butane", _PURE, butane=100)
METHANE = Composition("methane", ((Species.METHANE, 100.0),), Share.MOLE, _PURE)
HD5_LEAN = _liquids(
    "HD-5 with the most butane", _published(f"{_HD5}: butane and heavier at most 2.5 vol %"), propane=97.5, butane=2.5
)
# The specification does not cap ethane; its vapour pressure does.
HD5_RICH = _liquids(
    "HD-5 with the most ethane",
    _published(f"{_HD5} and ASTM D1835: the ethane that reaches 208 psi gauge at 37.8 degC"),
    propane=92.5,
    ethane=7.5,
)
# No cap on propene either: this share just reaches the limit, and is worse for rubber too.
COMMERCIAL_RICH = _liquids(
    "commercial propane with the most propene",
    _published("ASTM D1835: the propene, which it does not cap, that reaches 208 psi gauge at 37.8 degC"),
    propene=80,
    propane=20,
)
COMMERCIAL_LEAN = _liquids(
    "commercial propane with the most butane",
    Source(SourceKind.FROM_MEMORY, "ASTM D1835: butane and heavier at most 2.5 vol %"),
    propane=97.5,
    butane=2.5,
)
AUTOGAS_80_20 = _liquids("propane/butane 80/20", _SEASONAL, propane=80, butane=20)
AUTOGAS_60_40 = _liquids("propane/butane 60/40", _SEASONAL, propane=60, butane=40)
AUTOGAS_50_50 = _liquids("propane/butane 50/50", _SEASONAL, propane=50, butane=50)
AUTOGAS_30_70 = _liquids("propane/butane 30/70", _SEASONAL, propane=30, butane=70)
PIPELINE_GAS = Composition(
    "pipeline gas",
    (
        (Species.METHANE, 95.0),
        (Species.ETHANE, 3.2),
        (Species.PROPANE, 0.5),
        (Species.NITROGEN, 0.8),
        (Species.CARBON_DIOXIDE, 0.5),
    ),
    Share.MOLE,
    COMMON_PRACTICE,
)
CNG = Composition("compressed pipeline gas", PIPELINE_GAS.parts, Share.MOLE, COMMON_PRACTICE)

COMPOSITIONS: tuple[Composition, ...] = (
    PROPANE, PROPENE, BUTANE, METHANE, HD5_LEAN, HD5_RICH, COMMERCIAL_RICH, COMMERCIAL_LEAN,
    AUTOGAS_80_20, AUTOGAS_60_40, AUTOGAS_50_50, AUTOGAS_30_70, PIPELINE_GAS, CNG,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class HotAndCold:
    """What is weighed where hot is worse (ratings, relief) and where cold is worse (pressure and vapour supplied).

    `assumed` where the grade was not stated: what they refuse another grade may allow.
    """

    hottest: Composition
    coldest: Composition
    assumed: bool = False


_LP_GAS = frozenset({"lpg_vapour", "lpg_liquid"})
_LP_GRADES: Mapping[str, HotAndCold] = {
    "HD-5": HotAndCold(HD5_RICH, HD5_LEAN),
    "commercial propane": HotAndCold(COMMERCIAL_RICH, COMMERCIAL_LEAN),
    "autogas": HotAndCold(PROPENE, AUTOGAS_30_70),
    # Autogas is sold as such; under the bare name commercial propane is the worst for pressure.
    "": HotAndCold(COMMERCIAL_RICH, AUTOGAS_30_70, assumed=True),
}
_NATURAL_GRADES: Mapping[str, HotAndCold] = {
    "pipeline gas": HotAndCold(PIPELINE_GAS, PIPELINE_GAS),
    "CNG": HotAndCold(CNG, CNG),
    "": HotAndCold(PIPELINE_GAS, PIPELINE_GAS, assumed=True),
}


def compositions_of(fuel: Fuel, stated: Composition | None = None) -> HotAndCold | None:
    """The compositions to weigh a fuel burned with; a stated one wins over both.

    None where the fuel is no gas, or its name says nothing of what is in it (well, digester and landfill gas).
    A bare name of LP-gas gives the grade that is worst for each question, and says that it is assumed.
    """
    if stated is not None:
        return HotAndCold(stated, stated)
    grades = _LP_GRADES if fuel.code in _LP_GAS else _NATURAL_GRADES if fuel.code == "natural_gas" else {}
    return grades.get(fuel.grade)


def stated_composition(parts: Mapping[str, float], counted: Share, source: Source = COMMON_PRACTICE) -> Composition:
    """A composition as somebody states it, in per cent of `counted`, by species name (`propane`, `n-butane`).

    Raises Invalid for an unknown species, a share that is no positive number, or shares that do not add up to 100
    within half a per cent. A share of zero is left out.
    """
    found = tuple((_species(name), _percent(name, share)) for name, share in parts.items() if share != 0)
    whole = sum(share for _, share in found)
    if not abs(whole - 100) <= _ROUNDING:
        raise Invalid(
            f"The parts of the composition add up to {whole:g} %; they must add up to 100 {counted.value}.",
            code="composition_not_whole",
        )
    return Composition("the stated composition", found, counted, source)


def _species(name: str) -> Species:
    try:
        return Species(name)
    except ValueError:
        known = ", ".join(species.value for species in Species)
        raise Invalid(f"{name[:40]!r} is not known as part of a fuel; use {known}.", code="unknown_species") from None


def _percent(name: str, share: float) -> float:
    if not (isfinite(share) and share > 0):
        raise Invalid(f"The share of {name} must be above zero, not {share}.", code="share_out_of_range")
    return share
