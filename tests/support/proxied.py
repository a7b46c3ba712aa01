"""Proxied: a server as a shop deploys it: a proxy with TLS, two workers, PostgreSQL behind them.

The files of deploy/ are used as they are, but for ports and paths. Everything is on this machine's
own addresses.

Holds:  the shop; a visitor's connection to it; people who read and keep without a pause while
        workers and backends are killed, and what became of that.
Never:  tests.
"""

import contextlib
import http.client
import json
import os
import random
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import tempfile
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from processes import descendants

from tapewright.faces.web import serving

ROOT = Path(__file__).parents[2]
NAME, PASSCODE = "shop.example", "kestrel bramble quoit"
UP_S, DAY_S, PAUSE_S = 120.0, 86_400, 0.1
AROUND = """
daemon off; pid {folder}/nginx.pid; error_log {folder}/proxy.log; {user}
events {{}}
http {{
    access_log off; client_body_temp_path {folder}/body; proxy_temp_path {folder}/proxied;
    fastcgi_temp_path {folder}/f; uwsgi_temp_path {folder}/u; scgi_temp_path {folder}/s;
{site}
}}
"""
ONE_BACKEND = (
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid IN (SELECT pid"
    " FROM pg_stat_activity WHERE datname = '{database}' ORDER BY random() LIMIT 1)"
)
OURS = """{{
\tadmin off
\thttp_port {plain}
\thttps_port {https}
\tstorage file_system {folder}/caddy
}}
"""


def free_port():
    """Port that nobody listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def certificate(folder):
    """A certificate for the shop's name, and its key, as files."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec

    key, named = ec.generate_private_key(ec.SECP256R1()), x509.NameOID.COMMON_NAME
    name = x509.Name([x509.NameAttribute(named, NAME)])
    made = (
        x509.CertificateBuilder(name, name, key.public_key(), x509.random_serial_number())
        .not_valid_before(datetime.now(UTC) - timedelta(hours=1))
        .not_valid_after(datetime.now(UTC) + timedelta(days=30))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(NAME)]), critical=False)
        .sign(key, hashes.SHA256())
    )
    form = serialization.PrivateFormat.PKCS8
    (folder / "chain.pem").write_bytes(made.public_bytes(serialization.Encoding.PEM))
    (folder / "key.pem").write_bytes(
        key.private_bytes(serialization.Encoding.PEM, form, serialization.NoEncryption())
    )


def changed(file, changes):
    """A file of deploy/ with ports and paths of ours; each that is changed must stand in it."""
    text = (ROOT / "deploy" / file).read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text, f"{old} does not stand in deploy/{file}"
        text = text.replace(old, new)
    return text


def nginx(folder, port, https, plain):
    """Words that start nginx with our site."""
    site = changed("nginx.conf", {
        "listen [::]:80;": "", "listen [::]:443 ssl http2;": "",
        "listen 80;": f"listen 127.0.0.1:{plain};",
        "listen 443 ssl": f"listen 127.0.0.1:{https} ssl",
        "127.0.0.1:8640": f"127.0.0.1:{port}", "/etc/ssl/tapewright": str(folder),
    })  # fmt: skip
    user = "user root;" if os.geteuid() == 0 else ""
    whole = AROUND.format(folder=folder, site=site, user=user)
    (folder / "nginx.conf").write_text(whole)
    return ["nginx", "-c", str(folder / "nginx.conf"), "-e", str(folder / "proxy.log")]


def caddy(folder, port, https, plain):
    """Words that start Caddy with our site."""
    site = changed("Caddyfile", {
        "127.0.0.1:8640": f"127.0.0.1:{port}", "/etc/ssl/tapewright": str(folder),
    })  # fmt: skip
    ours = OURS.format(plain=plain, https=https, folder=folder)
    (folder / "Caddyfile").write_text(
        ours + site.replace("\nshop.example {", f"\n{NAME} {{\n\tbind 127.0.0.1")
    )
    return ["caddy", "run", "--config", str(folder / "Caddyfile"), "--adapter", "caddyfile"]


