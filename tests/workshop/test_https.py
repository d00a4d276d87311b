"""The program speaks https by its own authority: a real handshake, checked by other libraries.

OpenSSL (through Python's `ssl` and httpx) judges the certificates; `cryptography`'s own verifier
judges them once more by its rules for the web. Chromium cannot be taught to trust an authority in a
test, so what the service worker needs is only told on the page, not tried here.
"""

from __future__ import annotations

import hashlib
import logging
import os
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from heapwright.errors import HeapwrightError
from heapwright.people.passphrase import Cost
from heapwright.people.roles import Role
from heapwright.people.store import People
from heapwright.web import addresses, share, tls
from heapwright.web.trust import Trust
from heapwright.workshop.garden import Garden
from heapwright.workshop.setup import save_bin

NOW = datetime(2026, 6, 18, 12, 0, tzinfo=UTC)
HOSTS = ["localhost", "127.0.0.1", "compost.local", "192.168.7.2"]
SECRET = "four old pails hum"


def authority_of(papers: tls.Papers) -> x509.Certificate:
    return x509.load_der_x509_certificate(papers.authority)


def verified(papers: tls.Papers, name: x509.DNSName | x509.IPAddress, at: datetime) -> None:
    """Judge the machine's certificate by the rules browsers go by; raises when it is not good."""
    machine = x509.load_pem_x509_certificate(papers.certificate.read_bytes())
    store = Store([authority_of(papers)])
    PolicyBuilder().store(store).time(at).build_server_verifier(name).verify(machine, [])


def test_the_certificate_is_good_for_its_names_and_no_other(tmp_path: Path) -> None:
    import ipaddress

    papers = tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    verified(papers, x509.DNSName("compost.local"), NOW)
    verified(papers, x509.IPAddress(ipaddress.ip_address("192.168.7.2")), NOW)
    with pytest.raises(VerificationError):
        verified(papers, x509.DNSName("bank.example"), NOW)


def test_the_authority_may_speak_for_home_names_only(tmp_path: Path) -> None:
    papers = tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    limits = authority_of(papers).extensions.get_extension_for_class(x509.NameConstraints)
    assert limits.critical
    key = serialization.load_pem_private_key(
        (tmp_path / tls.FOLDER_NAME / "authority.key").read_bytes(), password=None
    )
    # Whoever steals the key still cannot pass for a bank: a certificate made with it is refused.
    tls._machine(tmp_path, authority_of(papers), key, ["bank.example"], NOW)  # type: ignore[arg-type]
    forged = tls.Papers(tmp_path / "machine.crt", tmp_path / "machine.key", papers.authority, False)
    with pytest.raises(VerificationError):
        verified(forged, x509.DNSName("bank.example"), NOW)


def test_keys_are_their_users_alone(tmp_path: Path) -> None:
    tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    place = tmp_path / tls.FOLDER_NAME
    assert place.stat().st_mode & 0o777 == 0o700
    for name in ("authority.key", "machine.key"):
        assert (place / name).stat().st_mode & 0o777 == 0o600


def test_they_are_made_once_and_renewed_in_time(tmp_path: Path) -> None:
    first = tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    machine = first.certificate.read_bytes()
    assert first.is_new
    again = tls.papers_for(tmp_path, HOSTS, lambda: NOW + timedelta(days=300))
    assert (again.authority, again.is_new) == (first.authority, False)
    assert again.certificate.read_bytes() == machine

    late = NOW + tls.CERTIFICATE_LASTS - timedelta(days=20)
    renewed = tls.papers_for(tmp_path, HOSTS, lambda: late)
    assert renewed.authority == first.authority, "phones need not be taught again"
    assert renewed.certificate.read_bytes() != machine
    verified(renewed, x509.DNSName("compost.local"), late + timedelta(days=100))

    more = tls.papers_for(tmp_path, [*HOSTS, "garden.local"], lambda: late)
    assert more.authority == first.authority
    verified(more, x509.DNSName("garden.local"), late)


