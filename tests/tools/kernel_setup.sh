#!/bin/bash
# kernel_setup.sh: what `make kernel` needs, where apt-get can have it. One
# of the kernel's headers is packed with its viewer, which would bring some
# 90 MB of other packages: the header alone is taken out of that package.
set -euo pipefail
cd "$(dirname "$0")/../.."
B=${B:-build}
header=opencascade/NCollection_AliasedArray.hxx
packages="g++ libocct-modeling-algorithms-dev libocct-modeling-data-dev"

command -v apt-get >/dev/null || exit 1
tests/tools/setup.sh $packages
dpkg-query -W $packages >/dev/null
if [ -e /usr/include/$header ] || [ -e "$B/occt/usr/include/$header" ]; then
    exit 0
fi
mkdir -p "$B/occt"
cd "$B/occt"
apt-get download -qq libocct-visualization-dev >/dev/null
dpkg-deb -x libocct-visualization-dev_*.deb .
test -e usr/include/$header
