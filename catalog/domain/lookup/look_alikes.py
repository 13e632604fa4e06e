"""Characters taken for one another: a second, coarser key, for suggestions only.

O for 0, I and L for 1 are those of a public alphabet for human transcription (Crockford's Base32); Q for 0 and S, Z, B
and G for 5, 2, 8 and 6 are common practice, no source. Cyrillic and Greek capitals that are drawn like Latin ones come
from `confusables.txt` of Unicode Technical Standard #39: those rows whose prototype is one Latin letter or digit, with
the small l that it has for I taken as I.
"""

from __future__ import annotations

_DIGITS = {"0": "OQ", "1": "IL", "5": "S", "2": "Z", "8": "B", "6": "G"}
_DRAWN_LIKE = {
    "A": "\u0410\u0391", "B": "\u0412\u0392", "C": "\u0421\u03F9", "E": "\u0415\u0395",
    "F": "\u03DC", "G": "\u050C", "H": "\u041D\u0397", "I": "\u0406\u04C0\u0399",
    "J": "\u0408\u037F", "K": "\u041A\u039A", "M": "\u041C\u039C\u03FA", "N": "\u039D",
    "O": "\u041E\u039F", "P": "\u0420\u03A1", "S": "\u0405", "T": "\u0422\u03A4",
    "V": "\u0474", "W": "\u051C", "X": "\u0425\u03A7", "Y": "\u0423\u04AE\u03A5",
    "Z": "\u0396", "3": "\u0417\u04E0",
}  # fmt: skip
_LATIN = {latin: digit for digit, letters in _DIGITS.items() for latin in letters}
_FOREIGN = {other: _LATIN.get(latin, latin) for latin, others in _DRAWN_LIKE.items() for other in others}
_FOLDS = str.maketrans(_LATIN | _FOREIGN)


def look_alike_key(key: str) -> str:
    """What is left of a number's key (`part_numbers.number_key`) once look-alikes are one character.

    It has the length of the key and is its own look-alike key.
    """
    return key.translate(_FOLDS)
