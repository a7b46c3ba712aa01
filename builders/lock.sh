#!/bin/sh
# Rewrite the lock files: exact versions with hashes, no addresses.
#
#   builders/lock.sh                        adds what pyproject.toml newly asks for; nothing else moves
#   builders/lock.sh --upgrade-package NAME one package to its newest; --upgrade: all of them
#
# locks/dev.lock is worked out first, from itself as it stands; the others take their versions from it.
# Needs uv, which is a developer's convenience; nothing else in the project does.
set -eu
cd "$(dirname "$0")/.."
extras=$(sed -n '/^\[project.optional-dependencies\]/,/^$/s/^\([a-z]*\) =.*/\1/p' pyproject.toml)
build=$(mktemp)
trap 'rm -f "$build"' EXIT
printf 'hatchling\neditables\n' > "$build"

lock() { # lock OUT MORE …: from the project's own needs and more
    out=$1
    shift
    uv pip compile pyproject.toml --quiet --universal --python-version 3.11 --generate-hashes \
        --no-header --no-annotate --no-emit-index-url --no-emit-find-links "$@" -o "$out" >/dev/null
    ! grep -nE 'https?://|--(index|find)' "$out"
}

all=$(for extra in $extras; do printf ' --extra %s' "$extra"; done)
lock locks/dev.lock "$build" $all --group dev "$@"
rm -f locks/run.lock locks/with-*.lock
lock locks/run.lock "$build" -c locks/dev.lock
# What packs the program without Python, and nothing else: see builders/build_program.py.
printf 'pyinstaller>=6.22,<7\n' | uv pip compile - --quiet --universal --python-version 3.11 --generate-hashes \
    --no-header --no-annotate --no-emit-index-url --no-emit-find-links -c locks/dev.lock -o builders/program/packer.lock >/dev/null
for extra in $extras; do
    lock "locks/with-$extra.lock" -c locks/dev.lock --extra "$extra"
    # What run.lock holds, in the same words, need not stand there again.
    awk 'NR == FNR { if (/^[^ ]/) known[$0]; next } /^[^ ]/ { more = !($0 in known) } more' \
        locks/run.lock "locks/with-$extra.lock" > "$build"
    cp "$build" "locks/with-$extra.lock"
done