PROXIES = {"nginx": nginx, "caddy": caddy}


class _Line(http.client.HTTPSConnection):
    """A connection by the shop's name, from one of this machine's own addresses."""

    def __init__(self, port, trusted, source, timeout):
        super().__init__(NAME, port, timeout=timeout, context=trusted)
        self._trusted, self._source = trusted, source

    def connect(self):
        plain = socket.create_connection(
            ("127.0.0.1", self.port), self.timeout, source_address=(self._source, 0)
        )
        self.sock = self._trusted.wrap_socket(plain, server_hostname=NAME)


class Shop:
    """A server as a shop has it.

    Parameters
    ----------
    folder : Path
        For everything that it keeps.
    notebook : str
        Address of its notebook.
    proxy : str
        Which one: nginx or caddy.
    """

    def __init__(self, folder, notebook, proxy):
        self.folder, self.notebook, self._proxy = folder, notebook, proxy
        self.port, self.https, self.plain, self.metrics = (free_port() for _ in range(4))
        certificate(folder)
        self._trusted = ssl.create_default_context(cafile=folder / "chain.pem")
        self._passcode_file = folder / "tapewright" / "notebook.passcode"

    @contextlib.contextmanager
    def open(self, workers=2):
        """Start the program and the proxy before it."""
        serving.choose_passcode(self._passcode_file, PASSCODE)
        words = ["--no-browser", "--port", self.port, "--workers", workers, "--name", NAME,
                 "--trusted-proxy", "127.0.0.1", "--metrics", self.metrics,
                 "--log", "json"]  # fmt: skip
        around = {name: text for name, text in os.environ.items() if "BYTECODE" not in name}
        around |= {"XDG_DATA_HOME": str(self.folder), "TAPEWRIGHT_NOTEBOOK": self.notebook}
        with contextlib.ExitStack() as stack:
            told = stack.enter_context((self.folder / "log").open("wb"))
            command = [sys.executable, "-m", "tapewright", "serve", *map(str, words)]
            self.program = stack.enter_context(
                subprocess.Popen(command, stdout=told, stderr=told, env=around)
            )
            stack.callback(self.program.terminate)
            proxy = PROXIES[self._proxy](self.folder, self.port, self.https, self.plain)
            before = stack.enter_context(
                subprocess.Popen(proxy, stderr=told, env=around | {"HOME": str(self.folder)})
            )
            stack.callback(before.terminate)
            self._wait_until_up()
            yield self

    def _wait_until_up(self):
        until = time.monotonic() + UP_S
        while time.monotonic() < until:
            assert self.program.poll() is None, (self.folder / "log").read_text()[-2000:]
            with contextlib.suppress(OSError, http.client.HTTPException):
                if self.ask("GET", "/health/notebook")[0] == 200:
                    return
            time.sleep(0.2)
        raise TimeoutError((self.folder / "log").read_text()[-2000:])

    def line(self, person=1, timeout=60.0):
        """A connection, as each person has one."""
        return _Line(self.https, self._trusted, f"127.0.9.{person}", timeout)

    def ask(self, method, path, body=None, headers=None, person=1):
        """Status, headers and content of one answer."""
        line = self.line(person)
        try:
            line.request(method, path, body, headers or {})
            answer = line.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            line.close()

    def pass_of(self, person):
        """Header of somebody who entered: each a cookie of its own, as people have."""
        kept = serving.passcode_of(self._passcode_file)
        return {"Cookie": f"tapewright_pass_https={kept.cookie(int(time.time()) + DAY_S + person)}"}

    def workers(self):
        """The processes that serve, without the one from which they are forked."""
        below = descendants(self.program.pid)
        found = (one for one in sorted(below) if b"forkserver" in _words_of(one))
        return list(found)[1:]


def _words_of(process):
    with contextlib.suppress(OSError):
        return Path(f"/proc/{process}/cmdline").read_bytes()
    return b""


