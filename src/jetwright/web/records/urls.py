"""Addresses of the app `records`."""

from django.urls import URLPattern, path

from jetwright.web.records import sign, views

app_name = "records"
urlpatterns: list[URLPattern] = [
    path("", views.records, name="list"),
    path("check/", views.check, name="check"),
    path("sign/<uuid:task_id>/", sign.page, name="sign"),
    path("<uuid:record_id>/", views.page, name="page"),
    path("<uuid:record_id>/sheet.pdf", views.sheet, name="sheet"),
    path("<uuid:record_id>/body.json", views.body, name="body"),
]
