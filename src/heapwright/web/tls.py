"""Makes the program's own authority and a certificate for this machine, so that it speaks https.

Knows X.509: what is in the certificates, where they lie, when they are made anew. Both keys lie in
a folder beside the journals that only its user may read. The authority is limited, in its own
certificate, to names and numbers of a home network (RFC 5280, section 4.2.1.10), so that whoever
trusts it risks nothing beyond this network. Knows no page.
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from heapwright.errors import StoreProblem
from heapwright.web.addresses import is_number
from heapwright.wording import worded
from heapwright.workshop.garden import Clock, utc_now

FOLDER_NAME = "heapwright-https"
#: How long the authority holds: as long as a household keeps its phones. (ours)
AUTHORITY_LASTS = timedelta(days=3650)
#: How long the machine's certificate holds: phones refuse those of more than 825 days, also of an
#: own authority, and 398 where the authority is a known one (both from memory); we keep to less
#: than either. (ours)
CERTIFICATE_LASTS = timedelta(days=397)
#: It is made anew when it has less than this left. (ours)
RENEWED_BEFORE = timedelta(days=30)
#: A clock that is a little slow must not find a certificate of the future.
_BACKDATED = timedelta(days=1)
#: Names no one on the internet owns (RFC 6762 local; RFC 8375 home.arpa; RFC 6761 localhost; the
#: others are what home routers give, common practice) and the numbers of home networks (RFC 1918,
#: RFC 3927, RFC 4193, RFC 4291).
_HOME_NAMES = ("localhost", "local", "home.arpa", "lan", "home", "internal")
_HOME_NUMBERS = (
    "127.0.0.0/8",
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "::1/128",
    "fc00::/7",
    "fe80::/10",
)
#: What the library raises for a file that it cannot read or that lacks what ours have.
_UNREADABLE = (
    ValueError,  # no PEM, no DER, or no key of ours
    TypeError,  # a key behind a passphrase
    UnsupportedAlgorithm,
    x509.ExtensionNotFound,
    x509.DuplicateExtension,
    x509.UnsupportedGeneralNameType,
)
_PRIVATE, _PUBLIC = 0o600, 0o644


@dataclass(frozen=True, slots=True)
class Papers:
    """Where the certificates lie, and the authority's as it is handed out.

    Attributes
    ----------
    certificate, key : Path
        The machine's own, for the server.
    authority : bytes
        The authority's certificate in DER.
    is_new : bool
        Whether the authority was made just now, so that phones do not know it yet.

    """

    certificate: Path
    key: Path
    authority: bytes
    is_new: bool


def papers_for(folder: Path, hosts: Sequence[str], clock: Clock = utc_now) -> Papers:
    """Return certificates for these names and numbers, making what is missing or soon ends.

    Parameters
    ----------
    folder : Path
        Of the journals; the certificates lie in a folder of their own in it.
    hosts : sequence of str
        Names and addresses in numbers that the machine answers to.
    clock : callable

    Raises
    ------
    StoreProblem
        When they cannot be written or read.

    """
    place = folder / FOLDER_NAME
    try:
        place.mkdir(mode=0o700, exist_ok=True)
        authority, authority_key, is_new = _authority(place, hosts, clock())
        _machine(place, authority, authority_key, hosts, clock())
    except (OSError, *_UNREADABLE) as problem:
        raise StoreProblem(
            worded("The certificates in {place} cannot be used", place=str(place)),
            why=getattr(problem, "strerror", None) or "one of them is damaged",
            instead="Look at the folder's rights; a damaged one may be moved away, then phones "
            "have to be taught to trust this machine anew",
            kept="The journals were not touched.",
        ) from problem
    der = authority.public_bytes(serialization.Encoding.DER)
    return Papers(place / "machine.crt", place / "machine.key", der, is_new)


def _authority(
    place: Path, hosts: Sequence[str], now: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey, bool]:
    found = _read(place / "authority.crt", place / "authority.key")
    if found is not None and _lasts(found[0], now) and _may_speak_for(found[0], hosts):
        return *found, False
    key = ec.generate_private_key(ec.SECP256R1())
    machine = next((h for h in hosts if not is_number(h) and h != "localhost"), "this machine")
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Heapwright at home"),
            x509.NameAttribute(NameOID.COMMON_NAME, f"Heapwright on {machine}"[:64]),
        ]
    )
    certificate = (
        _begun(name, name, key.public_key(), now, AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_uses(signs_certificates=True), critical=True)
        .add_extension(x509.NameConstraints(_home(hosts), None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _write(place / "authority.key", _pem(key), _PRIVATE)
    _write(place / "authority.crt", certificate.public_bytes(_PEM), _PUBLIC)
    return certificate, key, True


def _machine(
    place: Path,
    authority: x509.Certificate,
    authority_key: ec.EllipticCurvePrivateKey,
    hosts: Sequence[str],
    now: datetime,
) -> None:
    found = _read(place / "machine.crt", place / "machine.key")
    names = [_general(host) for host in dict.fromkeys(hosts)]
    if found is not None and _is_still_right(found[0], authority, names, now):
        return
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Heapwright")])
    issuer_key = authority_key.public_key()
    certificate = (
        _begun(name, authority.subject, key.public_key(), now, CERTIFICATE_LASTS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_uses(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer_key), critical=False
        )
        .sign(authority_key, hashes.SHA256())
    )
    _write(place / "machine.key", _pem(key), _PRIVATE)
    _write(place / "machine.crt", certificate.public_bytes(_PEM), _PUBLIC)


_PEM = serialization.Encoding.PEM


def _begun(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    now: datetime,
    lasts: timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _BACKDATED)
        .not_valid_after(now + lasts)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
    )


def _uses(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _home(hosts: Sequence[str]) -> list[x509.GeneralName]:
    """Return what the authority may speak for: a home's names and numbers, and those asked."""
    names = [*_HOME_NAMES, *(host for host in hosts if not is_number(host))]
    numbers = [ipaddress.ip_network(one) for one in _HOME_NUMBERS]
    asked = [ipaddress.ip_network(host) for host in hosts if is_number(host)]
    beyond = [one for one in asked if not any(_holds(home, one) for home in numbers)]
    return [
        *(x509.DNSName(name) for name in dict.fromkeys(names)),
        *(x509.IPAddress(network) for network in [*numbers, *beyond]),
    ]


