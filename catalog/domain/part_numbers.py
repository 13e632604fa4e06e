"""A part number reduced to what must be equal for two spellings to mean one number."""

from __future__ import annotations

import re
import unicodedata

# Minus sign, hyphen bullet and soft hyphen look like dashes and are none to Unicode's own class.
_OTHER_DASHES = frozenset("\u2212\u2043\u00ad")
_SEPARATORS = frozenset("./\\_,:·")
# Of plain ASCII there is nothing to fold, and whole files of numbers are read.
_NO_ASCII_SEPARATORS = str.maketrans("", "", "".join(map(chr, range(33))) + "./\\_,:-\x7f")
_LEADING_ZEROS = re.compile(r"(?<!\d)0+(?=\d)", re.ASCII)


def number_key(number: str) -> str:
    """The number in capitals, compatibility forms folded, without separators and dashes. Zeros stay: they count."""
    if number.isascii():
        return number.upper().translate(_NO_ASCII_SEPARATORS)
    folded = unicodedata.normalize("NFKC", number).upper()
    bare = "".join(character for character in folded if not _separates(character))
    # Capitals may have unfolded, and what a separator kept apart may now be one letter with its accent.
    return unicodedata.normalize("NFKC", bare)


def without_zeros(key: str) -> str:
    """The key with the zeros that lead a run of digits taken away: what a spreadsheet leaves of a number."""
    return _LEADING_ZEROS.sub("", key)


def _separates(character: str) -> bool:
    if character in _OTHER_DASHES or character in _SEPARATORS:
        return True
    return unicodedata.category(character) in {"Pd", "Zs", "Zl", "Zp", "Cc", "Cf"}
