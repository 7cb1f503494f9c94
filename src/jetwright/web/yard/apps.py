"""The app `yard`."""

from django.apps import AppConfig


class YardConfig(AppConfig):
    """The register of everything a crew owns."""

    name = "jetwright.web.yard"
    label = "yard"
