# Sourced by test: programs that are no Python packages, needed by some tests only.

there() { # PostgreSQL's own programs stand outside the PATH
    command -v "$1" >/dev/null || ls /usr/lib/postgresql/*/bin/"$1" >/dev/null 2>&1
}

need() { # need PROGRAM DEBIAN-PACKAGE
    there "$1" && return
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        say "Installing $2 …"
        apt-get update -qq >/dev/null && apt-get install -y -qq --no-install-recommends "$2" >/dev/null
    fi
    there "$1" && return
    say "SKIPPED: tests that need $1. Install it with: sudo apt-get install $2"
    [ -z "${CI:-}" ] || exit 1
}

need pdftocairo poppler-utils
need chromium chromium
need initdb postgresql