class Load:
    """People who read and keep without a pause; every wait and every answer is noted."""

    def __init__(self, shop, rig, people):
        self._shop, self._rig, self._people = shop, rig, people
        self.waits, self.kept, self.refused = [], [], {}

    def run(self, seconds):
        """Let them work for so long, in threads that are given back."""
        until = time.monotonic() + seconds
        threads = [
            threading.Thread(target=self._person, args=(one, until))
            for one in range(1, self._people + 1)
        ]
        for one in threads:
            one.start()
        return threads

    def _person(self, person, until):
        line, turn, who = self._shop.line(person), 0, self._shop.pass_of(person)
        rig = f"/api/rigs/{self._rig}"
        while time.monotonic() < until:
            turn, since = turn + 1, time.monotonic()
            try:
                if turn % 3:
                    path = (rig, f"/rigs/{self._rig}/marks")[turn % 3 - 1]
                    line.request("GET", path, headers=who)
                else:
                    sent = {
                        "shot_on": "2026-11-25",
                        "purpose": "sighting",
                        "note": f"{person}.{turn}",
                    }
                    head = who | {"Content-Type": "application/json"}
                    line.request("POST", f"{rig}/sessions", json.dumps(sent), head)
                answer = line.getresponse()
                content, told = (
                    answer.read(),
                    f"{'POST' if turn % 3 == 0 else 'GET'} {answer.status}",
                )
                if answer.status == 201:
                    self.kept.append(json.loads(content)["id"])
            except (OSError, http.client.HTTPException) as error:
                told = f"{'POST' if turn % 3 == 0 else 'GET'} {type(error).__name__}"
                line.close()
                line = self._shop.line(person)
            self.waits.append((time.monotonic() - since, told))
            time.sleep(PAUSE_S)
        line.close()


def killed(shop, server, database, seconds, every_s=3.0, seed=1):
    """Kill a worker and a backend in turn while the time runs; how many of each."""
    chance, until, kills = random.Random(seed), time.monotonic() + seconds, [0, 0]
    while time.monotonic() < until - every_s:
        time.sleep(chance.uniform(0.5, 1.5) * every_s)
        if sum(kills) % 2 == 0 and (living := shop.workers()):
            with contextlib.suppress(ProcessLookupError):
                os.kill(chance.choice(living), signal.SIGKILL)
                kills[0] += 1
        else:
            kills[1] += len(server.ask(ONE_BACKEND.format(database=database)))
    return kills


def lived_through(server, proxy, *, seconds, people, every_s=3.0):
    """What people lived through while workers and backends were killed, as figures."""
    folder, database = Path(tempfile.mkdtemp(prefix="tw")), server.new_database()
    try:
        shop = Shop(folder, server.url(database), proxy)
        with shop.open():
            _, told, _ = shop.ask("POST", "/sample", headers=shop.pass_of(99), person=99)
            rig = told["location"].rpartition("/")[2]
            load = Load(shop, rig, people)
            threads = load.run(seconds)
            kills = killed(shop, server, database, seconds, every_s)
            for one in threads:
                one.join(120)
            path = f"/api/rigs/{rig}/sessions"
            there = json.loads(shop.ask("GET", path, headers=shop.pass_of(99))[2])
        counted = {}
        for _, answer in load.waits:
            counted[answer] = counted.get(answer, 0) + 1
        waits = sorted(took for took, _ in load.waits)
        return {
            "proxy": proxy, "people": people, "seconds": seconds,
            "workers_killed": kills[0], "backends_killed": kills[1],
            "requests": len(waits), "answers": counted,
            "kept": len(load.kept), "lost": len(set(load.kept) - {one["id"] for one in there}),
            "median_s": round(waits[len(waits) // 2], 3), "slowest_s": round(waits[-1], 2),
        }  # fmt: skip
    finally:
        shutil.rmtree(folder, ignore_errors=True)
