"""A lock installs just what it says, whatever is published later; what is missing is named.

Packages are invented, the project is invented, the network is off; ``ready`` and ``run`` are ours.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from wheels import lock_line, write_index, write_wheel

LONGEST_S = 300  # for one call of a script; two seconds where nothing else runs
PROJECT = """\
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]
[project]
name = "invented"
version = "1"
"""
BACKEND = """\
import sys
sys.path.insert(0, {support!r})
from pathlib import Path
from wheels import write_wheel

def build_editable(folder, config_settings=None, metadata_directory=None):
    told = "import sys\\ndef main(): print('program', *sys.argv[1:])\\n"
    script = "[console_scripts]\\ntapewright = invented:main\\n"
    return write_wheel(Path(folder), "invented", "1", ["Requires-Dist: oak"], told, script).name
"""
INSTALLED = (
    "from importlib.metadata import distributions\n"
    "print(*sorted(f'{one.name}=={one.version}' for one in distributions()))"
)


class Clone:
    """A folder with our scripts and an invented project; pip sees only invented wheels."""

    def __init__(self, house, folder):
        self.folder = folder
        self.published = folder.parent / "published"
        shutil.copytree(house / "builders", folder / "builders")
        shutil.copy(house / "run", folder)
        (folder / "locks").mkdir()
        (folder / "pyproject.toml").write_text(PROJECT, encoding="utf-8")
        support = str(house / "tests" / "support")
        (folder / "backend.py").write_text(BACKEND.format(support=support), encoding="utf-8")
        self.env = {name: told for name, told in os.environ.items() if not name.startswith("PIP_")}
        self.env |= {
            "PATH": f"{Path(sys.base_prefix) / 'bin'}{os.pathsep}{os.defpath}",
            "PIP_CONFIG_FILE": os.devnull,
            "PIP_NO_INDEX": "1",
            "PIP_FIND_LINKS": str(self.published),
            "PIP_RETRIES": "0",
            "HTTPS_PROXY": "http://127.0.0.1:9",  # nobody listens there
        }

    def publish(self, name, version, *needs):
        return write_wheel(
            self.published, name, version, [f"Requires-Dist: {one}" for one in needs]
        )

    def lock(self, name, *wheels):
        text = "".join(lock_line(one) for one in wheels)
        (self.folder / "locks" / name).write_text(text, encoding="utf-8")

    def start(self, *words):
        return subprocess.Popen(
            words, cwd=self.folder, env=self.env, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            stdin=subprocess.DEVNULL, text=True,
        )  # fmt: skip

    def say(self, *words):
        with self.start(*words) as done:
            try:
                out, said = done.communicate(timeout=LONGEST_S)
            finally:
                done.kill()
        return done.returncode, out, said

    def ready(self, *locks):
        code, _, said = self.say("sh", "-euc", ". builders/venv.sh; ready " + " ".join(locks))
        return code, said

    def installed(self):
        return self.say(".venv/bin/python", "-c", INSTALLED)[1].split()


@pytest.fixture
def clone(house, tmp_path):
    """Oak needs elm with moss; all three are in the lock, in their first version."""
    made = Clone(house, tmp_path / "clone")
    oak = made.publish("oak", "1.0", "elm[moss]>=1")
    elm = made.publish("elm", "1.0", "moss>=1; extra == 'moss'")
    made.lock("run.lock", oak, elm, made.publish("moss", "1.0"))
    return made


LOCKED = ["elm==1.0", "invented==1", "moss==1.0", "oak==1.0"]


@pytest.mark.parametrize("kind", ["links", "index"])
def test_what_is_published_later_is_not_installed(clone, tmp_path, kind):
    clone.publish("oak", "1.1", "ivy")
    clone.publish("elm", "2.0", "ivy", "moss>=2; extra == 'moss'")
    clone.publish("moss", "2.0")
    clone.publish("ivy", "2.0")
    if kind == "index":
        del clone.env["PIP_NO_INDEX"], clone.env["PIP_FIND_LINKS"]
        address = write_index(tmp_path / "index", sorted(clone.published.iterdir()))
        clone.env["PIP_INDEX_URL"] = address
    assert clone.ready("locks/run.lock") == (
        0, "Setting up .venv (once; about half a minute) …\n",
    )  # fmt: skip
    assert clone.installed() == LOCKED
    assert clone.ready("locks/run.lock") == (0, "")  # nothing to do, and nothing said


def test_a_lock_that_lacks_something_is_told_and_not_taken_for_ready(clone):
    clone.lock("run.lock", clone.published / "oak-1.0-py3-none-any.whl")
    code, said = clone.ready("locks/run.lock")
    assert code == 1
    assert "oak 1.0 requires elm, which is not installed" in said
    assert "do not fit together: see above. Remove the folder .venv and start again" in said
    assert "the locks are wrong: builders/lock.sh writes them anew" in said
    assert not list((clone.folder / ".venv").glob("ready-*"))


def test_another_file_under_a_locked_name_is_refused(clone):
    clone.publish("moss", "1.0", "ivy")  # the same version, other bytes
    code, said = clone.ready("locks/run.lock")
    assert code == 1
    assert "HASHES" in said
    assert "Setting up stopped: pip says above why." in said
    assert clone.installed() == []


def test_an_extra_is_added_by_one_command_and_stays(clone):
    fern = clone.publish("fern", "1.0", "moss")
    clone.lock("with-photo.lock", fern)
    clone.lock("with-shop.lock", clone.publish("palm", "1.0"))
    code, out, said = clone.say("./run", "--with", "photo")
    assert (code, out) == (0, "Added: photo.\n"), said
    assert clone.installed() == ["elm==1.0", "fern==1.0", *LOCKED[1:]]
    assert clone.say("./run", "fit", "a b") == (0, "program fit a b\n", "")
    newer = clone.publish("fern", "1.1")
    clone.lock("with-photo.lock", newer)  # a later version of the program locks a later fern
    code, out, said = clone.say("./run")
    assert (code, out) == (0, "program demo\n"), said
    assert clone.installed() == ["elm==1.0", "fern==1.1", *LOCKED[1:]]


@pytest.mark.parametrize("name", ["foto", "", "../run"])
def test_an_extra_that_does_not_exist_is_told_with_those_that_do(clone, name):
    clone.lock("with-photo.lock")
    clone.lock("with-shop.lock")
    told = f"There is no extra “{name}”. There are: photo shop\n"
    assert clone.say("./run", "--with", name) == (2, "", told)
    assert not (clone.folder / ".venv").exists()


def test_two_that_start_together_do_not_disturb_each_other(clone):
    both = [clone.start("./run", "fit") for _ in range(2)]
    told = [one.communicate(timeout=LONGEST_S) for one in both]
    assert [one.returncode for one in both] == [0, 0], told
    assert [out for out, _ in told] == ["program fit\n"] * 2
    assert sorted(len(said) > 0 for _, said in told) == [False, True]  # one of them set it up


def test_each_extra_has_a_lock_and_the_same_versions_stand_in_all(house):
    text = (house / "pyproject.toml").read_text(encoding="utf-8")
    table = text.split("[project.optional-dependencies]\n")[1].split("\n\n")[0]
    extras = {line.partition(" ")[0] for line in table.splitlines()}
    locks = house / "locks"
    assert {one.name for one in locks.glob("with-*.lock")} == {f"with-{one}.lock" for one in extras}
    pinned = re.compile(r"^[^ ]+==[^\\]+", re.MULTILINE)
    every = set(pinned.findall((locks / "dev.lock").read_text(encoding="utf-8")))
    named = {one.partition(";")[0].strip() for one in every}
    for lock in locks.glob("*.lock"):
        found = {one.partition(";")[0].strip() for one in pinned.findall(lock.read_text("utf-8"))}
        assert found
        assert found <= named, lock.name


def test_whatever_is_written_about_setting_up_works_from_a_clone(house):
    listed = subprocess.run(
        ["git", "ls-files"], cwd=house, capture_output=True, text=True, check=True, timeout=60
    ).stdout.split("\n")
    spread = ("docs/", "src/", "README.md", "CONTRIBUTING.md", "CHANGELOG.md")
    for name in listed:
        if name.startswith(spread) and name.endswith((".md", ".py", ".html")):
            text = (house / name).read_text(encoding="utf-8")
            assert not re.search(r"pip install '?tapewright", text), name
            for extra in re.findall(r"\./run --with ([a-z]\w*)", text):
                assert (house / "locks" / f"with-{extra}.lock").exists(), name


def test_ci_calls_the_one_command(house):
    lines = (house / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert [one for one in lines if not one.startswith("#")] == ["exec ./test"]
