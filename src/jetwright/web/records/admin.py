"""Records in the administrator's pages: looked at, never touched."""

from django.contrib import admin

from jetwright.web.people.admin import SeenAdmin
from jetwright.web.records.models import Record


@admin.register(Record)
class RecordAdmin(SeenAdmin):
    """Records. [-]"""

    exclude = ("sheet",)
    readonly_fields = ()
    list_display = ("__str__", "kind", "by", "made_at", "fingerprint")
    list_filter = ("crew", "kind")