def test_a_name_beyond_home_needs_a_new_authority(tmp_path: Path) -> None:
    first = tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    other = tls.papers_for(tmp_path, [*HOSTS, "compost.example"], lambda: NOW)
    assert other.is_new
    assert other.authority != first.authority
    verified(other, x509.DNSName("compost.example"), NOW)


def test_a_start_broken_off_between_key_and_certificate_is_mended(tmp_path: Path) -> None:
    tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    other = tmp_path / "other"
    other.mkdir()
    tls.papers_for(other, HOSTS, lambda: NOW)
    key = tmp_path / tls.FOLDER_NAME / "machine.key"
    key.write_bytes((other / tls.FOLDER_NAME / "machine.key").read_bytes())
    papers = tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(papers.certificate, papers.key)


@pytest.mark.parametrize("name", ["authority.key", "authority.crt", "machine.crt"])
def test_a_damaged_file_is_told_and_not_replaced(tmp_path: Path, name: str) -> None:
    tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    damaged = tmp_path / tls.FOLDER_NAME / name
    damaged.write_bytes(b"-----BEGIN NOTHING-----")
    with pytest.raises(HeapwrightError, match="cannot be used"):
        tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    assert damaged.read_bytes() == b"-----BEGIN NOTHING-----"


def test_a_certificate_of_another_authority_is_made_anew(tmp_path: Path) -> None:
    first = tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    (tmp_path / "other").mkdir()
    other = tls.papers_for(tmp_path / "other", HOSTS, lambda: NOW)
    for mine, others in ((first.certificate, other.certificate), (first.key, other.key)):
        mine.write_bytes(others.read_bytes())
    again = tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    assert (again.authority, again.is_new) == (first.authority, False)
    verified(again, x509.DNSName("compost.local"), NOW)


@pytest.mark.parametrize("part", ["authority", "machine"])
def test_a_certificate_that_somebody_else_put_there_is_told(tmp_path: Path, part: str) -> None:
    """One without the extensions that ours have, with a key that fits it."""
    tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    place = tmp_path / tls.FOLDER_NAME
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Invented")])
    bare = tls._begun(name, name, key.public_key(), NOW, timedelta(days=300))
    certificate = bare.sign(key, hashes.SHA256()).public_bytes(serialization.Encoding.PEM)
    (place / f"{part}.key").write_bytes(tls._pem(key))
    (place / f"{part}.crt").write_bytes(certificate)
    with pytest.raises(HeapwrightError, match="cannot be used"):
        tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    assert (place / f"{part}.crt").read_bytes() == certificate


def test_a_key_behind_a_passphrase_is_told(tmp_path: Path) -> None:
    tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    key = ec.generate_private_key(ec.SECP256R1()).private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.BestAvailableEncryption(b"four old pails hum"),
    )
    (tmp_path / tls.FOLDER_NAME / "authority.key").write_bytes(key)
    with pytest.raises(HeapwrightError, match="cannot be used"):
        tls.papers_for(tmp_path, HOSTS, lambda: NOW)


def test_the_fingerprint_is_the_one_other_programs_show(tmp_path: Path) -> None:
    papers = tls.papers_for(tmp_path, HOSTS, lambda: NOW)
    shown = Trust(papers.authority, 8055).fingerprint
    assert bytes.fromhex(shown) == authority_of(papers).fingerprint(hashes.SHA256())
    assert bytes.fromhex(shown) == hashlib.sha256(papers.authority).digest()
    assert {len(group) for group in shown.split()} == {4}


@pytest.mark.parametrize("host", ["", "a b", "-x", "x" * 300, "http://a.local", "a_b.local", "ä"])
def test_a_name_that_is_none_is_refused(host: str) -> None:
    with pytest.raises(HeapwrightError, match="cannot be the name"):
        addresses.read_host(host)


