"""Who may open a page: each view says so itself, and a test reads it off the URLs."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render

OWNER, HAND, VET = "owner", "hand", "vet"
ROLES = (OWNER, HAND, VET)
ANYONE = "anyone"  # also someone who is not logged in

View = Callable[..., HttpResponseBase]


def open_to(*roles: str) -> Callable[[View], View]:
    """Let only people with one of `roles` into a view.

    Someone not logged in is sent to the login page; someone with another role gets
    answer 403. A view without this decorator fails the permission test.
    """
    unknown = set(roles) - set(ROLES)
    if unknown or not roles:
        raise ValueError(f"roles must be some of {', '.join(ROLES)}; got {roles!r}")

    def wrap(view: View) -> View:
        @wraps(view)
        def guarded(
            request: HttpRequest, *args: Any, **kwargs: Any
        ) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if role_of(request) not in roles:
                raise PermissionDenied
            return view(request, *args, **kwargs)

        guarded.open_to = roles  # type: ignore[attr-defined]
        return guarded

    return wrap


def open_to_anyone(view: View) -> View:
    """Let everyone into a view, logged in or not."""

    @wraps(view)
    def welcomed(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        return view(request, *args, **kwargs)

    welcomed.open_to = (ANYONE,)  # type: ignore[attr-defined]
    return login_not_required(welcomed)


def role_of(request: HttpRequest) -> str:
    """The role of whoever asks, in this kennel; empty where there is none."""
    return str(getattr(request, "role", ""))


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """The page for a door that is not open to this role."""
    return render(request, "shell/forbidden.html", status=403)
