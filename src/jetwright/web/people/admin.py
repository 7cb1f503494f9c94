"""People in the administrator's pages, and the manner of every model there: nothing is deleted, no secret is shown."""

from typing import Any, ClassVar

from auditlog.models import LogEntry
from django.contrib import admin, messages
from django.contrib.auth.models import Group
from django.db import IntegrityError, models
from django.forms import ModelForm
from django.http import HttpRequest, HttpResponse

from jetwright.report.wording import _
from jetwright.web.people.forms import CrewAdminForm, PersonAdminForm
from jetwright.web.people.models import Crew, Device, Entered, FirstLink, Membership, Person
from jetwright.web.people.naming import names_held


class KeptAdmin(admin.ModelAdmin):  # type: ignore[type-arg]
    """Rows that are looked at, added and changed, and never deleted. [-]"""

    readonly_fields: ClassVar[Any] = ("uuid", "version", "changed_at")

    def changeform_view(self, request: HttpRequest, *args: Any, **named: Any) -> HttpResponse:
        """The page of a row; what another page took since the form was looked at is looked at once more. [-]"""
        if request.method != "POST":
            return super().changeform_view(request, *args, **named)
        with names_held():
            try:
                return super().changeform_view(request, *args, **named)
            except IntegrityError:
                return super().changeform_view(request, *args, **named)

    def has_delete_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        """Never. [-]"""
        return False

    def save_model(self, request: HttpRequest, obj: Any, form: "ModelForm[Any]", change: bool) -> None:
        """Keep it, unless somebody kept it in the same moment. [-]"""
        if not change:
            obj.save()
        elif form.changed_data and not obj.change(obj.version, form.changed_data):
            messages.error(request, _("Somebody changed this meanwhile. Look at it once more, then save again."))


class SeenAdmin(KeptAdmin):
    """Rows that are only looked at. [-]"""

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Never. [-]"""
        return False

    def has_change_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        """Never. [-]"""
        return False


@admin.register(Person)
class PersonAdmin(KeptAdmin):
    """Accounts; they are made on the page of people, which makes the password too. [-]"""

    form = PersonAdminForm
    fields = (
        "uuid", "username", "name", "language", "units", "theme", "is_active", "is_staff", "is_superuser",
        "must_change", "last_login", "date_joined", "version", "changed_at",
    )  # fmt: skip
    readonly_fields = ("uuid", "last_login", "date_joined", "version", "changed_at")
    list_display = ("username", "name", "is_active", "is_superuser")
    search_fields = ("username", "name")

    def has_add_permission(self, request: HttpRequest) -> bool:
        """On the page of people. [-]"""
        return False


@admin.register(Crew)
class CrewAdmin(KeptAdmin):
    """Crews. [-]"""

    form = CrewAdminForm
    list_display = ("name", "retired_at")


@admin.register(Membership)
class MembershipAdmin(KeptAdmin):
    """Roles. [-]"""

    list_display = ("person", "crew", "role", "since", "ended_at")
    list_filter = ("crew", "role")


@admin.register(Device)
class DeviceAdmin(SeenAdmin):
    """Devices, without what makes them known. [-]"""

    fields = ("uuid", "name", "seen_at")
    list_display = ("__str__", "seen_at")


@admin.register(Entered)
class EnteredAdmin(SeenAdmin):
    """Who may come back with a PIN, where. [-]"""

    list_display = ("person", "device", "until")


@admin.register(FirstLink)
class FirstLinkAdmin(SeenAdmin):
    """Links to the first account, without what opens them. [-]"""

    fields = ("uuid", "until", "used_at")
    list_display = ("__str__", "until", "used_at")


class TrailAdmin(SeenAdmin):
    """The trail. [-]"""

    fields = readonly_fields = (
        "timestamp", "actor", "remote_addr", "action", "content_type", "object_pk", "object_repr", "changes",
    )  # fmt: skip
    list_display = ("timestamp", "actor", "action", "content_type", "object_repr")
    list_filter = ("action", "content_type")
    list_select_related = ("actor", "content_type")
    search_fields = ("object_repr", "actor__username", "actor__name")


admin.site.unregister([Group, LogEntry])
admin.site.register(LogEntry, TrailAdmin)