def test_this_machines_own_names_can_stand_in_a_certificate() -> None:
    for host in [*addresses.own_names(), *addresses.home_numbers()]:
        assert addresses.read_host(host) == host


# ---- the whole program ----


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    """A garden with an owner."""
    path = tmp_path / "garden.heapwright"
    with Garden.open(path) as garden:
        save_bin(garden, name="Quince", origin="page", width_m=0.9, depth_m=0.9, height_m=0.9)
    people = People.open(tmp_path / "people.sqlite3", cost=Cost(4, 8, 1))
    people.add("Ann Oak", SECRET, path.name, Role.OWNER)
    people.close()
    return path


@pytest.fixture
def https_server(journal: Path) -> Iterator[tuple[str, str, str]]:
    """The program as the command starts it: the https address, the plain one, all it printed."""
    command = [sys.executable, "-m", "heapwright", "serve", "--share", "--https", "--port", "0"]
    started = subprocess.Popen(
        [*command, "--no-open", "--garden", str(journal), "--name", "Compost.Example"],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    try:
        assert started.stdout is not None
        lines: list[str] = []
        while "(SHA-256)" not in (lines[-1] if lines else ""):
            line = started.stdout.readline()
            assert line, "".join(lines)
            lines.append(line)
        lines.append(started.stdout.readline())
        said = "".join(lines)
        port = said.partition("https://")[2].partition("/")[0].rpartition(":")[2]
        plain = said.partition("http://")[2].partition("/trust")[0].rpartition(":")[2]
        yield f"https://127.0.0.1:{port}", f"http://127.0.0.1:{plain}", said
    finally:
        started.terminate()
        started.wait(timeout=30)


def answered(client: httpx.Client, address: str) -> httpx.Response:
    """The answer, once the program has come up."""
    give_up = time.monotonic() + 30
    while True:
        try:
            return client.get(address)
        except httpx.ConnectError:
            assert time.monotonic() < give_up
            time.sleep(0.1)


def test_a_phone_fetches_the_certificate_trusts_it_and_signs_in(
    https_server: tuple[str, str, str], journal: Path
) -> None:
    address, plain, said = https_server
    assert f"https://compost.example:{address.rpartition(':')[2]}/" in said
    with httpx.Client(follow_redirects=False) as before:
        page = answered(before, f"{plain}/trust")
        assert page.status_code == 200
        fingerprint = said.strip().splitlines()[-1].strip()
        assert fingerprint in page.text, "the page shows what the command printed"
        assert "not enough" in page.text, "a certificate clicked through keeps no pages"
        fetched = before.get(f"{plain}/trust/authority.crt")
        assert fetched.headers["content-type"] == "application/x-x509-ca-cert"
        assert bytes.fromhex(fingerprint) == hashlib.sha256(fetched.content).digest()
        assert before.get(f"{plain}/bins/quince").headers["location"] == "/trust"
        assert "Quince" not in before.get(f"{plain}/").text
        with pytest.raises(httpx.ConnectError, match="CERTIFICATE_VERIFY_FAILED"):
            before.get(address)

    trusting = ssl.create_default_context(cadata=fetched.content)
    with httpx.Client(verify=trusting, base_url=address, follow_redirects=False) as phone:
        assert phone.get("/").headers["location"] == "/sign-in"
        answer = phone.post("/sign-in", data={"name": "Ann Oak", "passphrase": SECRET})
        assert answer.headers["set-cookie"].startswith("__Host-heapwright=")
        assert "Secure" in answer.headers["set-cookie"]
        token = phone.get("/session.json").json()["token"]
        phone.post("/sign-in", data={"name": "Ann Oak", "passphrase": "not my passphrase"})
        assert phone.get("/bins/quince").status_code == 200
    secrets = (SECRET, token, "not my passphrase", answer.cookies["__Host-heapwright"])
    for log in journal.parent.glob("*.log"):
        text = log.read_text(encoding="utf-8")
        assert not any(secret in text for secret in secrets)
    assert not any(secret in said for secret in secrets)


def test_a_renewal_that_fails_is_told_and_the_next_one_tried(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    import threading

    import uvicorn

    tls.papers_for(tmp_path, HOSTS)
    (tmp_path / tls.FOLDER_NAME / "machine.crt").write_bytes(b"-----BEGIN NOTHING-----")
    monkeypatch.setattr(share, "_SECONDS_PER_DAY", 0.0)
    monkeypatch.setattr(logging.getLogger("heapwright.web"), "propagate", True)
    stopped, looks = threading.Event(), 0
    really = tls.papers_for

    def look(folder: Path, hosts: list[str]) -> tls.Papers:
        nonlocal looks
        looks += 1
        if looks == 2:
            stopped.set()
        return really(folder, hosts)

    monkeypatch.setattr(tls, "papers_for", look)
    share._renew(uvicorn.Config("none:app"), tmp_path, HOSTS, stopped)
    assert looks == 2
    assert caplog.text.count("could not be renewed") == 2


def test_nothing_is_shared_before_a_garden_has_an_owner(tmp_path: Path) -> None:
    path = tmp_path / "garden.heapwright"
    Garden.open(path).close()
    with pytest.raises(HeapwrightError, match="has no owner yet"):
        share.serve_shared([path], share.Wish(0))


def test_gardens_of_several_folders_are_not_shared_together(tmp_path: Path) -> None:
    for folder in ("one", "two"):
        (tmp_path / folder).mkdir()
        Garden.open(tmp_path / folder / "garden.heapwright").close()
    with pytest.raises(HeapwrightError, match="several folders"):
        share.journals_of([tmp_path / "one", tmp_path / "two"])
    assert [p.name for p in share.journals_of([tmp_path / "one"])] == ["garden.heapwright"]
    with pytest.raises(HeapwrightError, match="There is no garden"):
        share.journals_of([tmp_path])


@pytest.mark.parametrize(
    "wish, why",
    [
        (share.Wish(0, https=True, proxy="127.0.0.1"), "together"),
        (share.Wish(0, proxy="everywhere"), "one address in numbers"),
        (share.Wish(0, names=("http://x",)), "cannot be the name"),
        (share.Wish(70_000), "Ports go up to"),
    ],
)
def test_a_wish_that_cannot_be_is_refused(journal: Path, wish: share.Wish, why: str) -> None:
    with pytest.raises(HeapwrightError, match=why):
        share.serve_shared([journal], wish)


def test_only_the_one_proxy_is_believed(journal: Path) -> None:
    import threading

    from heapwright.web.app import create_shared_app
    from heapwright.web.server import quiet, take_port

    seen: list[tuple[str, str]] = []
    with share.opened([journal]) as sharing:
        app = create_shared_app(sharing, home_only=False)

        @app.middleware("http")
        async def look(request, call_next):  # type: ignore[no-untyped-def]
            seen.append((request.client.host, request.url.scheme))
            return await call_next(request)

        import uvicorn

        for believed in ("127.0.0.1", "192.0.2.7", ""):
            with take_port(0) as listening:
                config = quiet(app, **share.believing(believed))
                server = uvicorn.Server(config)
                thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
                thread.start()
                with httpx.Client() as proxy:
                    answered(proxy, f"http://127.0.0.1:{listening.getsockname()[1]}/sign-in")
                    seen.clear()
                    proxy.get(
                        f"http://127.0.0.1:{listening.getsockname()[1]}/sign-in",
                        headers={"x-forwarded-for": "203.0.113.9", "x-forwarded-proto": "https"},
                    )
                server.should_exit = True
                thread.join()
            expected = (
                ("203.0.113.9", "https") if believed == "127.0.0.1" else ("127.0.0.1", "http")
            )
            assert seen == [expected]
