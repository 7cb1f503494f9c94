"""The yard in the administrator's pages; what a piece is, is read and checked on its own page."""

from django.contrib import admin
from django.http import HttpRequest

from jetwright.web.people.admin import KeptAdmin, SeenAdmin
from jetwright.web.yard.models import Photo, Piece


@admin.register(Piece)
class PieceAdmin(KeptAdmin):
    """Pieces. [-]"""

    readonly_fields = ("uuid", "crew", "kind", "on", "spec", "tested", "version", "changed_at")
    list_display = ("name", "kind", "crew", "retired_at")
    list_filter = ("crew", "kind")
    search_fields = ("name", "serial")

    def has_add_permission(self, request: HttpRequest) -> bool:
        """On the page of the yard. [-]"""
        return False


@admin.register(Photo)
class PhotoAdmin(SeenAdmin):
    """Photos. [-]"""

    list_display = ("__str__", "piece", "by", "added_at")
