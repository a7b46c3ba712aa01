# Sourced by test: programs that are no Python packages, needed by some tests only.

need() { # need PROGRAM DEBIAN-PACKAGE
    command -v "$1" >/dev/null && return
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        say "Installing $2 …"
        apt-get update -qq >/dev/null && apt-get install -y -qq --no-install-recommends "$2" >/dev/null
    fi
    command -v "$1" >/dev/null && return
    say "SKIPPED: tests that need $1. Install it with: sudo apt-get install $2"
    [ -z "${CI:-}" ] || exit 1
}

need pdftocairo poppler-utils
need chromium chromium
