#!/bin/sh
# wrong.sh: every message code has a case that trips it, and it alone.
#
#   tests/wrong/NAME.json    the smallest design with the mistake; where NAME
#                            is a code of src/base/diag.def, no other comes
#   tests/wrong/NAME.expect  the message lines of standard error (without the
#                            source and caret lines), then "exit STATUS"
#
# Each design is pressed onto an older out.pdf, which must stay as it was
# unless there are only warnings. What no design can cause (files, booklets
# under proof) has cases of its own below. `wrong.sh bless [NAME ...]` writes
# the .expect files anew: read what changed before you commit it.
cd "$(dirname "$0")/../.." || exit 1
LC_ALL=C
export LC_ALL
ROD=${ROD:-build/rodbook}
TMP=$(mktemp -d) || exit 1
trap 'rm -rf "$TMP"' EXIT
trap 'exit 1' HUP INT TERM
WRONG=tests/wrong
passed=0
failed=0
: >"$TMP/cases"

pass() { passed=$((passed + 1)); }

fail() {
    failed=$((failed + 1))
    echo "wrong: $*"
}

# codes FILE: the codes of its message lines, sorted, each once.
codes() { sed -n 's/.* \[\([a-z0-9-]*\)\]$/\1/p' "$1" | sort -u; }

# run COMMAND ...: leaves $status and $TMP/got. How many millimeters a page
# has left is the business of the layout, not of the message.
run() {
    "$@" >"$TMP/stdout" 2>"$TMP/stderr"
    status=$?
    { grep -av '^    ' "$TMP/stderr" |
        sed '/\[page-overfull\]$/s/only -*[0-9]* mm/only N mm/'
      echo "exit $status"; } >"$TMP/got"
}

older() {
    rm -rf "$TMP/out.pdf"
    echo "an older booklet" >"$TMP/out.pdf"
}

# Says what is amiss with the files after a run; nothing if all is well.
files_amiss() {
    [ -z "$(find "$TMP" -name '*.part')" ] || echo "a .part file is left"
    if [ "$status" = 0 ]; then
        [ "$(head -c 5 "$TMP/out.pdf")" = "%PDF-" ] ||
            echo "exit 0, but no booklet"
    else
        [ "$(cat "$TMP/out.pdf")" = "an older booklet" ] ||
            echo "the older out.pdf has changed"
    fi
}

# ---- Designs

first_difference() {
    diff "$1" "$2" | grep '^[<>]' | head -n 2 |
        sed 's/^</expected:/; s/^>/got:/' | tr '\n' ' '
}

design_amiss() {
    name=$1
    [ -f "$WRONG/$name.expect" ] || { echo "there is no $name.expect"; return; }
    cmp -s "$WRONG/$name.expect" "$TMP/got" ||
        first_difference "$WRONG/$name.expect" "$TMP/got"
    ! grep -qv '^Wrote .*out\.pdf, [0-9]* pages*\.$' "$TMP/stdout" ||
        echo "something else on standard output"
    ! grep -q '^ *\^\{61\}' "$TMP/stderr" || echo "more than 60 carets"
    files_amiss
    if grep -qx "$name" "$TMP/codes" &&
        [ "$(codes "$TMP/got")" != "$name" ]; then
        echo "trips" $(codes "$TMP/got")
    fi
}

design() {
    older
    run "$ROD" press "$WRONG/$1.json" -o "$TMP/out.pdf"
    echo "$1" >>"$TMP/cases"
    if [ -n "$bless" ]; then
        cp "$TMP/got" "$WRONG/$1.expect"
    fi
    amiss=$(design_amiss "$1")
    if [ -z "$amiss" ]; then pass; else fail "$1.json:" $amiss; fi
}

# ---- Cases of their own

# own CODE LINE STATUS COMMAND ...: standard error is this line alone.
own() {
    code=$1
    printf '%s [%s]\nexit %s\n' "$2" "$1" "$3" >"$TMP/want"
    shift 3
    run "$@"
    echo "$code" >>"$TMP/cases"
    amiss=$(first_difference "$TMP/want" "$TMP/got")
    [ -e "$TMP/out.pdf" ] && [ ! -d "$TMP/out.pdf" ] &&
        amiss="$amiss$(files_amiss)"
    if [ -z "$amiss" ]; then pass; else fail "$code: $amiss"; fi
}

