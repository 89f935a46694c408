"""Light or dark: as the device says, or as the person chose (kept in a cookie)."""

from django.http import HttpRequest, HttpResponseBase

LOOKS = ("light", "dark")
COOKIE = "look"
COOKIE_SECONDS = 3600 * 24 * 365


def look_of(request: HttpRequest) -> str:
    """`light`, `dark`, or empty for what the device says."""
    found = request.COOKIES.get(COOKIE, "")
    return found if found in LOOKS else ""


def keep_look(response: HttpResponseBase, look: str) -> None:
    """Remember a choice of look, or forget it."""
    if look in LOOKS:
        response.set_cookie(
            COOKIE, look, max_age=COOKIE_SECONDS, samesite="Lax", httponly=True
        )
    else:
        response.delete_cookie(COOKIE)
