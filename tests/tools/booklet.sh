#!/bin/bash
# booklet.sh: presses each demo in both editions and lets readers that are
# not ours judge: qpdf, pdffonts, pdfinfo, pdftotext; then spoils copies of
# a booklet, each in one way, and proof must find every one.
# Prints "N passed, M failed".
cd "$(dirname "$0")/../.." || exit 1
ROD=$(realpath "${ROD:-build/rodbook}")
HERE=$PWD
T=$(mktemp -d)
trap 'rm -rf "$T"' EXIT
passed=0
failed=0

ok() {   # ok NAME COMMAND...: the command must succeed
    local name=$1
    shift
    if "$@" >"$T/log" 2>&1; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED: $name"
        tail -5 "$T/log"
    fi
}

finds() {   # finds NAME PDF DESIGN: proof must exit with 1
    "$ROD" proof "$2" "$3" >"$T/found" 2>&1
    ok "proof finds: $1" test $? -eq 1
}

fonts_are_embedded() {   # emb, sub and uni say yes for every font
    pdffonts "$1" 2>"$T/warn" | tail -n +3 \
        | grep -vqE ' yes +yes +yes +[0-9]+ +[0-9]+ *$' && return 1
    test ! -s "$T/warn" && test "$(pdffonts "$1" | wc -l)" -gt 2
}

page_size() { pdfinfo -f 1 -l 999 "$1" | grep '^Page.*size' \
                  | sed 's/^Page *[0-9]* size: *//' | sort -u; }

has_numbers() {   # pdftotext must read the sizes that list gives
    pdftotext -layout "$1" - | grep -qF "$2"
}

spoil_digit() {   # IN OUT K: the K-th digit 4 of a text becomes a 7
    qpdf --qdf --object-streams=disable "$1" "$T/qdf.pdf" || return 1
    LC_ALL=C awk -v k="$3" '
        { line = $0; out = ""
          while (match(line, /<0034>/)) {
              n++
              out = out substr(line, 1, RSTART - 1) \
                    (n == k ? "<0037>" : "<0034>")
              line = substr(line, RSTART + 6)
          }
          print out line }' "$T/qdf.pdf" >"$2"
}

scale_page() {   # IN OUT: the last template is printed half a percent large
    qpdf --qdf --object-streams=disable "$1" "$T/qdf.pdf" || return 1
    LC_ALL=C awk '{ print }
        /^stream/ && !done && seen { print "1.005 0 0 1.005 0 0 cm"; done = 1 }
        /%% Contents for page '"$3"'/ { seen = 1 }' "$T/qdf.pdf" >"$2"
}

for dir in plans-demo/*/; do
    name=$(basename "$dir")
    design=$dir$name.json
    for edition in "letter inch 612 x 792" "a4 mm 595.276 x 841.89"; do
        set -- $edition
        pdf=$T/$name.$1-$2.pdf
        ok "press $name $1 $2" "$ROD" press "$design" -o "$pdf" \
            --paper "$1" --units "$2"
        ok "$name $1: qpdf --check" qpdf --check "$pdf"
        ok "$name $1: fonts embedded, subset, with Unicode" \
            fonts_are_embedded "$pdf"
        ok "$name $1: page size" grep -q "^$3 x $5 pts" <(page_size "$pdf")
        ok "$name $1: all pages one size" \
            test "$(page_size "$pdf" | wc -l)" = 1
        ok "$name $1: no scaling asked for" \
            grep -aq '/PrintScaling /None' "$pdf"
        ok "$name $1: proof agrees" "$ROD" proof "$pdf" "$design"
        (cd / && LC_ALL=C TZ=Asia/Tokyo "$ROD" press "$HERE/$design" \
            -o "$T/again.pdf" --paper "$1" --units "$2")
        ok "$name $1: the same bytes again" cmp "$pdf" "$T/again.pdf"
    done
done

# One change each, in the puppet theater's booklet.
design=plans-demo/puppet-theater/puppet-theater.json
pdf=$T/puppet-theater.letter-inch.pdf
ok "text is readable by others" has_numbers "$pdf" "Puppet theater"
qpdf --qdf --object-streams=disable "$pdf" "$T/qdf.pdf"
fours=$(grep -ao '<0034>' "$T/qdf.pdf" | wc -l)
for k in 1 $((fours / 5)) $((fours / 3)) $((fours / 2)) \
         $((fours * 3 / 4)) $fours; do
    spoil_digit "$pdf" "$T/spoiled.pdf" $k
    finds "digit $k of $fours changed" "$T/spoiled.pdf" "$design"
done
qpdf "$pdf" --pages . 1-8,10-z -- "$T/short.pdf"
finds "a page dropped" "$T/short.pdf" "$design"
qpdf "$pdf" --pages . 1-5,5-z -- "$T/long.pdf"
finds "a page too many" "$T/long.pdf" "$design"
pages=$(pdfinfo "$pdf" | sed -n 's/^Pages: *//p')
scale_page "$pdf" "$T/scaled.pdf" $((pages - 1))
finds "a template half a percent large" "$T/scaled.pdf" "$design"

# A thicker board: all that depends on it follows, the old booklet is wrong.
sed 's|"is": "1/2in", "note": "thickness after|"is": "9/16in", "note": "thickness after|' \
    "$design" >"$T/thick.json"
ok "the design was changed" test "$(cmp "$design" "$T/thick.json" | wc -l)" = 1
ok "a thicker board presses" "$ROD" press "$T/thick.json" -o "$T/thick.pdf"
ok "its booklet agrees with it" "$ROD" proof "$T/thick.pdf" "$T/thick.json"
finds "the old booklet, after the change" "$pdf" "$T/thick.json"
for key in thickness_mm length_mm; do
    "$ROD" list "$design" --as csv >"$T/old.csv"
    "$ROD" list "$T/thick.json" --as csv >"$T/new.csv"
done
ok "sizes of most parts changed" test "$(diff "$T/old.csv" "$T/new.csv" \
    | grep -c '^>')" -ge 12

echo "booklet: $passed passed, $failed failed"
test $failed = 0