# proof CODE BOOKLET DESIGN WORDS: proof finds this and nothing else. Where
# on the page it stands is the business of the layout.
proof() {
    run "$ROD" proof "$TMP/$2" "$TMP/$3"
    echo "$1" >>"$TMP/cases"
    if [ "$status" != 1 ]; then
        fail "$1: exit $status"
    elif [ "$(codes "$TMP/got")" != "$1" ]; then
        fail "$1: proof says" $(codes "$TMP/got")
    elif ! grep -q "$4" "$TMP/got"; then
        fail "$1: no message says $4"
    else
        pass
    fi
}

file_cases() {
    good=$TMP/good.json
    reads="check the path"
    writes="check that the folder exists and has room; an older file is unchanged"
    older
    own file-read "rodbook: error: cannot read $TMP/none.json: No such file or directory; $reads" \
        3 "$ROD" press "$TMP/none.json" -o "$TMP/out.pdf"
    own file-read "rodbook: error: cannot read $TMP: Is a directory; $reads" \
        3 "$ROD" press "$TMP" -o "$TMP/out.pdf"
    own file-read "rodbook: error: cannot read $good/x.json: Not a directory; $reads" \
        3 "$ROD" press "$good/x.json" -o "$TMP/out.pdf"
    own file-read "rodbook: error: cannot read $TMP/none.pdf: No such file or directory; $reads" \
        3 "$ROD" proof "$TMP/none.pdf" "$good"
    # Tests may run as root, who may write anywhere: but not into a file.
    own file-write "rodbook: error: cannot write $good/out.pdf: Not a directory; $writes" \
        3 "$ROD" press "$good" -o "$good/out.pdf"
    own file-write "rodbook: error: cannot write $TMP/none/out.pdf: No such file or directory; $writes" \
        3 "$ROD" press "$good" -o "$TMP/none/out.pdf"
    own file-write "rodbook: error: cannot write $TMP/none/out.csv: No such file or directory; $writes" \
        3 "$ROD" press "$good" -o "$TMP/out.pdf" --ledger "$TMP/none/out.csv"
    rm "$TMP/out.pdf"
    echo "mine" >"$TMP/kept.json"
    own file-exists "rodbook: error: kept.json is there already; choose another name, or move the older file away" \
        3 env -C "$TMP" "$(realpath "$ROD")" new kept --from stool
    mkdir "$TMP/out.pdf"
    own file-write "rodbook: error: cannot write $TMP/out.pdf: Is a directory; $writes" \
        3 "$ROD" press "$good" -o "$TMP/out.pdf"
    [ -z "$(find "$TMP" -name '*.part')" ] || fail "file-write: a .part file is left"
}

# good SIZE ABOUT PRICE: a small design with a template.
good() {
    cat <<EOF
{
  "rodbook": 1,
  "title": "Bench",
  "about": "A bench $2.",
  "stock": {"board": {"thickness": "3/4in", "width": "9 1/4in",
    "sold": [{"length": "8ft", "price": $3}]}},
  "parts": {"A": {"name": "Apron", "from": "board", "length": "$1", "width": "4in",
    "features": [{"arch": {"center": "length / 2", "width": "8in", "spring": "0in", "rise": "2in"}}]}},
  "pieces": [{"part": "A", "at": ["0in", "0in", "0in"]}]
}
EOF
}

# Every line and curve of the pages half a percent larger, the text not.
scale_lines() {
    qpdf --qdf --object-streams=disable "$1" "$TMP/flat.pdf" &&
        awk '/^[-.0-9 ]+ [mlc]$/ { for (i = 1; i < NF; i++) $i *= 1.005 }
             { print }' "$TMP/flat.pdf" >"$TMP/larger.pdf" &&
        fix-qdf "$TMP/larger.pdf" >"$2"
}

