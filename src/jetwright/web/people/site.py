"""The administrator's pages: entered as every page is, nothing of them deletes."""

from typing import Any
from urllib.parse import urlencode

from django.contrib.admin import AdminSite
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.decorators import method_decorator

from jetwright.web.people.again import by_password
from jetwright.web.people.doors import where_next


class Site(AdminSite):
    """Django's own pages for administrators; passwords are typed and changed on ours. [-]"""

    site_header = site_title = "Jetwright"

    def has_permission(self, request: HttpRequest) -> bool:
        """Whether an administrator asks who entered with the password. [-]"""
        return bool(request.user.is_active and request.user.is_superuser and by_password(request))

    @method_decorator(login_not_required)
    def login(self, request: HttpRequest, extra_context: Any = None) -> HttpResponse:
        """To the page where everybody enters. [-]"""
        return HttpResponseRedirect(
            reverse("people:enter") + "?" + urlencode({"next": where_next(request, reverse("admin:index"))})
        )

    def logout(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """To one's own page, which has the button. [-]"""
        return HttpResponseRedirect(reverse("people:me"))

    def password_change(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """To one's own page, which asks for the password first. [-]"""
        return HttpResponseRedirect(reverse("people:me"))
