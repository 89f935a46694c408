"""What the desk lets in over the network: hosts, sizes, logins, headers, its own TLS."""

import socket
import ssl
import urllib.error
import urllib.request
from datetime import UTC, datetime

import pytest
from cryptography import x509
from django.conf import settings
from django.core.cache import cache

from kennelward import desk
from kennelward.desk import certificates
from kennelward.desk.access import MAY_WRITE, is_known_host
from kennelward.kennel import facts as f
from kennelward.terms import BadInput
from tests.desk.conftest import AT, PASSWORD


@pytest.fixture(autouse=True)
def _no_throttle():
    cache.clear()


@pytest.mark.parametrize(
    ("header", "is_known"),
    [
        ("localhost:8765", True),
        ("127.0.0.1", True),
        ("[::1]:8765", True),
        ("192.168.1.20:8765", True),
        ("kennel-laptop.local", True),
        ("evil.example", False),
        ("192.168.1.20.evil.example", False),
        ("localhost.evil.example", False),
        ("", False),
        ("a b", False),
    ],
)
def test_only_own_names_and_plain_addresses_are_answered(header, is_known):
    """A page elsewhere cannot point its own name at the desk."""
    assert is_known_host(header) is is_known


def test_foreign_host_gets_a_plain_refusal(client, db):
    """Before anything else is looked at."""
    answer = client.get("/alive/", headers={"host": "evil.example"})
    assert answer.status_code == 400
    assert client.get("/alive/").status_code == 200


def test_too_large_a_request_is_refused(client, db):
    """By its length alone."""
    answer = client.post("/alive/", CONTENT_LENGTH=str(settings.LARGEST_REQUEST + 1))
    assert answer.status_code == 413


def test_headers_forbid_what_pages_do_not_need(client, owner):
    """No script or style in a page, no frame, no guessing of kinds."""
    client.force_login(owner)
    answer = client.get("/account/login/")
    policy = answer.headers["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "same-origin"


def test_signing_up_is_closed(client, owner):
    """Also under the names the login library looks up."""
    for name in ("signup", "email", "reset_password", "set_password"):
        address = f"/account/closed/{name}/"
        assert client.get(address).status_code == 404
        assert client.post(address, {"username": "x"}).status_code == 404
    assert client.get("/account/signup/").status_code in (302, 404)
    assert len(desk.people(owner.kennels.get().kennel_id)) == 1


def log_in(client, password, username="mara"):
    return client.post("/account/login/", {"login": username, "password": password})


def test_logging_in_and_out(client, owner):
    """By the name for logging in; the cookie lasts and scripts cannot read it."""
    assert log_in(client, PASSWORD).status_code == 302
    cookie = client.cookies[settings.SESSION_COOKIE_NAME]
    assert cookie["httponly"]
    assert int(cookie["max-age"]) > 90 * 24 * 3600
    client.get("/account/logout/")  # asks first
    assert client.session.get("_auth_user_id")
    client.post("/account/logout/")
    assert not client.session.get("_auth_user_id")


def test_guessing_is_throttled(client, owner):
    """After five wrong passwords the right one is refused, too."""
    for _ in range(5):
        assert log_in(client, "wrong-wrong-wrong").status_code == 200
    assert log_in(client, PASSWORD).status_code in (200, 429)
    assert not client.session.get("_auth_user_id")


def test_someone_switched_off_cannot_log_in(client, owner, kennel):
    """And is out at once where logged in."""
    hand = desk.add_person(
        kennel=kennel, username="jonas", password=PASSWORD, role="hand"
    )
    assert log_in(client, PASSWORD, "jonas").status_code == 302
    desk.change_person(kennel=kennel, person=hand.pk, is_active=False)
    answer = client.get("/account/password/")
    assert answer.status_code == 302
    assert "login" in answer.headers["Location"]
    client.logout()
    log_in(client, PASSWORD, "jonas")
    assert not client.session.get("_auth_user_id")


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"username": "mara"}, "logs in as"),
        ({"username": "MARA"}, "logs in as"),
        ({"username": "m2", "full_name": "mara lind"}, "called"),
        ({"username": "a b"}, "no space"),
        ({"username": ""}, "empty"),
        ({"username": "a\x00b"}, "null"),
        ({"username": "x" * 151}, "150 is the most"),
        ({"password": "short"}, "short"),
        ({"password": "password123"}, "common"),
        ({"role": "king"}, "role must be"),
    ],
)
def test_bad_people_are_refused(kennel, more, says):
    """Each with what to do."""
    good = {"username": "jonas", "password": PASSWORD, "role": "hand"}
    with pytest.raises(BadInput, match=says):
        desk.add_person(kennel=kennel, **(good | more))
    assert len(desk.people(kennel)) == 1


