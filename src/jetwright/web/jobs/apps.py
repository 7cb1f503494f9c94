"""The app `jobs`."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Jobs, their tasks, and the plan of each."""

    name = "jetwright.web.jobs"
    label = "jobs"
