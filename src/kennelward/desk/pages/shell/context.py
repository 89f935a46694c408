"""What every template knows: the kennel's name and phones, the pages, who is asking."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.labels import ROLES, label
from kennelward.desk.pages.shell.look import look_of
from kennelward.desk.pages.shell.roles import role_of

PAGES = (  # app_name, icon, word, in the first row on a phone
    ("start", "home", gettext_lazy("Start"), True),
    ("round", "round", gettext_lazy("Round"), True),
    ("due", "due", gettext_lazy("Due"), True),
    ("bench", "bench", gettext_lazy("Bench"), True),
    ("dogs", "dogs", gettext_lazy("Dogs"), True),
    ("pens", "pens", gettext_lazy("Pens"), False),
    ("litters", "paw", gettext_lazy("Litters"), False),
    ("trace", "move", gettext_lazy("Trace"), False),
    ("foresee", "foresee", gettext_lazy("What may happen"), False),
    ("shelf", "shelf", gettext_lazy("Shelf"), False),
    ("book", "book", gettext_lazy("Book"), False),
    ("sure", "gauge", gettext_lazy("How sure"), False),
    ("handbook", "handbook", gettext_lazy("Handbook"), False),
    ("setup", "setup", gettext_lazy("Set-up"), False),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class NavItem:
    """One page in the navigation."""

    url: str
    icon: str
    word: str
    is_current: bool
    is_first: bool


def _url(name: str) -> str:
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""


def navigation(request: HttpRequest) -> list[NavItem]:
    """The pages, with the one being looked at marked."""
    match = request.resolver_match
    current = match.app_name if match else ""
    return [
        NavItem(
            url=_url(f"{app}:index"),
            icon=icon,
            word=str(word),
            is_current=app == current,
            is_first=is_first,
        )
        for app, icon, word, is_first in PAGES
        if _url(f"{app}:index")
    ]


def shell(request: HttpRequest) -> dict[str, Any]:
    """Values for `shell/base.html`; only the look where nobody is logged in."""
    known: dict[str, Any] = {"look": look_of(request)}
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated or not role_of(request):
        return known
    place = here(request)
    card = place.book.kennel
    nav = navigation(request)
    return known | {
        "nav": nav,
        "is_more": any(item.is_current and not item.is_first for item in nav),
        "kennel_card": card,
        "kennel_name": card.name if card else _("Kennelward"),
        "handbook": place.handbook,
        "on": place.on,
        "role": role_of(request),
        "role_word": label(role_of(request), ROLES),
        "user_name": user.get_full_name() or user.get_username(),
        "ill_url": _url("danger:index"),
        "logout_url": _url("account_logout"),
        "is_demo": place.is_demo,
    }
