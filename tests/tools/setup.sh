#!/bin/sh
# setup.sh PACKAGE...: installs the Debian packages that are missing. Where
# there is no apt-get, or no way to become root, prints the list and stops.
missing=""
if ! command -v dpkg-query >/dev/null 2>&1; then
    echo "Rodbook needs these Debian packages (or their like):"
    printf '  %s\n' "$@"
    for tool in gcc pdfinfo qpdf; do
        command -v $tool >/dev/null 2>&1 || exit 1
    done
    exit 0
fi
for p in "$@"; do
    state=$(dpkg-query -W -f '${db:Status-Status}' "$p" 2>/dev/null)
    [ "$state" = installed ] || missing="$missing $p"
done
[ -z "$missing" ] && exit 0
if [ "$(id -u)" = 0 ]; then
    sudo=""
elif command -v sudo >/dev/null 2>&1; then
    sudo=sudo
else
    echo "install these packages as root, then run make again:"
    echo " $missing"
    exit 1
fi
echo "installing:$missing"
$sudo apt-get update -qq &&
    $sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq \
        --no-install-recommends $missing >/dev/null
