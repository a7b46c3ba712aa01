"""Certificates: an authority of one's own, and with it the certificate for answers on https.

A phone keeps pages for the range only of an address that it trusts. Nobody outside vouches for a
machine at home, so the notebook makes an authority that may vouch for this machine's own names and
for private addresses, for nothing else, and a certificate that it renews by itself.

Holds:  the folder of the two; making and renewing; the authority's file and fingerprint.
Never:  sockets (serving.py), pages (pages/phone_setup.py); the authority's key leaves its folder
        nowhere.
Source: form of certificates and name constraints, RFC 5280 §4.2; private addresses, RFC 1918,
        3927, 4193, 4291; at most 397 days for a certificate: what makers of browsers ask of public
        ones (from memory).
"""

import ssl
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import serialization as text
from cryptography.hazmat.primitives.asymmetric.ec import (
    SECP256R1,
    EllipticCurvePrivateKey,
    generate_private_key,
)
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from tapewright.faces.web.server.private_file import write_private
from tapewright.ground.errors import BadInput

AUTHORITY, AUTHORITY_KEY = "authority.pem", "authority.key"
LEAF, LEAF_KEY = "server.pem", "server.key"
AUTHORITY_DAYS, LEAF_DAYS, RENEW_DAYS = 3650, 396, 60
SLACK = timedelta(days=1)  # for a phone whose clock is behind
PRIVATE = tuple(map(ip_network, (
    "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8",
    "fc00::/7", "fe80::/10", "::1/128",
)))  # fmt: skip
MOST_NAME = 38  # letters of a machine's name in the authority's, which takes 64 in all
ANEW = "Start once with --new-authority; then every phone must take the new file"


@dataclass(frozen=True, slots=True)
class Ready:
    """What the app answers with on https."""

    fingerprint: str  # of the authority: SHA-256, as phones show it
    named: str  # what the authority is called in a phone's list
    until: datetime  # last moment of the certificate
    left_out: tuple[str, ...]  # names and addresses that the authority may not vouch for
    is_new: bool  # whether the authority was made just now


def make_ready(folder: Path, names: Sequence[str], now: datetime, *, anew: bool = False) -> Ready:
    """Authority and certificate for these names, made or renewed where that is due.

    Raises
    ------
    BadInput
        If the files are damaged, or the authority is at its end.
    """
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)
    is_new = anew or not (folder / AUTHORITY).exists()
    if is_new:
        _make_authority(folder, names, now)
    authority, key = _load(folder, AUTHORITY, AUTHORITY_KEY)
    if authority.not_valid_after_utc < now + timedelta(days=RENEW_DAYS):
        wrong = f"the authority ends on {authority.not_valid_after_utc:%Y-%m-%d}"
        raise BadInput(str(folder), wrong, ANEW)
    vouched = [name for name in names if _may_vouch(authority, name)]
    if not vouched:
        raise BadInput(
            str(folder), "the authority may vouch for none of this machine's names", ANEW
        )
    if is_new or not _stands(folder, authority, vouched, now):
        _make_leaf(folder, authority, key, vouched, now)
    leaf, _ = _load(folder, LEAF, LEAF_KEY)
    return Ready(
        fingerprint_of(folder),
        _name(authority.subject),
        leaf.not_valid_after_utc,
        tuple(one for one in names if one not in vouched),
        is_new,
    )


def authority_file(folder: Path) -> bytes:
    """The authority's certificate, for a phone to take: public, without its key."""
    return _certificate(folder / AUTHORITY).public_bytes(text.Encoding.DER)


def fingerprint_of(folder: Path) -> str:
    """SHA-256 of the authority's certificate, in pairs of digits."""
    return _certificate(folder / AUTHORITY).fingerprint(SHA256()).hex(":").upper()


def authority_name(folder: Path) -> str:
    """What the authority is called in a phone's list."""
    return _name(_certificate(folder / AUTHORITY).subject)


def tls_context(folder: Path) -> ssl.SSLContext:
    """What a server needs to answer on https."""
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(folder / LEAF, folder / LEAF_KEY)
    return context