def test_a_kennel_keeps_an_owner(owner, kennel):
    """The last one can neither be switched off nor made a hand."""
    for change in ({"is_active": False}, {"role": "hand"}):
        with pytest.raises(BadInput, match="needs an owner"):
            desk.change_person(kennel=kennel, person=owner.pk, **change)
    (only,) = desk.people(kennel)
    assert (only.role, only.is_active) == ("owner", True)


HOUND = "0192f000-0000-7000-8000-000000000001"
WRITES = [  # what, who may
    (f.KennelDescribed(name="New name"), {"owner"}),
    (f.PenDescribed(pen="p", name="Pen", pen_kind="adults"), {"owner"}),
    (f.Moved(dog=HOUND, pen="yard"), {"owner", "hand"}),
    (f.Weighed(dog=HOUND, weight_g=4000), {"owner", "hand", "vet"}),
    (f.Noted(about="kennel", text="x"), {"owner", "hand", "vet"}),
    (f.RoundDone(pens=("yard",)), {"owner", "hand"}),
    (f.ApartEnded(dog=HOUND, on_whose_word="vet"), {"owner", "vet"}),
    (
        f.OtherResult(
            dog=HOUND, infection="giardia", method="flotation", call="negative"
        ),
        {"owner", "hand", "vet"},
    ),
]


@pytest.mark.parametrize("role", ["owner", "hand", "vet"])
@pytest.mark.parametrize(
    ("fact", "allowed"), WRITES, ids=lambda one: getattr(one, "kind", "")
)
def test_role_decides_what_may_be_written(kennel, role, fact, allowed):
    """Also behind the pages' backs."""
    yard = f.PenDescribed(pen="yard", name="Yard", pen_kind="yard")
    hound = f.DogDescribed(dog=HOUND, name="T", sex="dog", born_on=AT.date())
    new = [desk.NewEntry(entry=desk.new_id(), fact=one) for one in (yard, hound)]
    desk.record(new, kennel=kennel, by="Mara Lind", at=AT)
    person = desk.add_person(kennel=kennel, username="p", password=PASSWORD, role=role)
    one = [desk.NewEntry(entry=desk.new_id(), fact=fact)]
    if role in allowed:
        desk.record(one, kennel=kennel, by=person, at=AT)
        assert desk.snapshot(kennel).entries[-1].recorded_by == "p"
    else:
        with pytest.raises(BadInput, match="may not write"):
            desk.record(one, kennel=kennel, by=person, at=AT)


def test_every_kind_of_entry_is_in_the_table():
    """A new kind must be placed: an owner may write all there are."""
    assert MAY_WRITE["owner"] == set(f.KINDS.values())
    assert MAY_WRITE["hand"] < MAY_WRITE["owner"]
    assert MAY_WRITE["vet"] < MAY_WRITE["owner"]


@pytest.mark.parametrize("role", ["hand", "vet"])
def test_only_an_owner_strikes_what_others_wrote(owner, kennel, role):
    """A hand or vet strikes their own."""
    person = desk.add_person(kennel=kennel, username="p", password=PASSWORD, role=role)

    def write(fact, by, **more):
        one = desk.NewEntry(entry=desk.new_id(), fact=fact, **more)
        return desk.record([one], kennel=kennel, by=by, at=AT)[0]

    note = f.Noted(about="kennel", text="x")
    owners, own = write(note, owner), write(note, person)
    with pytest.raises(BadInput, match="only they or the owner"):
        write(f.Struck(entry=owners.entry, why="slip"), person)
    with pytest.raises(BadInput, match="only they or the owner"):
        write(note, person, supersedes=owners.entry)
    write(f.Struck(entry=own.entry, why="slip"), person)
    write(f.Struck(entry=write(note, person).entry, why="slip"), owner)


def test_someone_of_another_kennel_may_not_write(kennel):
    """A login belongs where its owner put it."""
    from django.contrib.auth.models import User

    stranger = User.objects.create(username="stranger")
    one = desk.NewEntry(entry=desk.new_id(), fact=f.Noted(about="kennel", text="x"))
    with pytest.raises(BadInput, match="does not belong"):
        desk.record([one], kennel=kennel, by=stranger, at=AT)


