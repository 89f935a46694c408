"""First start, and the kennel's own clock."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from kennelward import desk
from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.roles import role_of

GetResponse = Callable[[HttpRequest], HttpResponseBase]


class FirstStart:
    """While nobody can log in yet, every page leads to making the first owner.

    Also sets the clock of pages to the kennel's time zone, and unsets it after.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response
        self._is_begun = False  # once begun, a kennel is never empty again

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Lead to the first page where nobody is there yet; else answer."""
        first = reverse("setup:first")
        static = "/" + settings.STATIC_URL.lstrip("/")
        is_open = request.path.startswith((static, *settings.ALWAYS_OPEN))
        if not self._is_begun and not is_open:
            self._is_begun = desk.has_people()
            if not self._is_begun and request.path != first:
                return redirect(first)
        if request.user.is_authenticated and role_of(request):
            timezone.activate(here(request).book.zone)
        try:
            return self.get_response(request)
        finally:
            timezone.deactivate()
