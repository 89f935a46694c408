"""Serving the desk: to this computer and to phones on the same network."""

import ipaddress
import os
import signal
import socket
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Any

from kennelward.desk.clock import now
from kennelward.terms import BadInput

THREADS = 8
SECONDS_TO_FINISH = 5
HIGHEST_PORT = 65_535


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """Where the desk answers, once it does."""

    local: str  # address on this computer
    network: tuple[str, ...]  # addresses for other devices; empty where there are none
    authority: tuple[str, ...]  # where a phone gets our authority; empty without TLS


def serve(
    *,
    host: str = "0.0.0.0",  # noqa: S104 - phones on the same network are the point
    port: int = 8765,
    tls: bool = False,
    on_ready: Callable[[Ready], None] | None = None,
) -> None:
    """Serve the open book until Ctrl-C or SIGTERM; requests in hand are finished.

    With `tls` the desk answers over https at `port`; at the next port, over plain http,
    a phone gets the authority to trust and is sent on. Raises `BadInput` for a port
    that is taken.
    """
    servers = make_servers(host=host, port=port, tls=tls)
    _prepare_all(servers, port)
    threads = [threading.Thread(target=one.serve, daemon=True) for one in servers]
    stopped = threading.Event()
    before = _stop_on_signal(stopped)
    try:
        for thread in threads:
            thread.start()
        if on_ready is not None:
            on_ready(_ready(servers, host=host, tls=tls))
        while not stopped.wait(0.5):
            pass
    except KeyboardInterrupt:
        pass
    finally:
        for one in servers:
            one.stop()
        for thread in threads:
            thread.join(SECONDS_TO_FINISH)
        for number, handler in before.items():
            signal.signal(number, handler)


def make_servers(*, host: str, port: int, tls: bool) -> list[Any]:
    """The servers, not started: the desk, and with TLS the one that sends phones on."""
    from cheroot import wsgi
    from django.conf import settings

    from kennelward.desk.wsgi import application

    if not 0 <= port <= HIGHEST_PORT - 1:
        raise BadInput(f"the port must be from 0 to {HIGHEST_PORT - 1}, got {port}")
    desk = wsgi.Server(
        (host, port),
        application,
        numthreads=THREADS,
        server_name="kennelward",
        shutdown_timeout=SECONDS_TO_FINISH,
    )
    desk.max_request_body_size = settings.LARGEST_REQUEST
    if not tls:
        return [desk]
    from cheroot.ssl.builtin import BuiltinSSLAdapter

    from kennelward.desk.certificates import is_covered, make_certificates

    folder = Path(settings.DATA_FOLDER)
    names = [name for name in known_names(host) if is_covered(name)]
    made = make_certificates(folder, names=names, at=now())
    desk.ssl_adapter = BuiltinSSLAdapter(str(made.chain), str(made.key))
    settings.SESSION_COOKIE_SECURE = True
    settings.CSRF_COOKIE_SECURE = True
    helper = wsgi.Server(
        (host, port + 1 if port else 0), _send_on(made.authority, desk), numthreads=2
    )
    return [desk, helper]


def _send_on(authority: Path, desk: Any) -> Callable[..., list[bytes]]:
    """A tiny application: gives the authority, and sends everything else to the desk."""

    def answer(environ: dict[str, Any], start_response: Any) -> list[bytes]:
        if environ.get("PATH_INFO") == "/kennelward-authority.crt":
            data = authority.read_bytes()
            kind = [("Content-Type", "application/x-x509-ca-cert")]
            start_response("200 OK", [*kind, ("Content-Length", str(len(data)))])
            return [data]
        name = _plain_host(str(environ.get("HTTP_HOST", "localhost")))
        to = f"https://{name}:{desk.bind_addr[1]}/"
        start_response("302 Found", [("Location", to), ("Content-Length", "0")])
        return [b""]

    return answer


def _plain_host(header: str) -> str:
    """The host of a `Host` header; localhost where it is no name or address."""
    from django.http.request import split_domain_port

    return split_domain_port(header)[0] or "localhost"


def _prepare_all(servers: list[Any], port: int) -> None:
    """Bind every port. Tried first: the library leaves a socket open where it fails."""
    for one in servers:
        try:
            with socket.socket(_family(one.bind_addr[0])) as probe:
                if os.name != "nt":  # there it would allow a port that is in use
                    probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
                probe.bind(one.bind_addr)
            one.prepare()
        except OSError as error:
            for other in servers:
                other.stop()
            raise BadInput(
                f"port {port} cannot be used ({_reason(error)}); "
                "stop what uses it, or name another with --port"
            ) from error


def _family(host: str) -> socket.AddressFamily:
    return socket.AF_INET6 if ":" in host else socket.AF_INET


def _reason(error: OSError) -> str:
    text = str(error.strerror or error)
    return "it is taken" if "in use" in text.lower() else text


def _stop_on_signal(stopped: threading.Event) -> dict[int, Any]:
    """SIGTERM stops like Ctrl-C; the handlers there were. Only the main thread may."""

    def stop(number: int, frame: FrameType | None) -> None:
        stopped.set()

    if threading.current_thread() is not threading.main_thread():
        return {}
    numbers = [signal.SIGINT, signal.SIGTERM]
    return {number: signal.signal(number, stop) for number in numbers}


def _ready(servers: list[Any], *, host: str, tls: bool) -> Ready:
    scheme = "https" if tls else "http"
    port = servers[0].bind_addr[1]
    network = [name for name in known_names(host) if name not in _LOCAL]
    helpers = [servers[1].bind_addr[1]] if tls else []
    return Ready(
        local=f"{scheme}://localhost:{port}/",
        network=tuple(f"{scheme}://{_in_url(name)}:{port}/" for name in network),
        authority=tuple(
            f"http://{_in_url(name)}:{helper}/kennelward-authority.crt"
            for helper in helpers
            for name in (network or ["localhost"])
        ),
    )


_LOCAL = ("localhost", "127.0.0.1", "::1")


def known_names(host: str) -> list[str]:
    """Names and addresses by which the desk can be reached, this computer's own first."""
    if host in ("0.0.0.0", "::", ""):  # noqa: S104 - compared, not bound
        return [*_LOCAL, *network_addresses()]
    return list(dict.fromkeys(["localhost", "127.0.0.1", host]))


def network_addresses() -> list[str]:
    """This computer's addresses on its network, the one it would reach others by first.

    Connecting a datagram socket sends nothing: it only makes the system choose a way.
    192.0.2.1 belongs to nobody (RFC 5737).
    """
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            found.append(str(probe.getsockname()[0]))
        except OSError:
            pass
    try:
        told = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        found += [str(one[4][0]) for one in told]
    except OSError:
        pass
    return [
        name
        for name in dict.fromkeys(found)
        if not ipaddress.ip_address(name).is_loopback
    ]


def _in_url(name: str) -> str:
    return f"[{name}]" if ":" in name else name
