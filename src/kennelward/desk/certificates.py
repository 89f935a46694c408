"""The desk's own certificate authority and server certificate, in the data folder.

A phone lets a page use its camera, its alarm and its store for offline work only over
a trusted connection. Without a public name no public authority can vouch for the desk,
so it makes one of its own, which a person may choose to trust on their phone.
"""

import ipaddress
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from kennelward.desk.keys import write_private

AUTHORITY_FILE = "tls/authority.crt"
AUTHORITY_KEY = "tls/authority.key"
SERVER_FILE = "tls/desk.crt"
SERVER_KEY = "tls/desk.key"
AUTHORITY_DAYS = 3650
# Phones refuse a server certificate of more than 825 days even from an authority of
# one's own (from memory); this one is renewed at every start.
SERVER_DAYS = 397
CLOCK_SLACK = timedelta(days=1)  # a phone's clock may be behind
_PRIVATE_NETWORKS = [
    ipaddress.ip_network(network)
    for network in (
        "127.0.0.0/8",
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "169.254.0.0/16",
        "100.64.0.0/10",
        "::1/128",
        "fc00::/7",
        "fe80::/10",
    )
]
# A key that leaked could not be used to pose as a site on the internet: phones take it
# for names of a local network and private addresses only (RFC 5280, section 4.2.1.10).
_PRIVATE_ONLY = x509.NameConstraints(
    permitted_subtrees=[
        x509.DNSName("localhost"),
        x509.DNSName("local"),
        *(x509.IPAddress(network) for network in _PRIVATE_NETWORKS),
    ],
    excluded_subtrees=None,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificates:
    """Files for serving over TLS."""

    authority: Path
    chain: Path
    key: Path


def make_certificates(
    folder: Path, *, names: Sequence[str], at: datetime
) -> Certificates:
    """A server certificate for `names` (host names or addresses), by our own authority.

    The authority is made once and kept, so that a phone trusts it once; it may vouch
    for this desk only, its private key is readable by its owner only.
    """
    (folder / "tls").mkdir(exist_ok=True)
    authority, authority_key = _authority(folder, at=at)
    key = ec.generate_private_key(ec.SECP256R1())
    certificate = (
        x509.CertificateBuilder()
        .subject_name(_named("Kennelward desk"))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - CLOCK_SLACK)
        .not_valid_after(at + timedelta(days=SERVER_DAYS))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(
            x509.SubjectAlternativeName([_general(name) for name in names]),
            critical=False,
        )
        .add_extension(
            x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False
        )
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(
                authority_key.public_key()
            ),
            critical=False,
        )
        .sign(authority_key, hashes.SHA256())
    )
    _renew_private(folder / SERVER_KEY, _as_pem(key))
    (folder / SERVER_FILE).write_bytes(_pem(certificate) + _pem(authority))
    return Certificates(
        authority=folder / AUTHORITY_FILE,
        chain=folder / SERVER_FILE,
        key=folder / SERVER_KEY,
    )


def _authority(
    folder: Path, *, at: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """The authority in the folder, made where there is none or it has run out."""
    file, key_file = folder / AUTHORITY_FILE, folder / AUTHORITY_KEY
    if file.is_file() and key_file.is_file():
        certificate = x509.load_pem_x509_certificate(file.read_bytes())
        key = serialization.load_pem_private_key(key_file.read_bytes(), None)
        is_good = certificate.not_valid_after_utc > at + timedelta(days=SERVER_DAYS)
        if is_good and isinstance(key, ec.EllipticCurvePrivateKey):
            return certificate, key
    key = ec.generate_private_key(ec.SECP256R1())
    name = _named("Kennelward, this desk's own authority")
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - CLOCK_SLACK)
        .not_valid_after(at + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(
            x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False
        )
        .add_extension(_PRIVATE_ONLY, critical=True)
        .sign(key, hashes.SHA256())
    )
    _renew_private(key_file, _as_pem(key))
    file.write_bytes(_pem(certificate))
    return certificate, key


def is_covered(name: str) -> bool:
    """Whether the authority may vouch for a host name or address."""
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return name == "localhost" or name.endswith((".localhost", ".local"))
    return any(address in network for network in _PRIVATE_NETWORKS)


def _named(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _general(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _pem(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(serialization.Encoding.PEM)


def _as_pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )


def _renew_private(file: Path, data: bytes) -> None:
    file.unlink(missing_ok=True)
    write_private(file, data)
