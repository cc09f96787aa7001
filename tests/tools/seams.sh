#!/bin/bash
# seams.sh: presses each demo in both editions, prints its template sheets
# at 300 dpi, joins them by their marks and measures (seams.py).
cd "$(dirname "$0")/../.." || exit 1
ROD=${ROD:-build/rodbook}
OUTLINES=${OUTLINES:-build/outlines}
T=$(mktemp -d)
trap 'rm -rf "$T"' EXIT
failed=0
for dir in plans-demo/*/; do
    design=$dir$(basename "$dir").json
    for edition in "letter inch" "a4 mm"; do
        set -- $edition
        "$ROD" press "$design" -o "$T/book.pdf" --paper "$1" --units "$2" \
            && python3 tests/tools/seams.py "$OUTLINES" "$T/book.pdf" \
                "$design" "$1" || failed=$((failed + 1))
    done
done
# A sheet that is printed one per cent large must be found.
design=plans-demo/puppet-theater/puppet-theater.json
"$ROD" press "$design" -o "$T/book.pdf" --paper letter --units inch \
    --printer 1.01,1 || failed=$((failed + 1))
if python3 tests/tools/seams.py "$OUTLINES" "$T/book.pdf" "$design" letter \
    >/dev/null; then
    echo "a wrong scale was not found"
    failed=$((failed + 1))
fi
echo "seams: $failed failed"
test $failed = 0
