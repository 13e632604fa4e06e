"""Ring sizes and glands read from a rulebook document, refused by path where a table has slipped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import lru_cache

from catalog.domain.answers import Source
from catalog.domain.document_fields import Fields, refusal, source_of
from catalog.domain.quantities import quantity
from catalog.domain.ring_geometry import squeeze
from catalog.domain.ring_tables import (
    ROUNDING,
    GeneralSection,
    GlandUse,
    RingGland,
    RingGlands,
    RingSeries,
    RingSize,
    RingSizes,
    Toleranced,
)
from service.errors import Invalid

SIZES_KEYS = ("name", "kind", "series", "class_b_sections", "rows", "source")
GLANDS_KEYS = ("name", "kind", "rows", "source")
_SERIES_KEYS = ("series", "codes", "boss", "listed", "section_in", "section_tolerance_in", "section_mm",
                "section_tolerance_mm")  # fmt: skip
_RING_KEYS = ("code", "inner_in", "inner_tolerance_in", "inner_mm", "inner_tolerance_mm", "section_mm",
              "section_tolerance_mm", "source")  # fmt: skip
_GLAND_KEYS = ("use", "section_mm", "section_tolerance_mm", "depth_min_mm", "depth_max_mm", "width_mm",
               "squeeze_min_percent", "squeeze_max_percent", "diametral_clearance_mm", "source")  # fmt: skip
_PRINTED = Fraction(1, 100)  # a printed share of squeeze is rounded by up to a point


@lru_cache(maxsize=4096)
def _steps(text: str, unit: str) -> int:
    return quantity(text, unit).amount


def length(row: Fields, key: str, unit: str = "mm") -> int:
    """A length of a row in steps of 0.1 um. Raises Invalid for anything but a decimal text."""
    try:
        return _steps(row.text(key), unit)
    except Invalid as error:
        raise refusal(row.path(key), error.message, error.code) from None


def row_source(row: Fields, table: Source) -> Source:
    """A row's own source, else its table's."""
    return source_of(row) if row.has("source") else table


def read_ring_sizes(code: str, table: Fields) -> RingSizes:
    """Raises Invalid for a table that has slipped.

    That is: a number that no series has, a row twice or out of order, an inner diameter that does not grow along its
    series or a tolerance that shrinks, a tolerance that is not positive, the cross-section of another series, inches
    that are not the millimetres beside them, and a row missing in the stretch its series says is listed.
    """
    source = source_of(table)
    described = tuple(_series(row) for row in table.rows("series", _SERIES_KEYS))
    owner = {number: (series, row) for series, row in described for number in series.codes}
    if sum(len(series.codes) for series, _ in described) != len(owner):
        raise refusal(table.path("series"), "two series share a code; a code is of one series", "overlap")
    rows = tuple(table.rows("rows", _RING_KEYS))
    sizes = [_ring(row, owner, source) for row in rows]
    for row, before, size in zip(rows[1:], sizes, sizes[1:], strict=False):
        _grows(row, before, size, same_series=owner[before.code][0] is owner[size.code][0])
    held = {size.code: size for size in sizes}
    for series, row in described:
        _listed(row, series, held)
    return RingSizes(code, tuple(series for series, _ in described), held, _class_b(table), frozenset(owner))


def _series(row: Fields) -> tuple[RingSeries, Fields]:
    codes = tuple(code for stretch in row.texts("codes") for code in _codes(row, "codes", stretch))
    if not codes or tuple(sorted(set(codes))) != codes:
        raise refusal(row.path("codes"), "the codes of a series rise and each stands once", "not_rising")
    return RingSeries(row.text("series"), codes, row.flag("boss")), row


def _codes(row: Fields, key: str, stretch: str) -> Iterable[str]:
    first, _, last = stretch.partition("-")
    last = last or first
    if not all(len(end) == 3 and end.isascii() and end.isdigit() for end in (first, last)):
        raise refusal(row.path(key), f"{stretch!r} is no code; write 012 or 004-050")
    return (f"{number:03d}" for number in range(int(first), int(last) + 1))


def _ring(row: Fields, owner: Mapping[str, tuple[RingSeries, Fields]], table: Source) -> RingSize:
    code = row.text("code")
    if code not in owner:
        raise refusal(row.path("code"), f"no series has the code {code!r}", "no_such_ring_size")
    series, described = owner[code]
    if not described.has("section_mm"):
        raise refusal(row.path("code"), f"series {series.name} states no cross-section, so no row of it is held")
    inner, section = _toleranced(row, "inner"), _toleranced(row, "section")
    expected = _toleranced(described, "section")
    if section != expected:
        words = f"a cross-section of series {series.name} is {described.text('section_mm')} mm within "
        words += f"{described.text('section_tolerance_mm')} mm"
        raise refusal(row.path("section_mm"), words, "wrong_series")
    return RingSize(code, inner, section, row_source(row, table))


def _toleranced(row: Fields, what: str) -> Toleranced:
    """A size with its tolerance; where inches are given beside millimetres, they must be the same size."""
    found = Toleranced(length(row, f"{what}_mm"), length(row, f"{what}_tolerance_mm"))
    for key, value in ((f"{what}_mm", found.nominal), (f"{what}_tolerance_mm", found.plus_minus)):
        if value <= 0:
            raise refusal(row.path(key), "this must be more than nothing", "not_positive")
        inches = f"{key.removesuffix('_mm')}_in"
        if row.has(inches) and abs(length(row, inches, "in") - value) > ROUNDING:
            words = f"{row.text(inches)} in is not {row.text(key)} mm; the two stand for one size"
            raise refusal(row.path(inches), words, "units_differ")
    return found


def _grows(row: Fields, before: RingSize, size: RingSize, *, same_series: bool) -> None:
    if size.code <= before.code:
        raise refusal(row.path("code"), f"{size.code} stands after {before.code}; codes rise, each once", "not_rising")
    if not same_series:
        return
    if size.inner.nominal <= before.inner.nominal:
        words = f"{size.code} is no larger than {before.code} before it; sizes rise along a series"
        raise refusal(row.path("inner_mm"), words, "not_rising")
    if size.inner.plus_minus < before.inner.plus_minus:
        words = f"{size.code} is held closer than {before.code} before it; tolerances never shrink along a series"
        raise refusal(row.path("inner_tolerance_mm"), words, "not_rising")


def _listed(row: Fields, series: RingSeries, held: Mapping[str, RingSize]) -> None:
    for stretch in row.texts("listed"):
        for code in _codes(row, "listed", stretch):
            if code in series.codes and code not in held:
                words = f"the row of {code} is missing, and series {series.name} says that {stretch} are listed"
                raise refusal(row.path("listed"), words, "hole")


def _class_b(table: Fields) -> tuple[GeneralSection, ...]:
    steps: list[GeneralSection] = []
    for row in table.rows("class_b_sections", ("up_to_mm", "tolerance_mm")):
        step = GeneralSection(length(row, "up_to_mm"), length(row, "tolerance_mm"))
        if step.plus_minus <= 0:
            raise refusal(row.path("tolerance_mm"), "this must be more than nothing", "not_positive")
        if steps and step.up_to <= steps[-1].up_to:
            raise refusal(row.path("up_to_mm"), "each step reaches further than the one before it", "overlap")
        steps.append(step)
    return tuple(steps)


def read_ring_glands(code: str, table: Fields) -> RingGlands:
    """Raises Invalid for a gland whose printed squeeze is not that of its ring, and for rows that do not rise."""
    source = source_of(table)
    glands: list[RingGland] = []
    for row in table.rows("rows", _GLAND_KEYS):
        gland = _gland(row, source)
        before = next((other for other in reversed(glands) if other.use is gland.use), None)
        if before is not None and gland.section.nominal <= before.section.nominal:
            words = f"the cross-sections of {gland.use.value.replace('_', ' ')} glands rise, each once"
            raise refusal(row.path("section_mm"), words, "not_rising")
        if before is not None and gland.depth[0] <= before.depth[1]:
            words = "a thicker ring lies deeper than the one before it; these depths overlap"
            raise refusal(row.path("depth_min_mm"), words, "overlap")
        glands.append(gland)
    return RingGlands(code, tuple(glands))


def _gland(row: Fields, table: Source) -> RingGland:
    depth = length(row, "depth_min_mm"), length(row, "depth_max_mm")
    section, width = _toleranced(row, "section"), length(row, "width_mm")
    if not 0 < depth[0] < depth[1]:
        raise refusal(row.path("depth_max_mm"), "a gland is no shallower at most than at least", "range_reversed")
    if width <= section.nominal:
        raise refusal(row.path("width_mm"), "a groove is wider than its ring", "not_positive")
    extremes = (
        ("squeeze_min_percent", squeeze(section.nominal - section.plus_minus, depth[1])),
        ("squeeze_max_percent", squeeze(section.nominal + section.plus_minus, depth[0])),
    )
    for key, computed in extremes:
        printed = _percent(row, key)
        if abs(printed - computed) > _PRINTED:
            words = f"{row.text(key)} % is printed, and this ring in this gland comes to {float(computed) * 100:.1f} %"
            raise refusal(row.path(key), words, "does_not_add_up")
    clearance = length(row, "diametral_clearance_mm")
    return RingGland(row.one_of("use", GlandUse), section, depth, width, clearance, row_source(row, table))


def _percent(row: Fields, key: str) -> Fraction:
    return Fraction(exact(row, key), 100)


def exact(row: Fields, key: str) -> Fraction:
    """A plain decimal text as an exact number. Raises Invalid for anything else."""
    text = row.text(key)
    whole, _, part = text.removeprefix("-").partition(".")
    if not (text.isascii() and whole.isdigit() and (part.isdigit() or "." not in text)):
        raise refusal(row.path(key), f"{text!r} is no plain decimal number; write it like 12.5")
    return Fraction(text)
