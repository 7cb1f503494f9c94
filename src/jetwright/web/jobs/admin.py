"""Jobs in the administrator's pages; what a job says is read and checked on its own page."""

from django.contrib import admin
from django.http import HttpRequest

from jetwright.web.jobs.models import Job, Task
from jetwright.web.people.admin import KeptAdmin


class WrittenAdmin(KeptAdmin):
    """Rows that are made on pages which check them. [-]"""

    def has_add_permission(self, request: HttpRequest) -> bool:
        """On the page of jobs. [-]"""
        return False


@admin.register(Job)
class JobAdmin(WrittenAdmin):
    """Jobs. [-]"""

    readonly_fields = ("uuid", "crew", "unit", "spec", "day", "version", "changed_at")
    list_display = ("name", "crew", "day", "retired_at")
    list_filter = ("crew",)
    search_fields = ("name",)


@admin.register(Task)
class TaskAdmin(WrittenAdmin):
    """Tasks. [-]"""

    readonly_fields = ("uuid", "job", "place", "spec", "version", "changed_at")
    list_display = ("name", "job", "place", "retired_at")
    search_fields = ("name", "job__name")
