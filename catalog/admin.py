"""The catalogue editor's desk: all of the catalogue to be looked at, and what is changed goes through the use cases.

Rows are never saved as they are: parts carry derived texts and the catalogue its version, which the use cases keep.
Values, statements and engines come in by tables and by the API; here a part is renamed or withdrawn, and an error in
the data is closed with its reason.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from django import forms
from django.contrib import admin
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils import timezone

from catalog import models
from catalog.domain.value_documents import write_value
from catalog.usecases.data_errors import change_data_error
from catalog.usecases.part_editing import change_part
from catalog.usecases.reading import published
from catalog.usecases.slip_words import Names
from service.errors import DomainError

# The stubs' generics are plain classes where the code runs.
if TYPE_CHECKING:
    _Rows = admin.ModelAdmin[Any]
    _Inline = admin.TabularInline[Any, Any]
    _Form = forms.ModelForm[Any]
else:
    _Rows = admin.ModelAdmin
    _Inline = admin.TabularInline
    _Form = forms.ModelForm


class OnlySeen:
    """Whoever is let in sees it; nobody adds, changes or deletes a row of it here."""

    def has_module_permission(self, _request: HttpRequest) -> bool:
        return True

    def has_view_permission(self, _request: HttpRequest, _obj: Any = None) -> bool:
        return True

    def has_add_permission(self, _request: HttpRequest, _obj: Any = None) -> bool:
        return False

    def has_change_permission(self, _request: HttpRequest, _obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, _request: HttpRequest, _obj: Any = None) -> bool:
        return False


class ToLookAt(OnlySeen, _Rows):
    list_per_page = 50
    show_full_result_count = False


class Changed(ToLookAt):
    """A few fields of it can be changed, by a form that asks a use case."""

    def has_change_permission(self, _request: HttpRequest, _obj: Any = None) -> bool:
        return True

    def get_form(self, request: HttpRequest, *row: Any, **more: Any) -> Any:
        form: Any = super().get_form(request, *row, **more)
        form.by = getattr(request.user, "name", "")
        return form

    def save_model(self, *_row: Any) -> None:
        """The form has saved it, since only the use case can say whether it may be."""


class BesidePart(OnlySeen, _Inline):
    extra = 0


class ValuesOfPart(BesidePart):
    model = models.PartAttribute
    verbose_name_plural = "values"
    fields = readonly_fields = ("attribute", "slot", "shown", "source_kind", "source_citation")

    @admin.display(description="value")
    def shown(self, row: models.PartAttribute) -> str:
        return Names(published().rulebook).value(write_value(row.value, units="as_given"))


class BarcodesOfPart(BesidePart):
    model = models.Barcode
    fields = readonly_fields = ("code", "pack_quantity")


class PartForm(_Form):
    by: ClassVar[str] = ""

    class Meta:
        model = models.Part
        fields = ("name", "status")

    def clean(self) -> dict[str, Any]:
        found: dict[str, Any] = super().clean() or {}
        patch = {name: found[name] for name in self.changed_data if name in found}
        if patch and not self.errors:
            try:
                change_part(models.Part.objects.select_related("maker").get(pk=self.instance.pk), patch, timezone.now())
            except DomainError as error:
                raise ValidationError(error.message) from error
        return found


@admin.register(models.Part)
class Parts(Changed):
    form = PartForm
    list_display = ("number", "maker", "name", "category", "status")
    list_filter = ("status", "maker", "category")
    list_select_related = ("maker",)
    search_fields = ("number", "name", "barcodes__code")
    fields = ("maker", "number", "category", "name", "status", "condition", "supplied_as")
    readonly_fields = ("maker", "number", "category", "condition", "supplied_as")
    inlines = (ValuesOfPart, BarcodesOfPart)


@admin.register(models.Statement)
class Statements(ToLookAt):
    list_display = ("kind", "part", "position", "by", "status", "source_citation")
    list_filter = ("status", "kind", "by")
    list_select_related = ("part__maker", "position__specification")
    search_fields = ("part__number", "position__code", "source_citation")
    exclude = ("changed_in",)


@admin.register(models.EngineSpecification)
class Engines(ToLookAt):
    list_display = ("model", "spec")
    search_fields = ("model", "spec")


class DataErrorForm(_Form):
    by: ClassVar[str] = ""

    class Meta:
        model = models.DataError
        fields = ("state", "reason")
        help_texts: ClassVar = {"reason": "What was wrong and what was done about it; asked for where it is closed."}

    def clean(self) -> dict[str, Any]:
        found: dict[str, Any] = super().clean() or {}
        if found.get("state") == models.ErrorState.CLOSED and not (found.get("reason") or "").strip():
            raise ValidationError({"reason": "Say what was done; it is closed with a reason."})
        if self.changed_data and not self.errors:
            try:
                error = models.DataError.objects.get(pk=self.instance.pk)
                change_data_error(error, found, by=self.by, now=timezone.now())
            except DomainError as error:
                raise ValidationError(error.message) from error
        return found


@admin.register(models.DataError)
class DataErrors(Changed):
    form = DataErrorForm
    list_display = ("words", "kind", "state", "times_seen", "last_seen")
    list_filter = ("state", "kind")
    search_fields = ("words",)
    fields = (
        "words",
        "kind",
        "parts",
        "times_seen",
        "first_seen",
        "last_seen",
        "closed_at",
        "closed_by",
        "state",
        "reason",
    )
    readonly_fields = ("words", "kind", "parts", "times_seen", "first_seen", "last_seen", "closed_at", "closed_by")


@admin.register(models.RulebookVersion)
class Rulebooks(ToLookAt):
    list_display = ("number", "digest", "published_at")
    exclude = ("document",)
