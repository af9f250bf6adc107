"""The shop's own certificates, held against what browsers demand of one."""

import ssl
import stat
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID

from shoptrack.store.certificates import Certificates, fingerprint, in_instance, see_to

NOW = datetime(2026, 11, 25, 18, 24, tzinfo=UTC)
HOSTS = ("192.168.1.7", "fd00::7", "shop.local", "shop", "127.0.0.1", "::1", "localhost")


@pytest.fixture
def files(tmp_path: Path) -> Certificates:
    made = in_instance(tmp_path)
    assert see_to(made, HOSTS, NOW)
    return made


def server(files: Certificates) -> x509.Certificate:
    return x509.load_pem_x509_certificate(files.server.read_bytes())


def own(files: Certificates) -> x509.Certificate:
    return x509.load_der_x509_certificate(files.own.read_bytes())


def said_names(files: Certificates) -> set[str]:
    said = server(files).extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {str(name.value) for name in said}


def test_the_keys_are_their_owners_alone(files: Certificates) -> None:
    for key in (files.own_key, files.server_key):
        assert stat.S_IMODE(key.stat().st_mode) == 0o600
        assert b"PRIVATE KEY" in key.read_bytes()
    for open_to_all in (files.own, files.server):
        assert b"PRIVATE" not in open_to_all.read_bytes()


def test_the_server_is_named_by_all_it_is_reached_by(files: Certificates) -> None:
    assert said_names(files) == set(HOSTS)


def test_it_is_what_browsers_take(files: Certificates) -> None:
    """At most 398 days, for servers. Source: CA/Browser Forum, Baseline Requirements 2.0, 6.3.2, 7.1.2.7."""
    made = server(files)
    assert made.not_valid_after_utc - made.not_valid_before_utc == timedelta(days=397)
    assert made.not_valid_before_utc < NOW
    used = made.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(used) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert not made.extensions.get_extension_for_class(x509.BasicConstraints).value.ca


def test_the_authority_speaks_for_nobody_on_the_internet(files: Certificates) -> None:
    basic = own(files).extensions.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)
    named = own(files).extensions.get_extension_for_class(x509.NameConstraints)
    assert named.critical
    permitted = {str(p.value) for p in named.value.permitted_subtrees or []}
    assert {"local", "shop", "192.168.0.0/16", "fc00::/7"} < permitted
    assert timedelta(days=3600) < own(files).not_valid_after_utc - NOW < timedelta(days=3660)


def openssl(files: Certificates, *more: str) -> str:
    pem = files.folder / "own.pem"
    pem.write_text(ssl.DER_cert_to_PEM_cert(files.own.read_bytes()))
    command = ["openssl", "verify", "-x509_strict", "-CAfile", str(pem), "-purpose", "sslserver", *more]
    at = str(int(NOW.timestamp()))
    done = subprocess.run(
        [*command, "-attime", at, str(files.server)], capture_output=True, text=True, check=False
    )
    return done.stdout + done.stderr


def test_another_program_finds_the_chain_good(files: Certificates) -> None:
    """By openssl verify in its strict mode, at that day, for an address, a name, and one that is not ours."""
    assert openssl(files, "-verify_ip", "192.168.1.7").endswith("OK\n")
    assert openssl(files, "-verify_hostname", "shop.local").endswith("OK\n")
    assert "mismatch" in openssl(files, "-verify_hostname", "shop.example")


def test_what_the_authority_may_not_name_is_left_out(files: Certificates) -> None:
    assert see_to(files, (*HOSTS, "203.0.113.9", "shop.example", "notlocal"), NOW) is False
    assert see_to(files, ("203.0.113.9", "192.168.1.7"), NOW)
    assert said_names(files) == {"192.168.1.7"}


def test_nothing_changes_while_nothing_changed(files: Certificates) -> None:
    before = {f: f.read_bytes() for f in files.folder.iterdir()}
    assert not see_to(files, HOSTS, NOW + timedelta(days=200))
    assert not see_to(files, tuple(reversed(HOSTS)), NOW)
    assert {f: f.read_bytes() for f in files.folder.iterdir()} == before


def test_it_is_renewed_before_its_end_by_the_same_authority(files: Certificates) -> None:
    trusted, old = files.own.read_bytes(), server(files)
    assert not see_to(files, HOSTS, old.not_valid_after_utc - timedelta(days=31))
    assert see_to(files, HOSTS, old.not_valid_after_utc - timedelta(days=30))
    assert files.own.read_bytes() == trusted
    server(files).verify_directly_issued_by(own(files))


def test_another_address_is_another_certificate(files: Certificates) -> None:
    trusted = files.own.read_bytes()
    assert see_to(files, ("192.168.1.99", "shop.local"), NOW)
    assert said_names(files) == {"192.168.1.99", "shop.local"}
    assert files.own.read_bytes() == trusted


@pytest.mark.parametrize("name", ["server.crt", "server.key"])
def test_a_torn_file_is_made_anew(files: Certificates, name: str) -> None:
    (files.folder / name).write_bytes(b"-----BEGIN")
    assert see_to(files, HOSTS, NOW)
    assert openssl(files, "-verify_ip", "192.168.1.7").endswith("OK\n")


def test_another_shops_authority_is_not_taken_for_ours(files: Certificates, tmp_path: Path) -> None:
    """Its certificate was copied here, without its key."""
    other = in_instance(tmp_path / "other")
    see_to(other, HOSTS, NOW)
    files.own.write_bytes(other.own.read_bytes())
    assert see_to(files, HOSTS, NOW)
    server(files).verify_directly_issued_by(own(files))
    assert files.own.read_bytes() != other.own.read_bytes()


def test_at_the_authoritys_own_end_no_certificate_outlasts_it(files: Certificates) -> None:
    ends = own(files).not_valid_after_utc
    assert see_to(files, HOSTS, ends - timedelta(days=60))
    assert server(files).not_valid_after_utc == ends
    assert not see_to(files, HOSTS, ends - timedelta(days=5))
    assert see_to(files, HOSTS, ends)
    assert own(files).not_valid_after_utc > ends + timedelta(days=3600)


def test_the_fingerprint_is_that_of_openssl(files: Certificates) -> None:
    command = [
        "openssl",
        "x509",
        "-inform",
        "DER",
        "-in",
        str(files.own),
        "-noout",
        "-fingerprint",
        "-sha256",
    ]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert said.strip().partition("=")[2] == fingerprint(files.own)
