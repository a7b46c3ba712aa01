# Sourced by run, test and bench: makes .venv from a lock file, and skips what is up to date.
# A bare Debian has neither ensurepip nor permission to install outside a virtual environment:
# the environment is made without pip, and the system's pip installs into it.

say() { printf '%s\n' "$*" >&2; }

have_pip() { python3 -m pip --version >/dev/null 2>&1; }

find_pip() {
    have_pip && return
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        say "Installing python3-pip …"
        apt-get update -qq >/dev/null && apt-get install -y -qq --no-install-recommends python3-pip >/dev/null
    fi
    have_pip && return
    say "pip is missing. Install it with: sudo apt-get install python3-pip"
    exit 1
}

# ready LOCK: .venv holds what LOCK says and this project.
ready() {
    python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' || {
        say "Python 3.11 or newer is needed; this is $(python3 --version)."
        exit 1
    }
    stamp=".venv/ready-$(basename "$1")"
    want="$(cat "$1" pyproject.toml | cksum) $(python3 --version) $(pwd)"
    [ "$(cat "$stamp" 2>/dev/null)" = "$want" ] && return
    find_pip
    say "Setting up .venv (once; about half a minute) …"
    [ -x .venv/bin/python ] || python3 -m venv --without-pip .venv
    python3 -m pip --python .venv/bin/python install --quiet --disable-pip-version-check \
        --no-deps --require-hashes -r "$1"
    python3 -m pip --python .venv/bin/python install --quiet --disable-pip-version-check \
        --no-deps --no-build-isolation -e .
    printf '%s' "$want" > "$stamp"
}
