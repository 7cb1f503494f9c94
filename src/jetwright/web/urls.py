"""Addresses, grouped by noun."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

from jetwright.web.api import addresses

handler400 = "jetwright.web.held.not_read"
handler404 = "jetwright.web.held.not_there"
handler500 = "jetwright.web.held.failed"
urlpatterns = [
    path("", RedirectView.as_view(pattern_name="jobs:list"), name="home"),
    path("people/", include("jetwright.web.people.urls")),
    path("yard/", include("jetwright.web.yard.urls")),
    path("jobs/", include("jetwright.web.jobs.urls")),
    path("records/", include("jetwright.web.records.urls")),
    path("api/", addresses),
    path("admin/", admin.site.urls),
]
