#!/bin/bash
# golden.sh: every stage of the small designs in tests/golden/ against the
# text that was recorded; `golden.sh bless` records it anew (then read the
# difference before you commit it). Those that templates/ holds as starters
# must be the same text, too. The sampler has every construct of the language;
# it is pressed in both editions and proofed.
# Prints "N passed, M failed".
cd "$(dirname "$0")/../.." || exit 1
ROD=$(realpath "${ROD:-build/rodbook}")
T=$(mktemp -d)
trap 'rm -rf "$T"' EXIT
passed=0
failed=0

verdict() {   # verdict NAME STATUS: shows the log of what failed
    if [ "$2" = 0 ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED: $1"
        head -12 "$T/log"
    fi
}

dump() {   # dump DESIGN STAGE: no message may be made
    "$ROD" press "$1" --dump="$2" >"$T/out" 2>"$T/log" && [ ! -s "$T/log" ]
}

for dir in tests/golden/*; do
    name=$(basename "$dir")
    if [ -e "templates/$name.json" ]; then
        if [ "$1" = bless ]; then
            cp "templates/$name.json" "$dir/design.json" || exit 1
        fi
        cmp "templates/$name.json" "$dir/design.json" >"$T/log" 2>&1
        verdict "$name: the starter in templates/ differs" $?
    fi
    stages="sizes model plan booklet"
    [ "$name" != sampler ] || stages="sizes model plan"   # its pages are long
    for stage in $stages; do
        dump "$dir/design.json" $stage
        verdict "$name: --dump=$stage makes messages" $?
        if [ "$1" = bless ]; then
            cp "$T/out" "$dir/$stage.txt"
        fi
        diff -u "$dir/$stage.txt" "$T/out" >"$T/log" 2>&1
        verdict "$name: $stage.txt" $?
    done
done

for edition in "letter inch" "a4 mm"; do
    set -- $edition
    "$ROD" press tests/golden/sampler/design.json -o "$T/s.pdf" --paper $1 \
        --units $2 2>"$T/log" >/dev/null &&
        [ ! -s "$T/log" ] &&
        "$ROD" proof "$T/s.pdf" tests/golden/sampler/design.json \
            >"$T/log" 2>&1
    verdict "sampler: pressed and proofed, $edition" $?
done

echo "golden: $passed passed, $failed failed"
[ $failed = 0 ] && [ $passed -gt 0 ]
