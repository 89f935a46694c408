"""Who may do what, which kennel a request is about, and what is not let in at all."""

import ipaddress
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBadRequest,
)
from django.http.request import split_domain_port
from django.http.response import HttpResponseBase
from django.utils.translation import gettext as _

from kennelward.desk.records.models import Membership, Role
from kennelward.kennel import facts as f

GetResponse = Callable[[HttpRequest], HttpResponseBase]
KENNEL_IN_SESSION = "kennel"

_SETS_UP = frozenset(
    {
        f.HarmsSaid,
        f.KennelDescribed,
        f.LeafletConfirmed,
        f.LeafletFigures,
        f.PenDescribed,
    }
)
_ON_VETS_WORD = frozenset({f.CourseWritten, f.ApartEnded})
_VETS = frozenset(
    {
        f.ApartEnded,
        f.CourseWritten,
        f.CycleNoted,
        f.DangerChecked,
        f.DueDeclined,
        f.DueDone,
        f.DuePutOff,
        f.GivenTicked,
        f.KeptApart,
        f.LeafletFigures,
        f.Noted,
        f.Observed,
        f.OtherResult,
        f.PregnancyAged,
        f.PoolTested,
        f.PregnancyLost,
        f.ProgesteroneMeasured,
        f.PuppiesCounted,
        f.PuppyBorn,
        f.PuppyDied,
        f.Struck,
        f.StripMeasured,
        f.StripSeen,
        f.TemperatureTaken,
        f.TestDropped,
        f.TestStarted,
        f.Vaccinated,
        f.VetCalled,
        f.Weighed,
        f.WhelpingNoted,
        f.Wormed,
    }
)
_ALL = frozenset(f.KINDS.values())

# What each role may write. An owner writes all; a hand does the work of the day but
# neither sets up nor writes what stands on the vet's word; a vet writes about health,
# and about a birth: the night's log is everybody's, the litter made of it the kennel's.
MAY_WRITE: dict[str, frozenset[type[f.Fact]]] = {
    Role.OWNER: _ALL,
    Role.HAND: _ALL - _SETS_UP - _ON_VETS_WORD,
    Role.VET: _VETS,
}
MAY_STRIKE_ALL = frozenset({Role.OWNER})  # others strike and replace only their own


class WhichKennel:
    """Sets `request.kennel` (id) and `request.role`; both empty where there is none.

    Someone who belongs to several kennels sees the one chosen in the session, else the
    first.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Look the membership up and go on."""
        request.kennel, request.role = "", ""  # type: ignore[attr-defined]
        if request.user.is_authenticated:
            memberships = Membership.objects.filter(user=request.user).order_by("pk")
            chosen = request.session.get(KENNEL_IN_SESSION)
            held = list(memberships)
            found = next(
                (one for one in held if one.kennel_id == chosen),
                held[0] if held else None,
            )
            if found is not None:
                request.kennel = found.kennel_id  # type: ignore[attr-defined]
                request.role = found.role  # type: ignore[attr-defined]
        return self.get_response(request)


class KnownHost:
    """Answers to this computer's names and to plain network addresses only.

    An address in numbers is safe from a page elsewhere that points its own name at this
    desk; any other name must be listed in KENNELWARD_HOSTS.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Refuse a foreign host name."""
        if not is_known_host(request.META.get("HTTP_HOST", "localhost")):
            return HttpResponseBadRequest(
                "The desk does not answer to this name. Open it by its address in "
                "numbers, or add the name to KENNELWARD_HOSTS.",
                content_type="text/plain",
            )
        return self.get_response(request)


def is_known_host(header: str) -> bool:
    """Whether the `Host` header names this desk."""
    name = split_domain_port(header)[0]
    if not name:
        return False
    known = {"localhost", "testserver", *settings.DESK_HOSTS}
    if name in known or name.endswith((".localhost", ".local")):
        return True
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True


class NotTooLarge:
    """Refuses a request beyond `LARGEST_REQUEST` before reading it."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer 413 for what is too large."""
        length = request.META.get("CONTENT_LENGTH") or "0"
        if length.isdigit() and int(length) > settings.LARGEST_REQUEST:
            return HttpResponse(
                _("That is too large for the desk; 32 MB is the most."),
                status=413,
                content_type="text/plain; charset=utf-8",
            )
        return self.get_response(request)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form whose page is too old, or that was sent from elsewhere."""
    return HttpResponse(
        _("This page is too old to be saved. Go back, reload it and save again."),
        status=403,
        content_type="text/plain; charset=utf-8",
    )


@login_not_required
def is_alive(request: HttpRequest) -> HttpResponse:
    """Says that the desk is there."""
    return HttpResponse("ok\n", content_type="text/plain")


@login_not_required
def authority_file(request: HttpRequest) -> HttpResponse:
    """This desk's own certificate authority, for a phone to trust; 404 without one."""
    from kennelward.desk.certificates import AUTHORITY_FILE

    file = Path(settings.DATA_FOLDER) / AUTHORITY_FILE
    if not file.is_file():
        raise Http404
    return HttpResponse(file.read_bytes(), content_type="application/x-x509-ca-cert")


for _view in (is_alive, authority_file):
    _view.open_to = ("anyone",)  # type: ignore[attr-defined]