def _make_authority(folder: Path, names: Sequence[str], now: datetime) -> None:
    """A new authority: it may vouch for these names and private addresses, and for no authority."""
    key, host = _new_key(), _first_name(names)
    called = f"Tapewright at {host[:MOST_NAME]}, {now:%Y-%m-%d}"
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, called)])
    dns = [x509.DNSName(one) for one in dict.fromkeys(names) if not _is_address(one)]
    own = [ip_address(one) for one in names if _is_address(one)]
    public = [ip_network(one) for one in own if not any(one in private for private in PRIVATE)]
    may = [*dns, *(x509.IPAddress(one) for one in (*PRIVATE, *public))]
    built = (
        _begun(name, key, now, AUTHORITY_DAYS)
        .issuer_name(name)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.NameConstraints(may, None), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
    )
    _write(folder, AUTHORITY, AUTHORITY_KEY, [_signed(built, key)], key)


def _make_leaf(
    folder: Path,
    authority: x509.Certificate,
    authority_key: EllipticCurvePrivateKey,
    names: Sequence[str],
    now: datetime,
) -> None:
    """A new certificate for the server, with a new key."""
    key = _new_key()
    server = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
    issuer = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, _first_name(names)[:64])])
    built = (
        _begun(name, key, now, LEAF_DAYS)
        .issuer_name(authority.subject)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.SubjectAlternativeName(_general(names)), critical=False)
        .add_extension(server, critical=False)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(issuer, critical=False)
    )
    _write(folder, LEAF, LEAF_KEY, [_signed(built, authority_key), authority], key)


def _begun(
    name: x509.Name, key: EllipticCurvePrivateKey, now: datetime, days: int
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - SLACK)
        .not_valid_after(now + timedelta(days=days) - SLACK)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )


def _new_key() -> EllipticCurvePrivateKey:
    return generate_private_key(SECP256R1())


def _signed(built: x509.CertificateBuilder, key: EllipticCurvePrivateKey) -> x509.Certificate:
    return built.sign(key, SHA256())


def _general(names: Iterable[str]) -> list[x509.GeneralName]:
    return [
        x509.IPAddress(ip_address(one)) if _is_address(one) else x509.DNSName(one)
        for one in dict.fromkeys(names)
    ]


def _stands(folder: Path, authority: x509.Certificate, names: Sequence[str], now: datetime) -> bool:
    """Whether the certificate is for all these names, of this authority and not near its end."""
    try:
        leaf, _ = _load(folder, LEAF, LEAF_KEY)
        leaf.verify_directly_issued_by(authority)
    except Exception:  # noqa: BLE001 — lost, torn, or of an older authority: it is made anew
        return False
    told = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    if leaf.not_valid_after_utc < now + timedelta(days=RENEW_DAYS):
        return False
    return leaf.not_valid_before_utc <= now and set(told) >= set(_general(names))


def _may_vouch(authority: x509.Certificate, name: str) -> bool:
    """Whether the authority's constraints let it vouch for a name."""
    may = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    permitted = [one.value for one in may.permitted_subtrees or ()]
    if _is_address(name):
        address = ip_address(name)
        return any(address in one for one in permitted if not isinstance(one, str))
    domains = [one for one in permitted if isinstance(one, str)]
    return any(name == one or name.endswith(f".{one}") for one in domains)


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True


def _first_name(names: Sequence[str]) -> str:
    """The name that people know the machine by."""
    bare = [one for one in names if not _is_address(one) and one != "localhost"]
    return (*bare, *names)[0]


def _name(subject: x509.Name) -> str:
    return str(subject.rfc4514_string()).removeprefix("CN=").replace("\\", "")


def _certificate(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(path.read_bytes())


def _load(
    folder: Path, certificate: str, key: str
) -> tuple[x509.Certificate, EllipticCurvePrivateKey]:
    """A certificate and its key. BadInput if they are damaged or belong to two."""
    try:
        found = _certificate(folder / certificate)
        owned = text.load_pem_private_key((folder / key).read_bytes(), None)
        is_one = owned.public_key() == found.public_key()
    except (OSError, ValueError, TypeError):
        is_one = False
    if not is_one or not isinstance(owned, EllipticCurvePrivateKey):
        wrong = f"{certificate} or {key} is missing, damaged or not of this program"
        raise BadInput(str(folder), wrong, ANEW)
    (folder / key).chmod(0o600)
    return found, owned


def _write(
    folder: Path,
    certificate: str,
    key: str,
    chain: Sequence[x509.Certificate],
    owned: EllipticCurvePrivateKey,
) -> None:
    """Keep both, the key where only its owner may read it."""
    plain = text.NoEncryption()
    private = owned.private_bytes(text.Encoding.PEM, text.PrivateFormat.PKCS8, plain)
    public = b"".join(one.public_bytes(text.Encoding.PEM) for one in chain)
    for name, written in ((key, private), (certificate, public)):
        write_private(folder / name, written)
