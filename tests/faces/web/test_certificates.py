"""An authority of one's own: OpenSSL is asked whether it lets the server in, and nobody else.

OpenSSL (by Python's ``ssl``) is the other side here: it knows nothing of how the files were made.
"""

import ssl
import threading
import time
import urllib.request
from datetime import UTC, datetime, timedelta

import pytest
import uvicorn
from starlette.testclient import TestClient

from tapewright.faces.web.app import build_app
from tapewright.faces.web.server import certificates
from tapewright.faces.web.server.passcode import new_passcode
from tapewright.faces.web.server.security import Rules
from tapewright.ground.errors import BadInput
from tapewright.services.move_notebook import archive_text

NOW = datetime.now(UTC).replace(microsecond=0)  # OpenSSL looks at its own clock
NAMES = ("127.0.0.1", "localhost", "192.168.7.5", "198.51.100.7", "bows.local")
WAIT_S = 60.0


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "kept" / "notebook.https"


def met(folder, name, server=None):
    """Certificate that OpenSSL accepts for a name, by a handshake in memory."""
    phone = ssl.create_default_context(cadata=certificates.authority_file(folder))
    there, here = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = phone.wrap_bio(there, here, server_hostname=name)
    context = server or certificates.tls_context(folder)
    other = context.wrap_bio(here, there, server_side=True)
    for _ in range(4):
        for one in (client, other):
            try:
                one.do_handshake()
            except ssl.SSLWantReadError:
                continue
    return client.getpeercert()


def test_a_machine_may_have_the_longest_name_that_there_is(folder):
    name = "h" * 63  # RFC 1035, 2.3.4
    ready = certificates.make_ready(folder, (*NAMES[:2], name), NOW)
    assert ready.named == f"Tapewright at {'h' * 38}, {NOW:%Y-%m-%d}"
    assert ("DNS", name) in met(folder, name)["subjectAltName"]


def test_openssl_lets_the_server_in_under_each_of_its_names(folder):
    ready = certificates.make_ready(folder, NAMES, NOW)
    assert ready.is_new
    assert ready.left_out == ()
    for name in NAMES:
        told = met(folder, name)
    assert {one for _, one in told["subjectAltName"]} == set(NAMES)
    begins, ends = (ssl.cert_time_to_seconds(told[one]) for one in ("notBefore", "notAfter"))
    assert ends - begins <= 397 * 86_400
    assert ready.until.timestamp() == ends
    assert len(ready.fingerprint.split(":")) == 32
    assert ready.named == f"Tapewright at bows.local, {NOW:%Y-%m-%d}"
    with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        met(folder, "192.168.7.6")


@pytest.mark.parametrize("name", ["archery.example", "local", "203.0.113.9", "198.51.100.8"])
def test_the_authority_can_vouch_for_nobody_else(folder, name, monkeypatch):
    certificates.make_ready(folder, NAMES, NOW)
    monkeypatch.setattr(certificates, "_may_vouch", lambda *_: True)  # somebody has its key
    certificates.make_ready(folder, [name], NOW)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
        met(folder, name)


def test_the_certificate_is_renewed_and_phones_need_nothing_new(folder):
    first = certificates.make_ready(folder, NAMES, NOW)
    told = (folder / "server.pem").read_bytes()
    later = certificates.make_ready(folder, NAMES[:3], NOW + timedelta(days=330))
    assert (later.is_new, later.until) == (False, first.until)
    assert (folder / "server.pem").read_bytes() == told  # also for fewer names
    last = certificates.make_ready(folder, NAMES, NOW + timedelta(days=340))
    assert last.until > first.until + timedelta(days=300)
    assert last.fingerprint == first.fingerprint
    moved = (*NAMES, "10.1.2.3")  # another address in the same network at home
    certificates.make_ready(folder, moved, NOW)
    assert met(folder, "10.1.2.3")
    strange = certificates.make_ready(folder, (*moved, "other.example"), NOW)
    assert strange.left_out == ("other.example",)
    anew = certificates.make_ready(folder, (*NAMES, "other.example"), NOW, anew=True)
    assert anew.fingerprint != first.fingerprint
    assert met(folder, "other.example")


