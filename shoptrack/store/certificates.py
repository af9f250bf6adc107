"""A folder and this machine's names to a certificate that browsers take once they trust the shop's own."""

import ipaddress
import os
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import cast

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

# 398 days is the most that browsers take: CA/Browser Forum, Baseline Requirements 2.0, section 6.3.2
LASTS = timedelta(days=397)
OWN_LASTS = timedelta(days=3652)
RENEW_BEFORE = timedelta(days=30)
SKEW = timedelta(days=1)  # a tablet's clock may be behind

# RFC 1918, RFC 4193, RFC 3927, RFC 4291: addresses that are nobody's on the internet
_PRIVATE = (
    *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8"),
    *("fc00::/7", "fe80::/10", "::1/128"),
)


@dataclass(frozen=True, slots=True)
class Certificates:
    """The files of a shop's own authority and of its server."""

    folder: Path

    @property
    def own(self) -> Path:
        """The certificate that tablets are told to trust, in DER."""
        return self.folder / "shop-ca.crt"

    @property
    def own_key(self) -> Path:
        """The key that signs; whoever has it can pass for this shop's server."""
        return self.folder / "shop-ca.key"

    @property
    def server(self) -> Path:
        """The server's certificate, in PEM."""
        return self.folder / "server.crt"

    @property
    def server_key(self) -> Path:
        """The server's key, in PEM."""
        return self.folder / "server.key"


def in_instance(instance: Path) -> Certificates:
    """Where an instance keeps its certificates."""
    return Certificates(instance / "certificates")


def fingerprint(file: Path) -> str:
    """The SHA-256 of a certificate in DER, as tablets show it. Raises OSError where there is none."""
    return x509.load_der_x509_certificate(file.read_bytes()).fingerprint(hashes.SHA256()).hex(":").upper()


def see_to(files: Certificates, hosts: tuple[str, ...], now: datetime) -> bool:
    """Make what is missing, too old or for other addresses; whether the server's certificate is new.

    Takes the addresses and names to be reached by. One that the shop's own authority may not speak for (an
    address of the open internet, a name that this machine did not have when it was made) is left out.
    """
    files.folder.mkdir(parents=True, exist_ok=True)
    own, key = _own(files, hosts, now)
    names = tuple(_as_name(h) for h in dict.fromkeys(hosts) if _may_name(own, h))
    if _is_good(files, own, names, now):
        return False
    server_key = ec.generate_private_key(ec.SECP256R1())
    _write(files.server_key, _pem(server_key), 0o600)
    _write(files.server, _sign(own, key, server_key, names, now).public_bytes(serialization.Encoding.PEM))
    return True


def _own(
    files: Certificates, hosts: tuple[str, ...], now: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """The shop's own authority; made anew where it is missing, torn or over."""
    try:
        own = x509.load_der_x509_certificate(files.own.read_bytes())
        key = serialization.load_pem_private_key(files.own_key.read_bytes(), None)
        is_pair = isinstance(key, ec.EllipticCurvePrivateKey) and key.public_key() == own.public_key()
        if is_pair and own.not_valid_after_utc > now:
            return own, cast(ec.EllipticCurvePrivateKey, key)
    except (OSError, ValueError):
        pass
    made = ec.generate_private_key(ec.SECP256R1())
    own = _make_own(made, hosts, now)
    _write(files.own_key, _pem(made), 0o600)
    _write(files.own, own.public_bytes(serialization.Encoding.DER))
    return own, made


def _make_own(key: ec.EllipticCurvePrivateKey, hosts: tuple[str, ...], now: datetime) -> x509.Certificate:
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"shoptrack, this shop, {now.year}")])
    names = [h for h in hosts if not _as_address(h)]
    allowed: list[x509.GeneralName] = [x509.DNSName(n) for n in dict.fromkeys(["localhost", "local", *names])]
    allowed += [x509.IPAddress(ipaddress.ip_network(net)) for net in _PRIVATE]
    public = key.public_key()
    return (
        x509.CertificateBuilder(who, who, public, x509.random_serial_number(), now - SKEW, now + OWN_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints(allowed, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .sign(key, hashes.SHA256())
    )


def _sign(
    own: x509.Certificate,
    own_key: ec.EllipticCurvePrivateKey,
    key: ec.EllipticCurvePrivateKey,
    names: tuple[x509.GeneralName, ...],
    now: datetime,
) -> x509.Certificate:
    public, begins = key.public_key(), now - SKEW
    ends = min(begins + LASTS, own.not_valid_after_utc)
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "shoptrack")])
    issuer_key = x509.AuthorityKeyIdentifier.from_issuer_public_key(own_key.public_key())
    return (
        x509.CertificateBuilder(own.subject, who, public, x509.random_serial_number(), begins, ends)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .add_extension(issuer_key, critical=False)
        .sign(own_key, hashes.SHA256())
    )


def _is_good(
    files: Certificates, own: x509.Certificate, names: tuple[x509.GeneralName, ...], now: datetime
) -> bool:
    """Whether the server's certificate is of this authority, for these names, and not near its end."""
    try:
        server = x509.load_pem_x509_certificate(files.server.read_bytes())
        key = serialization.load_pem_private_key(files.server_key.read_bytes(), None)
        server.verify_directly_issued_by(own)
        said = server.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (OSError, ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):
        return False  # whatever is wrong with the files, they are made anew
    ends = server.not_valid_after_utc
    lasts = ends - now > RENEW_BEFORE or ends == own.not_valid_after_utc > now
    return lasts and set(said) == set(names) and key.public_key() == server.public_key()


def _may_name(own: x509.Certificate, host: str) -> bool:
    permitted = own.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    address = _as_address(host)
    if address is None:
        return any(isinstance(p, x509.DNSName) and f".{host}".endswith(f".{p.value}") for p in permitted)
    nets = [ipaddress.ip_network(p.value) for p in permitted if isinstance(p, x509.IPAddress)]
    return any(address in net for net in nets)


def _as_address(host: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(host.strip("[]"))
    except ValueError:
        return None


def _as_name(host: str) -> x509.GeneralName:
    address = _as_address(host)
    return x509.DNSName(host) if address is None else x509.IPAddress(address)


def _usage(signs: bool) -> x509.KeyUsage:
    no = dict.fromkeys(
        ("content_commitment", "key_encipherment", "data_encipherment", "key_agreement"), False
    )
    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        encipher_only=False,
        decipher_only=False,
        **no,
    )


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    form = serialization.PrivateFormat.PKCS8
    return key.private_bytes(serialization.Encoding.PEM, form, serialization.NoEncryption())


def _write(file: Path, content: bytes, mode: int = 0o644) -> None:
    """Put a file there whole or not at all, never readable by others for a moment."""
    beside = file.with_name(file.name + ".new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    beside.replace(file)
