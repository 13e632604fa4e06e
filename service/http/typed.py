"""What people type into the forms of a page: read once by its shape, then by a use case, each fault at its field."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import wraps
from itertools import groupby
from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from rest_framework.exceptions import ErrorDetail, ValidationError
from rest_framework.fields import empty

from service.errors import DomainError, Problems
from service.http.faults import flatten
from service.http.fields import DecimalString, Whole
from service.http.serializers import StrictSerializer

View = Callable[..., HttpResponseBase]
Choices = Sequence[tuple[str, str]]
NEEDED = "Fill this in."


class WholeTyped(Whole):
    """A whole number as it is typed into a field."""

    default_error_messages = {"invalid": "Type a whole number."}

    def to_internal_value(self, data: Any) -> int:
        text = str(data)
        if not (text.isascii() and text.isdecimal() and len(text) <= 9):
            self.fail("invalid")
        return super().to_internal_value(int(text))


class DecimalTyped(DecimalString):
    """A number as it is typed into a field, with a dot."""

    default_error_messages = {"invalid": "Type a number, with a dot before any tenths."}


class FormShape(StrictSerializer):
    """A shape in which some fields go together: what is wrong among them is told with all that is wrong in one."""

    def among(self, typed: Mapping[str, Any]) -> Mapping[str, str]:
        """The faults, by the field that each stands beside; `typed` holds what was not left empty, as it was typed."""
        return {}

    def run_validation(self, data: Any = empty) -> Any:
        faults = {name: [ErrorDetail(words, code="among")] for name, words in self.among(data).items()}
        try:
            read = super().run_validation(data)
        except ValidationError as error:
            raise ValidationError({**faults, **error.detail}) from None  # type: ignore[dict-item]
        if faults:
            raise ValidationError(faults)
        return read


@dataclass
class Field:
    """One field as it is shown: what was typed is kept, and what is wrong with it stands beside it."""

    name: str
    label: str
    kind: str = "text"  # text, number, date, select, tick, hidden; a tick's value is "yes" or empty
    hint: str = ""
    value: str = ""
    choices: Choices = ()
    needed: bool = False
    wide: bool = False
    folded: bool = False
    offers: Sequence[str] = ()  # what is offered while it is typed
    group: str = ""  # the words of the frame in which it stands
    faults: list[str] = field(default_factory=list)


class Typed:
    """A form of these fields; `shape` reads what was typed in it. `places` sends a pointer to a field by name.

    Fields that are folded stand below the others, behind the words of `fold`. What is left empty is left out, so that
    it is unknown and never an empty text.
    """

    def __init__(
        self,
        form: str,
        fields: Sequence[Field],
        shape: type[StrictSerializer],
        places: Mapping[str, str] | None = None,
        *,
        fold: str = "",
    ) -> None:
        self.form, self.fields, self.shape, self.places = form, list(fields), shape, dict(places or {})
        self.fold = fold
        self.faults: list[str] = []

    @property
    def first_wrong(self) -> str:
        """The name of the first field in which something is wrong, which the page puts the focus in; else empty."""
        return next((one.name for one in (*self.plain, *self.folded) if one.faults), "")

    @property
    def plain(self) -> list[Field]:
        return [one for one in self.fields if not one.folded]

    @property
    def groups(self) -> list[tuple[str, list[Field]]]:
        """The fields in their order, those that stand next to each other in one frame together."""
        return [(words, list(fields)) for words, fields in groupby(self.plain, key=lambda one: one.group)]

    @property
    def folded(self) -> list[Field]:
        return [one for one in self.fields if one.folded]

    @property
    def unfolded(self) -> bool:
        """Whether something stands behind the fold already, which must be in sight."""
        return any(one.value or one.faults for one in self.folded)

    @property
    def wrong(self) -> bool:
        return bool(self.faults) or any(one.faults for one in self.fields)

    def filled(self, given: Mapping[str, str]) -> Typed:
        """With what was typed. A browser does not send a box that is not ticked."""
        for one in self.fields:
            one.value = given.get(one.name, "" if one.kind == "tick" else one.value)
        return self

    def does(self, act: Callable[[dict[str, Any]], object]) -> bool:
        """Read the fields and do it; False where something is wrong, which then stands beside its field."""
        typed = {one.name: one.value for one in self.fields if one.value.strip()}
        try:
            act(self.shape().run_validation(typed))
        except ValidationError as error:
            for fault in flatten(error.detail):
                self.tell(fault.pointer or "", NEEDED if fault.code == "required" else fault.detail)
        except Problems as error:
            for problem in error.problems:
                self.tell(problem.pointer, problem.detail)
        except DomainError as error:
            self.tell(error.pointer or "", error.message)
        return not self.wrong

    def tell(self, pointer: str, words: str) -> None:
        """Put a fault beside the field it is about, else above the form."""
        steps = pointer.lstrip("#").strip("/")
        names = [self.places.get(steps, ""), *reversed(steps.split("/"))]
        at = next((one for name in names for one in self.fields if one.name == name and one.kind != "hidden"), None)
        told = self.faults if at is None else at.faults
        if words not in told:
            told.append(words)


def chosen_of(choices: Choices, words: str) -> Choices:
    """The choices with one in front that chooses nothing."""
    return (("", words), *choices)


def once_field() -> Field:
    """What makes two forms the same, for `done_once`: made anew each time the form is shown."""
    return Field("once", "", "hidden", value=uuid4().hex)


def sent_from(page: str) -> Callable[[View], View]:
    """For a view that only takes what the form of a page sends: whoever comes to its address is led to that page."""

    def only(view: View) -> View:
        @wraps(view)
        def taken(request: HttpRequest, **named: Any) -> HttpResponseBase:
            if request.method != "POST":
                return redirect(page, *list(named.values())[:1])
            return view(request, **named)

        return taken

    return only
