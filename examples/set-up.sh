# shellcheck shell=bash
# Sourced by examples/run and tests/run, from the folder that holds both: the virtual environment in .venv with the library
# in it, and packages of the system where one is missing.

set -euo pipefail

say() { printf '%s\n' "$*" >&2; }

stop() {
    say "$@"
    exit 1
}

# The first Python of at least 3.11 here that can make virtual environments.
find_python() {
    local name
    for name in python3 python3.14 python3.13 python3.12 python3.11; do
        if "$name" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            command -v "$name"
            return
        fi
    done
    return 1
}

is_debian() { command -v apt-get >/dev/null && [ -r /etc/os-release ]; }

as_root() {
    if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi
}

# apt_install [OPTION ...] PACKAGE ...: says what it does, then does it.
apt_install() {
    say "Installing system-wide, with apt-get: $*"
    [ "$(id -u)" = 0 ] || command -v sudo >/dev/null || stop "That takes root: run this as root, or install sudo or the packages."
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "$@" >&2
}

apt_update() {
    say "Reading the system's package lists (apt-get update)"
    as_root apt-get update >&2 || say "Some package lists could not be read; going on with the others."
}

# make_environment [EXTRA]: the library in .venv, with one of its sets of extras; nothing is done when it is there already.
make_environment() {
    local extra=${1:-} made=.venv/made-with-${1:-library} python here
    if ! find_python >/dev/null && is_debian; then
        apt_update
        apt_install python3 python3-venv
    fi
    python=$(find_python) || stop "Python 3.11 or later with its venv module is needed: install it, then run this again."
    here="$PWD $("$python" --version) $(cksum <pyproject.toml)"
    [ "$(cat "$made" 2>/dev/null)" != "$here" ] || return 0
    say "Installing the library${extra:+ with its extra \"$extra\"} and what it needs into the virtual environment .venv"
    # One made by this script for another folder, Python or library is made anew; one made by hand is kept.
    if [ ! -d .venv ] || { compgen -G '.venv/made-with-*' >/dev/null && ! grep -qxF "$here" .venv/made-with-*; }; then
        "$python" -m venv --clear .venv
    fi
    .venv/bin/python -m pip install --quiet --disable-pip-version-check --editable ".${extra:+[$extra]}"
    printf '%s\n' "$here" | tee .venv/made-with-library >"$made"
}