def _may_speak_for(authority: x509.Certificate, hosts: Sequence[str]) -> bool:
    limits = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    allowed = limits.permitted_subtrees or []
    names = [one.value for one in allowed if isinstance(one, x509.DNSName)]
    numbers = [one.value for one in allowed if isinstance(one, x509.IPAddress)]
    for host in hosts:
        if is_number(host):
            network = ipaddress.ip_network(host)
            if not any(_holds(home, network) for home in numbers):
                return False
        elif not any(host == name or host.endswith(f".{name}") for name in names):
            return False
    return True


def _holds(home: object, part: ipaddress.IPv4Network | ipaddress.IPv6Network) -> bool:
    if isinstance(home, ipaddress.IPv4Network) and isinstance(part, ipaddress.IPv4Network):
        return part.subnet_of(home)
    if isinstance(home, ipaddress.IPv6Network) and isinstance(part, ipaddress.IPv6Network):
        return part.subnet_of(home)
    return False


def _is_still_right(
    certificate: x509.Certificate,
    authority: x509.Certificate,
    names: Sequence[x509.GeneralName],
    now: datetime,
) -> bool:
    told = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    if set(told) != set(names) or not _lasts(certificate, now):
        return False
    try:
        certificate.verify_directly_issued_by(authority)
    except (ValueError, InvalidSignature):  # another authority's, or of one of the same name
        return False
    return True


def _lasts(certificate: x509.Certificate, now: datetime) -> bool:
    return certificate.not_valid_after_utc - now > RENEWED_BEFORE


def _read(
    certificate: Path, key: Path
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey] | None:
    if not (certificate.exists() and key.exists()):
        return None
    read = serialization.load_pem_private_key(key.read_bytes(), password=None)
    if not isinstance(read, ec.EllipticCurvePrivateKey):
        raise ValueError("not a key of this program")
    found = x509.load_pem_x509_certificate(certificate.read_bytes())
    # A start that was broken off between the two files left a key without its certificate.
    return (found, read) if found.public_key() == read.public_key() else None


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(_PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())


def _write(path: Path, data: bytes, rights: int) -> None:
    """Write a file whole or not at all, readable by nobody else from the first moment."""
    part = path.with_name(path.name + ".part")
    part.unlink(missing_ok=True)
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, rights), "wb") as file:
        file.write(data)
    part.replace(path)


def _general(host: str) -> x509.GeneralName:
    return x509.IPAddress(ipaddress.ip_address(host)) if is_number(host) else x509.DNSName(host)
