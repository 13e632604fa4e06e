"""Every key that one slip of the finger makes of another, listed: slow, and plainly all there are."""

from __future__ import annotations

from string import ascii_uppercase, digits

# What `number_key` leaves of numbers printed in Latin capitals, with the two signs that it keeps.
ALPHABET = ascii_uppercase + digits + "+#"


def slips(key: str, alphabet: str = ALPHABET) -> frozenset[str]:
    """A character left out, two neighbours swapped, one too many or a wrong one; the key itself left out."""
    letters = tuple(dict.fromkeys(alphabet + key))
    found = {key[:at] + key[at + 1] + key[at] + key[at + 2 :] for at in range(len(key) - 1)}
    for at in range(len(key) + 1):
        found.update(key[:at] + letter + key[at:] for letter in letters)
        if at < len(key):
            found.update(key[:at] + letter + key[at + 1 :] for letter in ("", *letters))
    return frozenset(found - {key})
