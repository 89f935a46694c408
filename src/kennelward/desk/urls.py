"""Every address of the desk: each page's own list, and logging in and out."""

from importlib import import_module
from pathlib import Path

from allauth.account import views as login_views
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import URLPattern, URLResolver, include, path

from kennelward.desk.access import authority_file, is_alive

PAGES = (  # package, address
    ("start", ""),
    ("danger", "danger/"),
    ("bench", "bench/"),
    ("round", "round/"),
    ("due", "due/"),
    ("setup", "setup/"),
    ("dogs", "dogs/"),
    ("pens", "pens/"),
    ("litters", "litters/"),
    ("foresee", "what-may-happen/"),
    ("trace", "trace/"),
    ("shelf", "shelf/"),
    ("book", "book/"),
    ("handbook_page", "handbook/"),
    ("worth", "worth/"),
    ("answers", "when/"),
    ("sure", "sure/"),
    ("shell", ""),
)
_PAGES_FOLDER = Path(__file__).resolve().parent / "pages"


@login_not_required
def closed(request: HttpRequest) -> HttpResponse:
    """Signing up, resetting by mail and the like: not here."""
    raise Http404


def _pages() -> list[URLPattern | URLResolver]:
    return [
        path(address, include(f"kennelward.desk.pages.{package}.urls"))
        for package, address in PAGES
        if (_PAGES_FOLDER / package / "urls.py").is_file()
    ]


urlpatterns = [
    *_pages(),
    path("account/login/", login_views.login, name="account_login"),
    path("account/logout/", login_views.logout, name="account_logout"),
    path(
        "account/password/",
        login_views.password_change,
        name="account_change_password",
    ),
    path("account/inactive/", login_views.account_inactive, name="account_inactive"),
    # The login library looks these names up; each answers 404.
    *(
        path(f"account/closed/{name}/", closed, name=f"account_{name}")
        for name in (
            "signup",
            "email",
            "reset_password",
            "reauthenticate",
            "set_password",
            "email_verification_sent",
        )
    ),
    path("alive/", is_alive, name="alive"),
    path("kennelward-authority.crt", authority_file, name="authority"),
]

_shell = import_module("kennelward.desk.pages.shell.roles")
handler403 = _shell.forbidden
