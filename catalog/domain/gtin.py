"""Trade item numbers: eight, twelve, thirteen or fourteen digits, the last of which checks the others.

The check digit is the one of the GS1 General Specifications: digits weighted three and one from the right, to the next
ten. The lengths are one number written with fewer zeros in front: all are compared as fourteen digits.
"""

from __future__ import annotations

from service.errors import Invalid

LENGTHS = (8, 12, 13, 14)
LONGEST = 14


def check_digit(digits: str) -> str:
    """The digit that belongs behind these."""
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(digits)))
    return str(-total % 10)


def check_gtin(code: str) -> None:
    """Raise Invalid for digits that are no trade item number, with the digit that is right where only that is wrong.

    A code with letters in it is somebody's own, and is not looked at.
    """
    if not (code.isascii() and code.isdigit()):
        return
    if len(code) not in LENGTHS:
        raise Invalid(
            f"The barcode {code[:40]} has {len(code)} digits and a trade item number has 8, 12, 13 or 14; read it off "
            "the package again, and keep the cell as text so that no zero is lost.",
            code="not_a_gtin",
        )
    if not checks(code):
        raise wrong_check_digit(code)


def is_gtin_long(code: str) -> bool:
    """Whether it has as many digits as a trade item number has, and nothing else."""
    return code.isascii() and code.isdigit() and len(code) in LENGTHS


def checks(code: str) -> bool:
    return code[-1] == check_digit(code[:-1])


def wrong_check_digit(code: str, before: str = "") -> Invalid:
    """The refusal of a misread code, with the digit that is right; `before` is a sentence to begin with."""
    right = check_digit(code[:-1])
    return Invalid(
        f"{before}The barcode {code} is misread: its check digit should be {right} and is {code[-1]}; read the digits "
        "again.",
        code="wrong_check_digit",
        check_digit=right,
    )


def as_fourteen(code: str) -> str:
    return code.zfill(LONGEST)


def shorter_forms(fourteen: str) -> tuple[str, ...]:
    """The number in every length that holds it, longest first: how it may stand on a package and in a record."""
    return tuple(fourteen[-size:] for size in sorted(LENGTHS, reverse=True) if int(fourteen[:-size] or "0") == 0)


def is_pack(fourteen: str) -> bool:
    """Whether it numbers a pack of another item: 1 to 8 in front (GS1 General Specifications; from memory)."""
    return fourteen[0] in "12345678"


def item_in_pack(fourteen: str) -> str:
    """The number of the item that a pack holds, in fourteen digits; how many it holds is in no number."""
    digits = f"0{fourteen[1:-1]}"
    return digits + check_digit(digits)
