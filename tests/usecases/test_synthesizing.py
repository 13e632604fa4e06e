"""Catalogues of a chosen size: filled up, taken up again where a run was cut short, the same from the same seed."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from catalog.models import Part
from catalog.usecases.generating_parts import MAKER

pytestmark = pytest.mark.db


def synthesized(count: int) -> str:
    told = StringIO()
    call_command("synthesize_catalogue", parts=count, stdout=told)
    return told.getvalue()


def made() -> dict[str, str]:
    return dict(Part.objects.filter(maker__code=MAKER).values_list("number", "facts"))


def test_it_fills_up_to_the_number_and_goes_on_from_there(desk: object) -> None:
    before = Part.objects.count()
    assert f"{before + 30:,} parts" in synthesized(before + 30)
    first = made()
    assert len(first) == 30
    synthesized(before + 50)
    assert Part.objects.count() == before + 50
    assert {number: made()[number] for number in first} == first
    # Fewer than there are takes nothing away.
    synthesized(before)
    assert Part.objects.count() == before + 50


def test_a_number_of_parts_that_makes_no_sense_is_refused(desk: object) -> None:
    with pytest.raises(CommandError, match="1 to 5,000,000"):
        synthesized(0)
