"""Trade item numbers: eight, twelve, thirteen or fourteen digits, the last of which checks the others.

The check digit is the one of the GS1 General Specifications: digits weighted three and one from the right, to the next
ten.
"""

from __future__ import annotations

from service.errors import Invalid

LENGTHS = (8, 12, 13, 14)


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
    right = check_digit(code[:-1])
    if code[-1] != right:
        raise Invalid(
            f"The check digit of the barcode {code} is {right} and not {code[-1]}; read the digits again.",
            code="wrong_check_digit",
        )
