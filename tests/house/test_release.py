"""A release: the same bytes whoever builds it, with all it needs and every licence."""

import io
import os
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def builders():
    """The builders of releases and of licences."""
    sys.path.insert(0, str(Path(__file__).parents[2] / "builders"))
    import build_licences
    import build_release

    yield build_release, build_licences
    sys.path.pop(0)


def packed(house, *, backwards, modified_s):
    """This source as an archive, its files in another order and of another time."""
    told = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"], cwd=house, check=True, text=True,
        capture_output=True, timeout=60,
    )  # fmt: skip
    names = [one for one in told.stdout.splitlines() if not one.startswith(("tests/", "docs/pic"))]
    file = io.BytesIO()
    with tarfile.open(fileobj=file, mode="w") as archive:
        for name in sorted(names, reverse=backwards):
            if not (house / name).is_file():
                continue
            entry = archive.gettarinfo(house / name, name)
            entry.mtime, entry.mode = modified_s, 0o600 if backwards else 0o664
            with (house / name).open("rb") as content:
                archive.addfile(entry, content)
    return file.getvalue()


def test_two_builds_are_the_same_and_hold_the_whole_program(house, builders, tmp_path, monkeypatch):
    release, licences = builders
    first, second = tmp_path / "first", tmp_path / "second"
    monkeypatch.setenv("TZ", "UTC")
    one = release.build(first, "1800000000", packed(house, backwards=False, modified_s=1))
    monkeypatch.setenv("TZ", "Asia/Kolkata")
    before = os.umask(0o077)
    try:
        source = packed(house, backwards=True, modified_s=1_700_000_000)
        two = release.build(second, "1800000000", source)
    finally:
        os.umask(before)
    assert release.differing(one, two) == []
    assert len(one) == 2
    (wheel,) = first.glob("*.whl")
    (sdist,) = first.glob("*.tar.gz")
    whole = set(zipfile.ZipFile(wheel).namelist())
    ours = [path for path in (house / "src").rglob("*") if path.is_file()]
    ours = [path for path in ours if "__pycache__" not in path.parts]
    assert {str(path.relative_to(house / "src")) for path in ours} <= whole
    texts = {name.partition("/licenses/")[2] for name in whole if "/licenses/" in name}
    assert texts == licences.declared()
    with tarfile.open(sdist) as archive:
        assert {entry.mtime for entry in archive} == {1_800_000_000}


def test_another_byte_is_noticed(builders):
    release, _ = builders
    assert release.differing({"a": "1", "b": "2"}, {"a": "1", "b": "3", "c": "4"}) == ["b", "c"]


def test_one_step_makes_the_source_ready(builders, tmp_path):
    release, _ = builders
    version, changes = tmp_path / "v.py", tmp_path / "c.md"
    version.write_text('"""It."""\n__version__ = "4.5.0.dev0"\n', encoding="utf-8")
    changes.write_text("# C\n\n## 4.5.0 (unreleased)\n\n- x\n\n## 4.4.0\n", encoding="utf-8")
    release.make_ready("4.5.0", "2031-04-05", version, changes)
    assert version.read_text(encoding="utf-8").endswith('__version__ = "4.5.0"\n')
    assert "## 4.5.0 (2031-04-05)\n\n- x\n" in changes.read_text(encoding="utf-8")
    with pytest.raises(SystemExit, match=r"no section headed “## 4.5.0 \(unreleased\)”"):
        release.make_ready("4.5.0", "2031-04-05", version, changes)


def test_this_source_can_be_made_ready(house, builders, tmp_path):
    release, _ = builders
    version, changes = tmp_path / "v.py", tmp_path / "c.md"
    version.write_bytes((house / "src/tapewright/__init__.py").read_bytes())
    changes.write_bytes((house / "CHANGELOG.md").read_bytes())
    if "(unreleased)" in changes.read_text(encoding="utf-8"):
        release.make_ready("0.2.0", "2031-04-05", version, changes)
        assert '"0.2.0"' in version.read_text(encoding="utf-8")


def test_whatever_lies_in_the_package_from_elsewhere_has_its_licence_beside_it(house, builders):
    """Fonts, and scripts that others wrote: nothing else in the package is not ours."""
    _, licences = builders
    fonts = house / "src/tapewright/drawing/fonts"
    vendor = house / "src/tapewright/faces/web/static/vendor"
    for folder, wanted in ((fonts, {"DejaVu"}), (vendor, {"htmx", "uqr"})):
        foreign = {one.name for one in folder.iterdir() if one.suffix in {".ttf", ".js", ".mjs"}}
        names = {name.removeprefix("LICENSE-").removesuffix(".txt") for name in
                 (one.name for one in folder.glob("LICENSE-*.txt"))}  # fmt: skip
        assert names == wanted
        for name in foreign:
            own = name.startswith(("Tapewright", *wanted))
            assert own, f"{name}: whose licence is it under?"
    minified = [path for path in (house / "src").rglob("*.js") if ".min." in path.name]
    assert [path.parent for path in minified] == [vendor]
    declared = licences.declared()
    assert {one.partition("LICENSE-")[2] for one in declared} == {
        "", "DejaVu.txt", "htmx.txt", "uqr.txt",
    }  # fmt: skip
    for text in declared:
        assert (house / text).stat().st_size > 400


def test_every_package_that_is_packed_has_the_text_of_its_licence(house, builders):
    _, licences = builders
    names = licences.packed_names()
    assert {"numpy", "scipy", "reportlab", "ezdxf", "matplotlib", "pi-heif"} <= set(names)
    assert not {"psycopg", "distributed", "pytest"} & set(names)
    text = licences.page()  # ends the test where a package has none
    assert (house / "docs" / "program-parts.md").read_text(encoding="utf-8") == text, (
        "python builders/build_licences.py writes it anew"
    )


def test_the_packer_is_locked_and_its_loader_s_licence_is_told(house):
    lock = (house / "builders/program/packer.lock").read_text(encoding="utf-8")
    assert "pyinstaller==" in lock
    assert "://" not in lock
    assert lock.count("--hash=sha256:") > 10
    page = (house / "docs/program-parts.md").read_text(encoding="utf-8")
    assert "loader, PyInstaller's, under the GNU General\nPublic License with an exception" in page
    with (house / "pyproject.toml").open("rb") as file:
        assert tomllib.load(file)["project"]["license"] == "MIT"
