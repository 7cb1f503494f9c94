"""Addresses of the app `people`."""

from django.urls import path

from jetwright.web.people import doors, views

app_name = "people"
urlpatterns = [
    path("", views.people, name="list"),
    path("first/<str:token>/", doors.first, name="first"),
    path("enter/", doors.enter, name="enter"),
    path("leave/", doors.leave, name="leave"),
    path("lock/", doors.lock, name="lock"),
    path("unlock/", doors.unlock, name="unlock"),
    path("switch/", doors.switch, name="switch"),
    path("here/", doors.here, name="here"),
    path("me/", views.me, name="me"),
    path("me/password/", views.password, name="password"),
    path("me/pin/", views.pin, name="pin"),
    path("new/", views.new, name="new"),
    path("crews/new/", views.new_crew, name="new_crew"),
    path("trail/", views.trail, name="trail"),
    path("<uuid:person>/", views.page, name="page"),
    path("<uuid:person>/reset/", views.reset, name="reset"),
    path("<uuid:person>/close/", views.close, name="close"),
    path("<uuid:person>/reopen/", views.reopen, name="reopen"),
    path("<uuid:person>/roles/", views.role, name="role"),
    path("<uuid:person>/roles/<uuid:membership>/end/", views.end_role, name="end_role"),
]
