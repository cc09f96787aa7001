#!/bin/sh
# columns.sh: no line of C is over 80 columns, no tab, no trailing space.
cd "$(dirname "$0")/../.." || exit 1
perl -CSD -ne '
    chomp;
    if (length > 80) { print "$ARGV:$.: over 80 columns\n"; $bad = 1 }
    if (/\t/)        { print "$ARGV:$.: a tab\n"; $bad = 1 }
    if (/ $/)        { print "$ARGV:$.: space at the end\n"; $bad = 1 }
    close ARGV if eof;
    END { exit($bad // 0) }' src/*/*.[ch] tests/unit/*.[ch]