def test_secret_key_is_for_its_owner_only():
    """Made once, kept, readable by its owner only."""
    file = settings.DATA_FOLDER / "secret-key"
    assert file.stat().st_mode & 0o777 == 0o600
    assert file.read_text() == settings.SECRET_KEY
    assert len(settings.SECRET_KEY) > 60


def test_certificates_are_trusted_by_who_trusts_the_authority(tmp_path):
    """A handshake by the standard library succeeds with it, and only with it."""
    made = certificates.make_certificates(
        tmp_path, names=["localhost", "127.0.0.1", "192.168.7.9"], at=datetime.now(UTC)
    )
    for secret in (made.key, tmp_path / certificates.AUTHORITY_KEY):
        assert secret.stat().st_mode & 0o777 == 0o600
    authority = made.authority.read_bytes()
    server = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    server.load_cert_chain(made.chain, made.key)
    for name in ("localhost", "192.168.7.9"):
        shake(server, ssl.create_default_context(cafile=made.authority), name)
        with pytest.raises(ssl.SSLCertVerificationError):
            shake(server, ssl.create_default_context(), name)
    with pytest.raises(ssl.SSLCertVerificationError):
        shake(server, ssl.create_default_context(cafile=made.authority), "192.168.7.10")
    again = certificates.make_certificates(
        tmp_path, names=["localhost"], at=datetime.now(UTC)
    )
    assert again.authority.read_bytes() == authority  # a phone trusts it once


def shake(server, client, name):
    """A TLS handshake in memory."""
    to_client, to_server = ssl.MemoryBIO(), ssl.MemoryBIO()
    here = client.wrap_bio(to_client, to_server, server_hostname=name)
    there = server.wrap_bio(to_server, to_client, server_side=True)
    is_done = {here: False, there: False}
    while not all(is_done.values()):
        for side in (here, there):
            try:
                side.do_handshake()
                is_done[side] = True
            except ssl.SSLWantReadError:
                pass


def test_authority_vouches_for_private_addresses_only(tmp_path):
    """A leaked key cannot pose as a site on the internet."""
    at = datetime.now(UTC)
    made = certificates.make_certificates(tmp_path, names=["example.org"], at=at)
    server = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    server.load_cert_chain(made.chain, made.key)
    client = ssl.create_default_context(cafile=made.authority)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
        shake(server, client, "example.org")
    authority = x509.load_pem_x509_certificate(made.authority.read_bytes())
    assert authority.extensions.get_extension_for_class(x509.NameConstraints).critical
    assert certificates.is_covered("192.168.1.2")
    assert not certificates.is_covered("8.8.8.8")


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("tls", [False, True])
def test_desk_serves(tls, at):
    """Over http, and over https with a helper that gives the authority away."""
    import threading

    from kennelward.desk.web_server import make_servers

    settings_before = settings.SESSION_COOKIE_SECURE, settings.CSRF_COOKIE_SECURE
    servers = make_servers(host="127.0.0.1", port=0, tls=tls)
    for one in servers:
        one.prepare()
    threads = [threading.Thread(target=one.serve, daemon=True) for one in servers]
    try:
        for thread in threads:
            thread.start()
        port = servers[0].bind_addr[1]
        if not tls:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/alive/") as answer:
                assert answer.read() == b"ok\n"
            return
        helper = f"http://127.0.0.1:{servers[1].bind_addr[1]}"
        with urllib.request.urlopen(f"{helper}/kennelward-authority.crt") as answer:
            assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
            authority = answer.read().decode()
        trusting = ssl.create_default_context(cadata=authority)
        address = f"https://127.0.0.1:{port}/alive/"
        with urllib.request.urlopen(address, context=trusting) as answer:
            assert answer.read() == b"ok\n"
        with pytest.raises(urllib.error.URLError):
            urllib.request.urlopen(address)
    finally:
        for one in servers:
            one.stop()
        for thread in threads:
            thread.join(10)
        settings.SESSION_COOKIE_SECURE, settings.CSRF_COOKIE_SECURE = settings_before


def test_taken_port_is_said(db):
    """One sentence, and what to do."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(BadInput, match="it is taken"):
            desk.serve(host="127.0.0.1", port=taken.getsockname()[1])


def test_front_door_is_light():
    """Neither Django nor imaging is loaded by importing it."""
    import subprocess
    import sys

    code = (
        "import sys, kennelward.desk as desk; desk.data_folder(); desk.has_book('none');"
        "print([n for n in ('django','cv2','numpy','cheroot','PIL') if n in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
