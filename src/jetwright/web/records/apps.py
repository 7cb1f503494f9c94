"""The app `records`."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """What was signed, sealed and chained, never changed."""

    name = "jetwright.web.records"
    label = "records"