def test_a_lost_certificate_is_made_anew_and_a_lost_authority_is_told(folder):
    first = certificates.make_ready(folder, NAMES, NOW)
    (folder / "server.key").write_text("torn")
    assert certificates.make_ready(folder, NAMES, NOW).fingerprint == first.fingerprint
    assert met(folder, "localhost")
    with pytest.raises(BadInput, match="the authority ends on") as refused:
        certificates.make_ready(folder, NAMES, NOW + timedelta(days=3600))
    assert "--new-authority" in refused.value.mend
    with pytest.raises(BadInput, match="none of this machine's names"):
        certificates.make_ready(folder, ("other.example",), NOW)
    (folder / "authority.key").unlink()
    with pytest.raises(BadInput, match=r"authority\.key is missing, damaged"):
        certificates.make_ready(folder, NAMES, NOW)


def test_the_keys_are_their_owners_alone_and_go_nowhere(folder, notebook):
    certificates.make_ready(folder, NAMES, NOW)
    assert oct(folder.stat().st_mode)[-3:] == "700"
    keys = [one for one in folder.iterdir() if one.suffix == ".key"]
    assert sorted(oct(one.stat().st_mode)[-3:] for one in keys) == ["600", "600"]
    keys[0].chmod(0o644)
    certificates.make_ready(folder, NAMES, NOW)
    assert oct(keys[0].stat().st_mode)[-3:] == "600"
    rules = Rules(frozenset({"127.0.0.1"}), https_folder=folder, https_port=8641)
    with TestClient(build_app(notebook, rules), base_url="http://127.0.0.1") as phone:
        page = phone.get("/phone").text
        file = phone.get("/phone/tapewright-authority.crt")
    assert "https://127.0.0.1:8641/" in page
    assert "None of these steps was tried on a real phone" in page
    assert file.headers["content-type"] == "application/x-x509-ca-cert"
    assert file.content == certificates.authority_file(folder)
    secrets = [one.read_text().splitlines()[1].encode() for one in keys]
    everything = file.content + page.encode() + archive_text(notebook).encode()
    assert not any(one in everything for one in secrets)


def test_without_https_the_page_says_how_to_start_it(client):
    assert "tapewright serve --lan --https" in client.get("/phone").text
    assert client.get("/phone/tapewright-authority.crt").status_code == 404


def test_one_server_answers_on_http_and_on_https(folder, notebook, monkeypatch, capfd):
    certificates.make_ready(folder, NAMES, NOW)
    passcode = new_passcode("open the old barn")
    app = build_app(notebook, Rules(frozenset({"127.0.0.1"}), passcode))
    config = uvicorn.Config(
        app, port=0, log_level="error",
        http="tapewright.faces.web.server.connection_timeouts:Connection",
        ws="none", lifespan="off", loop="tapewright.faces.web.server.connection_timeouts:new_loop",
    )  # fmt: skip
    plain, secret = config.bind_socket(), config.bind_socket()
    http, https = (one.getsockname()[1] for one in (plain, secret))
    monkeypatch.setenv("TAPEWRIGHT_HTTPS_FOLDER", str(folder))
    monkeypatch.setenv("TAPEWRIGHT_HTTPS_PORT", str(https))
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [plain, secret]})
    thread.start()
    until = time.monotonic() + WAIT_S
    while not server.started and time.monotonic() < until:
        time.sleep(0.02)
    try:
        stranger = ssl.create_default_context()
        with pytest.raises(OSError, match="CERTIFICATE_VERIFY_FAILED"):
            urllib.request.urlopen(
                f"https://127.0.0.1:{https}/health", context=stranger, timeout=30
            )
        phone = ssl.create_default_context(cadata=certificates.authority_file(folder))
        for address in (f"http://127.0.0.1:{http}", f"https://127.0.0.1:{https}"):
            context = phone if address.startswith("https") else None
            asked = urllib.request.Request(f"{address}/enter", b"passcode=open+the+old+barn")  # noqa: S310
            opener = urllib.request.build_opener(
                urllib.request.HTTPSHandler(context=context), _NoRedirect()
            )
            with pytest.raises(urllib.error.HTTPError) as gone:
                opener.open(asked, timeout=30)
            cookie = gone.value.headers["set-cookie"]
            gone.value.close()
            is_secret = context is not None
            assert ("; Secure" in cookie) is is_secret
            assert cookie.startswith("tapewright_pass_https=") is is_secret
            asked = urllib.request.Request(f"{address}/api/rigs")  # noqa: S310
            asked.add_header("Cookie", cookie.partition(";")[0])
            with opener.open(asked, timeout=30) as told:
                assert told.read() == b"[]"
    finally:
        server.should_exit = True
        thread.join(WAIT_S)
    assert not thread.is_alive()
    assert capfd.readouterr().err == ""  # whoever does not trust the certificate is nothing to tell


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_):
        return None
