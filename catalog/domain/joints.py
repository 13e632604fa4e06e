"""Joints: forms that mate, threads by form and size, and those that are taken for one another.

Diameters and pitches are exact fractions of a millimetre. A size is read as a person writes it: `1-3/4-6`, `1 3/4`,
`M20 x 1.5`, `G 1/2`, `-8`; what it says of the pitch is kept apart from what it says of the diameter.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from catalog.domain.answers import Answer

INCH = Fraction("25.4")
SIZES_KEPT = 4096
_SHOWN_DECIMALS = 4
_AFFIX = r"nptf|npt|npsm|bspp|bspt|bsp|unef|unf|unc|jic|sae|acme"
_BEFORE = re.compile(rf"^(?:{_AFFIX}|rp|rc|g|r)(?=\d)")
_AFTER = re.compile(rf"(?<=\d)(?:{_AFFIX}|in|inch)$")
_METRIC = re.compile(r"^m(\d+(?:\.\d+)?)(?:x(\d+(?:\.\d+)?))?$")
_INCHES = re.compile(r"^(\d+|\d+/\d+|\d+-\d+/\d+|\d*\.\d+)(?:-(\d+(?:\.\d+)?))?$")
_DASH = re.compile(r"^-?0?(\d{1,2})$")
_PITCH = re.compile(r"^(\d+(?:\.\d+)?)(_per_inch|_mm)$")

Form = str
Place = tuple[Form, str]  # a form and the key of a size in it


@dataclass(frozen=True, slots=True)
class Cell:
    """Whether an external form goes into an internal one; `on_fuel_gas` where fuel gas is answered otherwise."""

    answer: Answer
    condition: str = ""
    because: str = ""
    on_fuel_gas: Answer | None = None


@dataclass(frozen=True, slots=True)
class Thread:
    """Largest diameter and pitch in millimetres; `angle` of the flanks or of a flare's seat in degrees, if stated."""

    diameter: Fraction
    pitch: Fraction
    angle: int | None = None

    def shown(self) -> str:
        return f"{decimal(self.diameter)} mm across with a pitch of {pitch_shown(self.pitch)}"


@dataclass(frozen=True, slots=True)
class Size:
    """A size taken apart: what names the diameter, and the pitch in millimetres where the size says it."""

    key: str
    pitch: Fraction | None = None

    def place(self, form: Form) -> Place:
        return form, f"{self.key} x {decimal(self.pitch)}" if self.pitch else self.key


@dataclass(frozen=True, slots=True)
class JointTable:
    """What a mate table knows of joints. `form`, `size` and `pitch` name the attributes that say them.

    `cells` is by (external form, internal form). A form that stands in no cell mates with its own kind alone. Forms
    of `by_dash` have sizes that are dash numbers. `look_alikes` holds both directions.
    """

    form: str
    size: str
    pitch: str
    external_gender: str
    cells: Mapping[tuple[Form, Form], Cell]
    names: Mapping[Form, str] = field(default_factory=dict)
    threads: Mapping[Place, Thread] = field(default_factory=dict)
    spelled: Mapping[Place, str] = field(default_factory=dict)
    look_alikes: Mapping[tuple[Place, Place], str] = field(default_factory=dict)
    pitch_needed: frozenset[Form] = frozenset()
    by_dash: frozenset[Form] = frozenset()
    gas_free_slots: frozenset[str] = frozenset()

    def knows(self, form: Form) -> bool:
        return any(form in pair for pair in self.cells)

    def name(self, form: Form) -> str:
        return self.names.get(form, form.replace("_", " "))

    def sized(self, form: Form, text: str) -> Size:
        """A written size of a form. Two ways to write one size have one key; a dash number may stand for a thread."""
        plain = size_key(text)
        dash = _DASH.match(plain) if form in self.by_dash else None
        if dash is not None:
            return Size(f"-{int(dash[1]):02d}")
        known = self.spelled.get((form, plain))
        return Size(known) if known is not None else size_of(plain)

    def thread(self, form: Form, size: Size, pitch: Fraction | None) -> Thread | None:
        """The thread of a size: from the table of its form, else from what the size itself says."""
        known = self.threads.get((form, size.key))
        if known is not None or pitch is None:
            return known
        diameter = diameter_of(size.key)
        return Thread(diameter, pitch) if diameter is not None else None

    def taken_for(self, form: Form, text: str) -> tuple[str, ...]:
        """What a joint of this form and size looks like, each in words with the reason."""
        place = self.sized(form, text).place(form)
        return tuple(
            f"{self.name(other_form)} {other_size}: {because}"
            for (own, (other_form, other_size)), because in self.look_alikes.items()
            if own == place
        )


# The same sizes are written of every joint of a kind.
@lru_cache(maxsize=SIZES_KEPT)
def size_key(text: str) -> str:
    """A size without spacing, case, quotes and the name of its thread."""
    plain = re.sub(r"(?<=\d)\s+(?=\d+/\d)", "-", text.strip().casefold())
    plain = re.sub(r"[\s\"″]+", "", plain).replace("\u00d7", "x").replace(",", ".")
    return _AFTER.sub("", _BEFORE.sub("", plain))


@lru_cache(maxsize=SIZES_KEPT)
def size_of(plain: str) -> Size:
    """The diameter and the pitch that a plain size names; the whole text as the key where it names neither."""
    metric = _METRIC.match(plain)
    if metric is not None:
        return Size(f"m{decimal(Fraction(metric[1]))}", Fraction(metric[2]) if metric[2] else None)
    inches = _INCHES.match(plain)
    if inches is not None:
        return Size(inches[1], INCH / Fraction(inches[2]) if inches[2] and Fraction(inches[2]) else None)
    return Size(plain)


def diameter_of(key: str) -> Fraction | None:
    """Millimetres across that the key of a metric or inch size names; None where it is a name."""
    if key.startswith("m") and _METRIC.match(key):
        return Fraction(key[1:])
    if not _INCHES.match(key):
        return None
    whole, _, part = key.rpartition("-")
    return (Fraction(whole or 0) + Fraction(part)) * INCH


def pitch_of_code(code: str) -> Fraction | None:
    """Millimetres from `14_per_inch` or `1.5_mm`; None for anything else."""
    found = _PITCH.match(code)
    if found is None or not Fraction(found[1]):
        return None
    return INCH / Fraction(found[1]) if found[2] == "_per_inch" else Fraction(found[1])


def pitch_shown(pitch: Fraction) -> str:
    """A pitch in millimetres, and to the inch where that is a whole or half number."""
    per_inch = INCH / pitch
    inches = f" ({decimal(per_inch)} to the inch)" if (per_inch * 2).denominator == 1 else ""
    return f"{decimal(pitch)} mm{inches}"


def decimal(value: Fraction) -> str:
    """At most four decimals, without zeros at the end."""
    text = f"{float(round(value, _SHOWN_DECIMALS)):.{_SHOWN_DECIMALS}f}"
    return text.rstrip("0").rstrip(".")
