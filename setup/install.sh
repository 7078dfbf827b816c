#!/bin/sh
# Usage: install.sh PYTHON VENV LOCK. Makes the environment from a hashed lock, then installs the
# project into it. uv does it in seconds; where uv cannot be had, pip does the same more slowly.
set -eu
python=$1 venv=$2 lock=$3

"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || {
    echo "Hillwright needs Python 3.11 or newer; '$python' is older. Try: make PYTHON=python3.12 ..." >&2
    exit 1
}
[ -x "$venv/bin/python" ] || "$python" -m venv "$venv" || {
    echo "Python cannot make an environment here; on Debian: apt-get install python3-venv" >&2
    exit 1
}
unset PYTHONDONTWRITEBYTECODE # without bytecode every start costs a second more
if "$venv/bin/python" -m pip install -q uv && "$venv/bin/uv" pip install -q --compile-bytecode \
    --python "$venv/bin/python" --require-hashes -r "$lock"; then
    # the page is built with Node: where there is none, a wheel brings it
    command -v npm >/dev/null || "$venv/bin/uv" pip install -q --python "$venv/bin/python" \
        --require-hashes -r requirements/node.txt
    "$venv/bin/uv" pip install -q --compile-bytecode --python "$venv/bin/python" \
        --no-deps --no-build-isolation -e .
else
    echo "uv is not to be had here; installing with pip" >&2
    "$venv/bin/python" -m pip install -q --require-hashes -r "$lock"
    command -v npm >/dev/null || "$venv/bin/python" -m pip install -q --require-hashes \
        -r requirements/node.txt
    "$venv/bin/python" -m pip install -q --no-deps --no-build-isolation -e .
fi
