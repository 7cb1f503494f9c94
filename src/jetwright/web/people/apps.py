"""The app `people`."""

from django.apps import AppConfig
from django.contrib.admin.apps import AdminConfig


class PeopleConfig(AppConfig):
    """People, the crews they belong to, and what each may do."""

    name = "jetwright.web.people"
    label = "people"


class AdministratorsConfig(AdminConfig):
    """The administrator's pages, with the one way in."""

    default_site = "jetwright.web.people.site.Site"
