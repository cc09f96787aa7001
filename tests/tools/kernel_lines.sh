#!/bin/bash
# kernel_lines.sh LEAST SCENE...: hidden lines of scenes (numbers of prisms,
# or designs) against an outside geometry kernel, which must draw the same
# ink and be LEAST times slower. Skipped where Debian's
# libocct-modeling-algorithms-dev is not installed.
set -euo pipefail
cd "$(dirname "$0")/../.."
B=${B:-build}
least=$1
shift
if [ ! -e /usr/include/opencascade/HLRBRep_Algo.hxx ]; then
    echo "hidden lines beside a kernel: skipped," \
        "libocct-modeling-algorithms-dev is not installed"
    exit 0
fi
if [ ! -x "$B/kernel_lines" ] ||
    [ tests/kernel/lines.cpp -nt "$B/kernel_lines" ]; then
    g++ -std=c++17 -O1 -w -I/usr/include/opencascade -o "$B/kernel_lines" \
        tests/kernel/lines.cpp -lTKHLR -lTKPrim -lTKTopAlgo -lTKBRep \
        -lTKGeomAlgo -lTKGeomBase -lTKG3d -lTKMath -lTKernel
fi
"$B/kernel_scenes" "$@" >"$B/kernel_scenes.txt"
"$B/kernel_lines" "$least" <"$B/kernel_scenes.txt"
