"""Wheels: invented packages, and locks that name them.

Holds:  the few files that make a wheel; its line in a lock.
Never:  a package that exists.
"""

import hashlib
import zipfile


def write_wheel(folder, name, version, needs=(), code="", scripts=""):
    """An installable wheel in a folder; ``needs`` are lines of its metadata."""
    folder.mkdir(parents=True, exist_ok=True)
    card = f"{name}-{version}.dist-info"
    files = {
        f"{name}/__init__.py": code,
        f"{card}/METADATA": "\n".join(
            ["Metadata-Version: 2.1", f"Name: {name}", f"Version: {version}", *needs, ""]
        ),
        f"{card}/WHEEL": "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
        f"{card}/entry_points.txt": scripts,
    }
    record = f"{card}/RECORD"
    files[record] = "".join(f"{one},,\n" for one in [*files, record])
    path = folder / f"{name}-{version}-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as packed:
        for place, text in files.items():
            packed.writestr(place, text)
    return path


def lock_line(wheel):
    """Line of a lock: this wheel and no other."""
    name, version, _ = wheel.name.split("-", 2)
    return f"{name}=={version} --hash=sha256:{hashlib.sha256(wheel.read_bytes()).hexdigest()}\n"


def write_index(folder, wheels):
    """Folder that pip reads as an index of these wheels; its address."""
    for wheel in wheels:
        page = folder / wheel.name.partition("-")[0] / "index.html"
        page.parent.mkdir(parents=True, exist_ok=True)
        before = page.read_text(encoding="utf-8") if page.exists() else "<!DOCTYPE html>\n"
        page.write_text(f'{before}<a href="{wheel.as_uri()}">{wheel.name}</a>\n', encoding="utf-8")
    return folder.as_uri()
