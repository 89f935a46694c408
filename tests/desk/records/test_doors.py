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
from kennelward.desk.access import is_known_host
from kennelward.terms import BadInput
from tests.desk.conftest import PASSWORD


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


def test_front_door_is_light(monkeypatch):
    """Neither Django nor imaging is loaded by importing it."""
    import subprocess
    import sys

    monkeypatch.delenv("KENNELWARD_DATABASE", raising=False)
    code = (
        "import sys, kennelward.desk as desk; desk.data_folder(); desk.has_book('none');"
        "print([n for n in ('django','cv2','numpy','cheroot','PIL') if n in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
