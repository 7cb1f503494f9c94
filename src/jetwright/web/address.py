"""The address at which other devices find a page: the one that was set, else the one that was asked for."""

import ipaddress
from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest


def address_of(request: HttpRequest, path: str) -> str:
    """The whole address of a page as another device may ask for it; "" where only this machine has one. [-]

    Of the name that a browser asked for is taken only what the counter was told to answer to.
    """
    if settings.ADDRESS:
        return f"{settings.ADDRESS}{path}"
    host = urlsplit(f"//{request.get_host()}").hostname or ""
    return "" if "*" in settings.ALLOWED_HOSTS or is_this_machine(host) else request.build_absolute_uri(path)


def is_this_machine(host: str) -> bool:
    """Whether a name or number leads every device to itself. [-]"""
    if host == "localhost" or host.endswith(".localhost"):
        return True
    try:
        number = ipaddress.ip_address(host)
    except ValueError:
        return False
    return number.is_loopback or number.is_unspecified
