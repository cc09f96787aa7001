#!/bin/bash
# Parts and overlaps against an outside geometry kernel; skipped where
# Debian's libocct-modeling-algorithms-dev is not installed.
set -euo pipefail
cd "$(dirname "$0")/../.."
B=${B:-build}
if [ ! -d /usr/include/opencascade ]; then
    echo "kernel: skipped, libocct-modeling-algorithms-dev is not installed"
    exit 0
fi
if [ ! -x "$B/kernel" ] || [ tests/kernel/kernel.cpp -nt "$B/kernel" ]; then
    g++ -std=c++17 -O1 -w -I/usr/include/opencascade -o "$B/kernel" \
        tests/kernel/kernel.cpp -lTKPrim -lTKBO -lTKBool -lTKTopAlgo \
        -lTKBRep -lTKGeomAlgo -lTKGeomBase -lTKG3d -lTKMath -lTKernel
fi
"$B/kernel_parts" > "$B/kernel_parts.txt"
"$B/kernel" < "$B/kernel_parts.txt"
