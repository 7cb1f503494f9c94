"""Addresses of the app `yard`."""

from django.urls import URLPattern, path

from jetwright.web.yard import exchange, first_unit, labels, photos, views

app_name = "yard"
PHOTO = "photos/<uuid:photo_id>"
urlpatterns: list[URLPattern] = [
    path("", views.pieces, name="list"),
    path("new/<slug:kind>/", views.new, name="new"),
    path("first-unit/", first_unit.questions, name="first_unit"),
    path("understood/", views.meant, name="understood"),
    path("labels/", labels.sheet, name="labels"),
    path("files/", exchange.files, name="files"),
    path("files/yard.toml", exchange.toml, name="toml"),
    path("files/<slug:kind>.csv", exchange.csv, name="csv"),
    path("files/read/", exchange.read, name="read"),
    path("files/put/", exchange.put, name="put"),
    path(PHOTO + ".jpg", photos.picture, {"small": False}, name="photo"),
    path(PHOTO + "/small.jpg", photos.picture, {"small": True}, name="photo_small"),
    path(PHOTO + "/retire/", photos.retire, name="photo_retire"),
    path("<uuid:piece_id>/", views.page, name="page"),
    path("<uuid:piece_id>/change/", views.change, name="change"),
    path("<uuid:piece_id>/retire/", views.retire, name="retire"),
    path("<uuid:piece_id>/back/", views.back, name="back"),
    path("<uuid:piece_id>/copy/", views.copy, name="copy"),
    path("<uuid:piece_id>/split/", views.split, name="split"),
    path("<uuid:piece_id>/history/", views.history, name="history"),
    path("<uuid:piece_id>/taken/", first_unit.taken, name="taken"),
    path("<uuid:piece_id>/photos/", photos.add, name="photo_add"),
    path("<uuid:piece_id>/label.svg", labels.code, name="label"),
]
