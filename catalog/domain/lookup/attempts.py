"""How a typed text may be a number: as it stands, behind a maker's code, without what is written round it.

The text as it stands always comes first. What is taken off is a word of its own, never a piece of the number, and the
attempt says what it was (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from catalog.domain.part_numbers import number_key

_GAP = r"[\s.,:;#=]"
_LABEL = r"(?:PART(?:\s*(?:NUMBER|NO|NR|#))?|P\s*/\s*N|PN|P\.\s*N|NUMBER|NO|NR|N[\u00ba\u00b0])"
_PIECES = r"(?:PIECES|PIECE|PCS|PC|EACH|EA)"
_QUANTITY = rf"(?:\d+\s*{_PIECES}\.?|(?:QTY|QUANTITY)\b{_GAP}*\d+(?:\s*{_PIECES}\.?)?)"
_TIMES = "[x\u00d7]"
# Each takes off one thing; what is taken is the group `off`.
_NOISE = tuple(
    (re.compile(pattern, re.IGNORECASE | re.ASCII), words)
    for pattern, words in (
        (rf"^\s*(?P<off>{_LABEL}){_GAP}+(?=.)", 'read without "{}"'),
        (r"^\s*(?P<off>[#\u2116])\s*(?=.)", 'read without "{}"'),
        (rf"^\s*(?P<off>\(?\s*{_QUANTITY}\s*\)?)[\s,;:]+(?=.)", 'read without the quantity "{}"'),
        (rf"(?<=.)(?:[\s,;]+|(?=\())(?P<off>\(?\s*{_QUANTITY}\s*\)?)\s*$", 'read without the quantity "{}"'),
        (rf"^\s*(?P<off>\d{{1,3}}\s*{_TIMES})\s+(?=.)", 'read without the quantity "{}"'),
        (rf"(?<=.)[\s,;]+(?P<off>\(?{_TIMES}\s*\d{{1,3}}\)?)\s*$", 'read without the quantity "{}"'),
        (
            r"(?<=.)(?:[\s,;/-]+|(?=\())(?P<off>\(?REV(?:ISION)?[\s.:-]*[A-Z0-9]{1,2}\)?)\s*$",
            'read without the revision "{}", which is of the drawing and not of the number',
        ),
        (rf"(?<=.)[\s,;]+(?P<off>{_LABEL}\.?)\s*$", 'read without "{}"'),
        (r"(?<=.)\s*(?P<off>#)\s*$", 'read without "{}"'),
        # How Code 39 begins and ends, which some scanners send along (ISO/IEC 16388, from memory).
        (r"^\s*(?P<off>\*)(?=.+\*\s*$)", 'read without the "{}" of a scanner'),
        (r"(?<=.)(?P<off>\*)\s*$", 'read without the "{}" of a scanner'),
    )
)
LEAST_AMONG_WORDS = 4  # letters and digits; a size or a grade of two or three says nothing of a number
# What a one-letter mark in front says on a label (ANSI MH10.8.2, from memory).
_MARKS = {"1P": "the supplier's part number", "P": "a part number", "Q": "a quantity", "S": "a serial number"}
_MARKED = re.compile(r"\s*(?P<mark>1P|[PQS])(?P<rest>.+)", re.IGNORECASE | re.ASCII | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Attempt:
    """One way to read the text: a number of one maker, or of any.

    `step` counts what was taken off, and a later step is heard only where no earlier one finds the number. `only_whole`
    is an attempt that is right only if a part has this very number.
    """

    number: str
    key: str
    maker: str | None = None
    notes: tuple[str, ...] = ()
    step: int = 0
    only_whole: bool = False

    def is_of(self, maker: str) -> bool:
        return self.maker is None or self.maker.upper() == maker.upper()


def attempts_of(text: str, makers: Iterable[str]) -> tuple[Attempt, ...]:
    """Every way to read the text, the text as it stands first. Empty where it holds no letter or digit.

    `makers` are the codes of all makers there are, in any case.
    """
    codes = sorted(makers)
    read = [*_with_makers(text, codes), *_without_mark(text), *_among_words(text, codes)]
    once: dict[tuple[str, str | None], Attempt] = {}
    for attempt in sorted(read, key=lambda one: one.step):
        if attempt.key:
            once.setdefault((attempt.key, attempt.maker), attempt)
    return tuple(once.values())


def _with_makers(text: str, codes: list[str]) -> Iterator[Attempt]:
    for step, (bare, notes) in enumerate(_bared(text)):
        yield Attempt(bare, number_key(bare), notes=notes, step=step)
        for maker, rest in _split_off(bare, codes):
            for more, (number, further) in enumerate(_bared(rest)):
                yield Attempt(number, number_key(number), maker, notes + further, step + more)


def _bared(text: str) -> list[tuple[str, tuple[str, ...]]]:
    """The text, then the text with one thing more taken off each time, and the notes of all that was."""
    found = [(text.strip(), tuple[str, ...]())]
    for _ in range(len(_NOISE)):
        last, notes = found[-1]
        taken = next(((match, words) for pattern, words in _NOISE if (match := pattern.search(last))), None)
        if taken is None:
            break
        match, words = taken
        bare = (last[: match.start()] + last[match.end() :]).strip()
        found.append((bare, (*notes, words.format(match["off"].strip()))))
    return found


def _split_off(text: str, codes: list[str]) -> Iterator[tuple[str, str]]:
    """A maker's code in front, whatever stands behind it, or at the end behind a space, with the rest."""
    for code in codes:
        upper = code.upper()
        if text[: len(code)].upper() == upper:
            yield code, text[len(code) :].lstrip(" \t-.:,/")
        words = text.rsplit(None, 1)
        if len(words) == 2 and words[1].upper() == upper:
            yield code, words[0].rstrip(" ,-")


def _without_mark(text: str) -> Iterator[Attempt]:
    found = _MARKED.fullmatch(text)
    if found is not None:
        mark, rest = found["mark"], found["rest"].strip()
        note = f'read without "{mark}", which on a label marks {_MARKS[mark.upper()]}'
        yield Attempt(rest, number_key(rest), notes=(note,), step=len(_NOISE) + 1, only_whole=True)


def _among_words(text: str, codes: list[str]) -> Iterator[Attempt]:
    """The one number among words without digits, as in "oil filter 0021-460"; any maker's code counts as one."""
    bare, notes = _bared(text)[-1]
    makers = {code.upper(): code for code in codes}
    words = bare.split()
    numbered = [at for at, word in enumerate(words) if any(map(str.isdigit, word))]
    if not numbered or numbered != list(range(numbered[0], numbered[-1] + 1)):
        return
    first, last = numbered[0], numbered[-1] + 1
    number, others = " ".join(words[first:last]), [word.strip(".,:;") for word in (*words[:first], *words[last:])]
    said = [word for word in others if word.upper() not in makers]
    key = number_key(number)
    if not any(said) or len(key) < LEAST_AMONG_WORDS:
        return
    named = [makers[word.upper()] for word in others if word.upper() in makers]
    off = (*notes, f'read without "{" ".join(said)}"')
    for maker in named or (None,):
        yield Attempt(number, key, maker, off, step=len(_NOISE) + 2, only_whole=True)
