#!/bin/sh
# headers.sh: every header compiles alone, under gcc and clang.
cd "$(dirname "$0")/../.." || exit 1
bad=0
for h in src/*/*.h; do
    case $h in *banned.h) ;; esac
    for cc in gcc clang; do
        command -v $cc >/dev/null || continue
        # Included, not compiled: inline functions may go unused.
        echo "#include \"${h#src/}\"" |
            $cc -std=c11 -D_GNU_SOURCE -Wall -Wextra -Isrc -fsyntax-only \
                -x c - 2>/tmp/headers.$$ || bad=1
        cat /tmp/headers.$$
    done
done
rm -f /tmp/headers.$$
exit $bad
