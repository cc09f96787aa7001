#!/bin/sh
# spoiled.sh: demo and starters with a nail or screw that is too long; each
# must be caught, and the message must say how much wood there is.
cd "$(dirname "$0")/../.." || exit 1
ROD=${ROD:-build/rodbook}
TMP=$(mktemp -d) || exit 1
trap 'rm -rf "$TMP"' EXIT
passed=0
failed=0

# spoil FILE HARDWARE LENGTH TOO-LONG WOOD: that hardware is made longer.
spoil() {
    sed "/\"$2\": *{/s|\"length\": \"$3\"|\"length\": \"$4\"|" "$1" \
        >"$TMP/design.json"
    if cmp -s "$1" "$TMP/design.json"; then
        echo "spoiled: $1 has no $2 of $3"
        failed=$((failed + 1))
        return
    fi
    "$ROD" check "$TMP/design.json" >"$TMP/out" 2>&1
    if grep -q "there is $5 of wood for its $4.*\[fastener-through\]" \
        "$TMP/out"; then
        passed=$((passed + 1))
    else
        echo "spoiled: $1: a $2 of $4 was not caught"
        head -3 "$TMP/out"
        failed=$((failed + 1))
    fi
}

THEATER=plans-demo/puppet-theater/puppet-theater.json
# a quarter of an inch longer
spoil $THEATER pin 1/2in "3/4 in" "21/32 in"
spoil $THEATER "long pin" 3/4in "1 in" "1 in"
spoil $THEATER brad "1 1/4in" "1 1/2 in" "1 15/32 in"
spoil $THEATER "pocket screw" 1in "1 1/4 in" "1 1/16 in"
spoil templates/planter.json screw "1 1/4in" "1 1/2 in" "1 1/2 in"
# a quarter of an inch, or a little more, past the longest that fits
spoil templates/planter.json nail "1 1/2in" "12 in" "11 3/4 in"
spoil templates/tub.json nail "1 1/2in" "6 in" "5 11/16 in"
spoil templates/bench.json screw "2 1/2in" "3 1/4 in" "3 in"
spoil templates/box.json screw "3 [*] t" "2 1/4 in" "2 in"
spoil templates/slats.json "long screw" "2 1/2in" "3 1/4 in" "3 in"
spoil templates/stool.json screw "1 1/2in" "9 in" "8 in"
spoil templates/shelter.json screw "1 5/8in" "10 1/2 in" "10 1/4 in"

echo "spoiled: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