proof_cases() {
    good 12in "to sit on" 8.40 >"$TMP/dear.json"
    good 12in "{A.thickness} thick" 7.40 >"$TMP/thick.json"
    "$ROD" press "$TMP/good.json" -o "$TMP/good.pdf" &&
        "$ROD" press "$TMP/thick.json" -o "$TMP/thick.pdf" &&
        qpdf "$TMP/good.pdf" --pages . 1-4,6-z -- "$TMP/short.pdf" &&
        scale_lines "$TMP/good.pdf" "$TMP/scaled.pdf" ||
        { fail "proof: the booklets could not be made"; return; }
    head -c 9000 "$TMP/good.pdf" >"$TMP/cut.pdf"
    older
    run "$ROD" proof "$TMP/good.pdf" "$TMP/good.json"
    if [ "$(cat "$TMP/got")" = "exit 0" ]; then pass
    else fail "proof of a good booklet:" $(cat "$TMP/got"); fi
    own pdf-read "rodbook: error: $TMP/good.json is not a PDF; give the PDF that rodbook press wrote" \
        1 "$ROD" proof "$TMP/good.json" "$TMP/good.json"
    proof pdf-read cut.pdf good.json "cannot read .*cut.pdf: "
    proof proof-disagrees good.pdf dear.json "says '.7.40', should say '.8.40'"
    proof proof-unknown thick.pdf good.json "page 1, .* is no figure of the design"
    proof proof-missing good.pdf thick.json "page 1, .* is missing"
    proof proof-pages short.pdf good.json "page 5.*: this page is not in the booklet"
    proof proof-scale scaled.pdf good.json "mm off, should be within 0.05 mm; from"
}

. tests/tools/hostile.sh

# The same messages for programs, and by `check`.
other_ways() {
    older
    run "$ROD" check "$WRONG/many.json"
    if cmp -s "$TMP/got" "$WRONG/many.expect"; then pass
    else fail "check many.json:" "$(first_difference "$WRONG/many.expect" "$TMP/got")"; fi
    sed -n 's/.* \[\([a-z0-9-]*\)\]$/\1/p' "$WRONG/many.expect" >"$TMP/want"
    run "$ROD" press "$WRONG/many.json" -o "$TMP/out.pdf" --json
    sed -n 's/.*"code": "\([a-z0-9-]*\)".*/\1/p' "$TMP/stderr" >"$TMP/in_json"
    if cmp -s "$TMP/want" "$TMP/in_json" && [ "$status" = 1 ]; then pass
    else fail "many.json: --json tells other codes than the text"; fi
}

# ---- Every code

# Faults of the machine or of the program, which no design brings about, and
# the unit test that forces each.
unreached() {
    cat <<EOF
pdf-failed tests/unit/print_test.c makes the allocations of the PDF fail
solid-bad tests/unit/solid_test.c opens a finished solid
EOF
}

code_amiss() {
    unreached | grep -q "^$1 [a-z]" && out=yes || out=""
    grep -qx "### $1" docs/messages.md ||
        echo "has no heading in docs/messages.md"
    if [ -z "$out" ]; then
        grep -qx -- "$1" "$TMP/cases" || echo "has no case"
    elif grep -qx -- "$1" "$TMP/cases"; then
        echo "has a case but is listed as out of reach"
    fi
}

every_code() {
    while read -r code; do
        amiss=$(code_amiss "$code")
        if [ -z "$amiss" ]; then pass; else fail "code $code" $amiss; fi
    done <"$TMP/codes"
    for code in $(sed -n 's/^### \([a-z0-9-]*\)$/\1/p' docs/messages.md); do
        grep -qx -- "$code" "$TMP/codes" ||
            fail "docs/messages.md has $code, which is no code"
    done
    for f in "$WRONG"/*.expect; do
        [ -f "${f%.expect}.json" ] || fail "$f has no design"
    done
}

# Each row of checks.txt: its design is told this and nothing else.
every_check() {
    sed '/^#/d;/^$/d' "$WRONG/checks.txt" >"$TMP/checks"
    while read -r code name check; do
        if [ "$(codes "$WRONG/$name.expect" 2>"$TMP/none")" = "$code" ]; then
            pass
        else
            fail "checks.txt: '$check': $name does not trip $code alone"
        fi
    done <"$TMP/checks"
}

sed -n 's/^DIAG([A-Z0-9_]*, "\([a-z0-9-]*\)",.*/\1/p' src/base/diag.def \
    >"$TMP/codes"
[ "$(wc -l <"$TMP/codes")" = "$(grep -c '^DIAG(' src/base/diag.def)" ] ||
    fail "src/base/diag.def: a row is not read"

bless=""
if [ "$1" = bless ]; then
    bless=yes
    shift
    [ $# -gt 0 ] || set -- $(cd "$WRONG" && ls *.json | sed 's/\.json$//')
    for name; do design "$name"; done
else
    for f in "$WRONG"/*.json; do
        name=${f##*/}
        design "${name%.json}"
    done
    good 12in "to sit on" 7.40 >"$TMP/good.json"
    file_cases
    proof_cases
    other_ways
    hostile_cases
    every_code
    every_check
fi
echo "wrong: $passed passed, $failed failed"
[ "$failed" = 0 ]
