# Sourced by run, test and bench: makes .venv from lock files, and skips what is up to date.
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

pip_here() { python3 -m pip --python .venv/bin/python "$@"; }

# add LOCK …: install just what the locks say, no dependency of a dependency, and this project.
add() {
    [ -x .venv/bin/python ] || python3 -m venv --without-pip .venv || return
    for lock; do set -- "$@" -r "$lock"; shift; done
    pip_here install --quiet --disable-pip-version-check --no-input --no-deps --require-hashes "$@" &&
        pip_here install --quiet --disable-pip-version-check --no-input --no-deps --no-build-isolation -e .
}

# ready LOCK …: .venv holds what the locks say, those of earlier calls too, and this project.
ready() {
    python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' || {
        say "Python 3.11 or newer is needed; this is $(python3 --version)."
        exit 1
    }
    mkdir -p .venv
    ( # one at a time: two that are started together must not write into one folder
        ! command -v flock >/dev/null || flock -w 900 9 || {
            say "Another run has been setting up .venv for a quarter of an hour. Stop it and start again."
            exit 1
        }
        fill "$@"
    ) 9>.venv/.one-at-a-time || exit 1
}

fill() {
    want="$(cat locks/*.lock pyproject.toml | cksum) $(python3 --version) $(pwd)"
    for stamp in .venv/ready-*.lock; do
        [ ! -f "locks/${stamp#.venv/ready-}" ] || set -- "$@" "locks/${stamp#.venv/ready-}"
    done
    behind=
    for lock; do [ "$(cat ".venv/ready-${lock#locks/}" 2>/dev/null)" = "$want" ] || behind=yes; done
    [ -n "$behind" ] || return 0
    find_pip
    say "Setting up .venv (once; about half a minute) …"
    add "$@" || {
        say "Setting up stopped: pip says above why. Start it again when that is mended."
        return 1
    }
    pip_here check >.venv/check 2>&1 || {
        cat .venv/check >&2
        say "The packages in .venv do not fit together: see above. Remove the folder .venv and start again."
        say "If it says so again, the locks are wrong: builders/lock.sh writes them anew."
        return 1
    }
    for lock; do printf '%s' "$want" > ".venv/ready-${lock#locks/}"; done
}
