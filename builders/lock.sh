#!/bin/sh
# Rewrite the two lock files: exact versions with hashes, no addresses.
# Needs uv, which is a developer's convenience; nothing else in the project does.
set -eu
cd "$(dirname "$0")/.."
lock() {
    out=$1
    shift
    uv pip compile pyproject.toml --quiet --universal --python-version 3.11 --generate-hashes \
        --no-header --no-annotate --no-emit-index-url --no-emit-find-links "$@" -o "$out" >/dev/null
    ! grep -nE 'https?://|--(index|find)' "$out"
}
printf 'hatchling\neditables\n' > locks/build.in
lock locks/run.lock locks/build.in --extra engrave --extra pictures --extra photo --extra shop --extra cluster
lock locks/dev.lock locks/build.in --extra engrave --extra pictures --extra photo --extra shop --extra cluster --group dev
rm locks/build.in
