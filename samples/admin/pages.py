"""What the administrator's pages have in common: what may be changed, made and taken out."""

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.contrib.admin.widgets import ForeignKeyRawIdWidget
from django.contrib.auth.admin import UserAdmin
from django.db.models import Model
from simple_history.admin import SimpleHistoryAdmin

from samples import models

if TYPE_CHECKING:
    HistoryPages = admin.ModelAdmin[Any]
    PlainPages = admin.ModelAdmin[Any]
    PeoplePages = UserAdmin[models.User]
else:
    HistoryPages = SimpleHistoryAdmin
    PlainPages = admin.ModelAdmin
    PeoplePages = UserAdmin

# Rows of large tables are named by their id: a list of them would not end.
WIDE = {
    *("party", "vial", "fish", "donor", "person", "logged_by", "opened_by", "issued_to"),
    *("received_by", "decided_by", "settled_by", "said_by", "reader", "phone", "link", "run"),
}


class ListPages(PlainPages):
    """One table: a list that asks the database once, and rows of large tables by their id."""

    show_full_result_count = False

    def changeform_view(self, *args: Any, **kwargs: Any) -> Any:
        with models.atomic_with_revision():
            return super().changeform_view(*args, **kwargs)

    def delete_view(self, *args: Any, **kwargs: Any) -> Any:
        with models.atomic_with_revision():
            return super().delete_view(*args, **kwargs)

    def get_list_select_related(self, request: Any) -> list[str]:
        relations = {field.name for field in self.model._meta.fields if field.is_relation}
        return [str(name) for name in self.list_display if name in relations]

    def formfield_for_foreignkey(self, db_field: Any, request: Any, **kwargs: Any) -> Any:
        if db_field.name in WIDE:
            kwargs["widget"] = ForeignKeyRawIdWidget(db_field.remote_field, self.admin_site)
        return super().formfield_for_foreignkey(db_field, request, **kwargs)


class Pages(ListPages, HistoryPages):
    """The same for a table with a history."""


class KeptPages(Pages):
    """Facts of the ramp and the laboratory: put right here, never made or taken out."""

    def has_add_permission(self, request: Any) -> bool:
        return False

    def has_delete_permission(self, request: Any, obj: Model | None = None) -> bool:
        return False


class ShownPages(KeptPages):
    """What was said, sent or handed out, word for word: it is shown and nothing else."""

    def has_change_permission(self, request: Any, obj: Model | None = None) -> bool:
        return False
