#!/bin/sh
# The page's tests drive a Chromium. Takes the one that is here; gets the distribution's where this may
# be done, else the one that the test driver knows.
set -eu
for name in chromium chromium-browser google-chrome google-chrome-stable; do
    command -v "$name" >/dev/null && exit 0
done
[ -d "/Applications/Google Chrome.app" ] && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    apt-get update -q >/dev/null
    DEBIAN_FRONTEND=noninteractive apt-get install -qy --no-install-recommends \
        chromium fonts-dejavu-core >/dev/null
    command -v chromium >/dev/null && exit 0
fi
"${VENV:-.venv}/bin/playwright" install chromium || {
    echo "The page's tests need Chromium; on Debian: apt-get install chromium" >&2
    exit 1
}
