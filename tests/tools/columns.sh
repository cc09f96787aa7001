#!/bin/sh
# columns.sh: no line of C is over 80 columns, no tab, no trailing space.
cd "$(dirname "$0")/../.." || exit 1
LC_ALL=C.UTF-8 awk '
    length($0) > 80 { print FILENAME ":" FNR ": over 80 columns"; bad = 1 }
    /\t/            { print FILENAME ":" FNR ": a tab"; bad = 1 }
    / $/            { print FILENAME ":" FNR ": space at the end"; bad = 1 }
    END { exit bad }' src/*/*.[ch] tests/unit/*.[ch]
