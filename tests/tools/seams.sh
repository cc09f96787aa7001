#!/bin/bash
# seams.sh [short]: presses the demo with templates in both editions, prints its template
# sheets at 300 dpi, joins them by their marks and measures (seams.py); the
# same of starters, of strips in pieces, and of templates on a roll. Short: one
# demo and the strips in one edition, and a roll.
cd "$(dirname "$0")/../.." || exit 1
ROD=${ROD:-build/rodbook}
OUTLINES=${OUTLINES:-build/outlines}
T=$(mktemp -d)
trap 'rm -rf "$T"' EXIT
failed=0
demo=plans-demo/puppet-theater/puppet-theater.json
stool=templates/stool.json
strips=tests/machine/strips.json

# measure PDF DESIGN PAPER
measure() {
    python3 tests/tools/seams.py "$OUTLINES" "$@" || failed=$((failed + 1))
}

# booklet DESIGN PAPER UNITS
booklet() {
    "$ROD" press "$1" -o "$T/book.pdf" --paper "$2" --units "$3" &&
        measure "$T/book.pdf" "$1" "$2"
}

# roll DESIGN WIDTH_IN WIDTH_MM
roll() {
    "$ROD" draw "$1" templates --paper "roll$2" --units inch \
        -o "$T/roll.pdf" && measure "$T/roll.pdf" "$1" "$3"
    pages=$(pdfinfo "$T/roll.pdf" | sed -n 's/^Pages: *//p')
    width=$(pdfinfo "$T/roll.pdf" | sed -n 's/^Page size: *\([0-9.]*\).*/\1/p')
    if [ "$pages" != 1 ] || [ "$width" != $(($2 * 72)) ]; then
        echo "a roll of $2 in: $pages pages, $width pt wide"
        failed=$((failed + 1))
    fi
}

if [ "$1" = short ]; then
    booklet $demo letter inch
    booklet $strips letter inch
    roll $stool 24 609.6
else
    booklet $demo letter inch
    booklet $demo a4 mm
    for starter in stool planter shelter tub; do
        booklet templates/$starter.json letter inch
        booklet templates/$starter.json a4 mm
    done
    booklet $strips letter inch
    booklet $strips a4 mm
    roll $demo 24 609.6
    roll $demo 36 914.4
    roll $stool 24 609.6
fi
# A sheet that is printed one per cent large must be found.
"$ROD" press $stool -o "$T/book.pdf" --paper letter --units inch \
    --printer 1.01,1 || failed=$((failed + 1))
if python3 tests/tools/seams.py "$OUTLINES" "$T/book.pdf" $stool letter \
    >/dev/null; then
    echo "a wrong scale was not found"
    failed=$((failed + 1))
fi
echo "seams: $failed failed"
test $failed = 0
