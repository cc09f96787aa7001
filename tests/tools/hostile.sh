# hostile.sh: what nobody means to write, but a program may be given: deep,
# huge, broken; files of others; and the options that choose what is read.
# Part of wrong.sh, with its functions. Each run has 1 GB of memory and 20 s
# of CPU; the designs are made here, since most are large.

# hostile NAME STATUS CODE: press $TMP/NAME.json; this code is the first.
hostile() {
    older
    run sh -c 'ulimit -v 1048576; ulimit -t 20; exec "$@"' - \
        "$ROD" press "$TMP/$1.json" -o "$TMP/out.pdf"
    amiss=$(files_amiss)
    first=$(sed -n '1s/.*\[\([a-z0-9-]*\)\]$/\1/p' "$TMP/got")
    [ "$status" = "$2" ] || amiss="$amiss exit $status, not $2;"
    [ "$first" = "$3" ] || amiss="$amiss says '$first', not '$3'"
    if [ -z "$amiss" ]; then pass; else fail "hostile $1:" $amiss; fi
}

# repeated N TEXT: TEXT N times, on one line.
repeated() { awk -v n="$1" -v t="$2" 'BEGIN { while (n-- > 0) printf "%s", t }'; }

# bench MEMBERS PIECE PART: a small design with more in it.
bench() {
    cat <<EOF
{"rodbook": 1, "title": "Bench", $1
 "stock": {"board": {"thickness": "3/4in", "width": "9 1/4in", "sold": [{"length": "8ft"}]}},
 "parts": {"A": {"name": "Seat", "from": "board", "length": "36in"$3}},
 "pieces": [{"part": "A", "as": "seat", "at": ["0in", "0in", "0in"]$2}]}
EOF
}

broken_text() {
    bench '' '' '' >"$TMP/sound.json"
    hostile sound 0 ''
    for n in 201 10000 1000000; do
        { printf '{"rodbook": 1, "title": '; repeated $n '['; } >"$TMP/deep.json"
        hostile deep 1 json-depth
    done
    repeated 10000 '{"a":' >"$TMP/deep.json"
    hostile deep 1 json-depth
    head -c 1000000 /dev/zero >"$TMP/nul.json"
    hostile nul 1 json-syntax
    printf '{"rodbook": 1, "title": "a\000b"}' >"$TMP/nul.json"
    hostile nul 1 json-syntax
    printf '{"rodbook": 1, "title": "\377\376"}' >"$TMP/utf.json"
    hostile utf 1 json-utf8
    : >"$TMP/empty.json"
    hostile empty 1 not-a-design
    { printf '{"rodbook": 1, '; repeated 20000 '"a": 1, '
      printf '"a": 1}'; } >"$TMP/twice.json"
    hostile twice 1 json-duplicate
    { printf '{"rodbook": 1, "title": "T", '
      awk 'BEGIN { for (i = 0; i < 50000; i++) printf "\"k%d\": 1, ", i }'
      printf '"a": 1}'; } >"$TMP/keys.json"
    hostile keys 1 unknown-key
    grep -q '^rodbook: and [0-9]* more$' "$TMP/stderr" && pass ||
        fail "hostile keys: no end to the messages"
}

huge_numbers() {
    { printf '{"rodbook": '; repeated 1000000 9; printf '}'; } >"$TMP/num.json"
    hostile num 1 json-syntax
    printf '{"rodbook": 1e999}' >"$TMP/num.json"
    hostile num 1 not-finite
    for n in 1e9 1000000000 99999999999999999999 1e300 -5 0.5; do
        bench '' ", \"rows\": [{\"count\": $n, \"step\": [\"0in\", \"1ft\", \"0in\"]}]" '' >"$TMP/n.json"
        case $n in 9*|1e300) hostile n 1 not-finite ;;
                   *) hostile n 1 out-of-range ;; esac
        bench '' '' ", \"jig\": $n" >"$TMP/n.json"
        case $n in 9*|1e300) hostile n 1 not-finite ;;
                   *) hostile n 1 out-of-range ;; esac
    done
    row='{"count": 1000, "step": ["0in", "1ft", "0in"]}'
    bench '' ", \"rows\": [$row, $row, $row, $row]" '' >"$TMP/n.json"
    hostile n 1 out-of-range
    bench '"saw": {"kerf": "99999999999999999999in"},' '' '' >"$TMP/n.json"
    hostile n 1 not-finite
    bench '"print": {"nearest": "100ft"},' '' '' >"$TMP/n.json"
    hostile n 1 out-of-range
    bench "\"about\": \"$(repeated 100000 w)\"," '' '' >"$TMP/n.json"
    hostile n 1 out-of-range
    bench "\"about\": \"$(repeated 550 'word ')\"," '' '' >"$TMP/n.json"
    hostile n 1 page-overfull
    bench "\"sizes\": {\"x\": \"$(repeated 50000 '(')1in$(repeated 50000 ')')\"}," \
        '' '' >"$TMP/n.json"
    hostile n 1 out-of-range
    bench "\"sizes\": {$(awk 'BEGIN { for (i = 0; i < 20000; i++)
        printf "\"s%d\": \"s%d\", ", i, i + 1 }') \"s20000\": \"1in\"}," \
        '' '' >"$TMP/n.json"
    hostile n 1 out-of-range
}

# ---- Includes

files_of_others() {
    mkdir -p "$TMP/plans/sub" "$TMP/shop"
    printf '{"rodbook": 1, "terms": "Do not resell."}' >"$TMP/shop/shop.json"
    ln -s "$TMP/shop" "$TMP/plans/way"
    ln -s ../../shop/shop.json "$TMP/plans/sub/link.json"
    for way in way/shop.json sub/link.json ../shop/shop.json \
               "$TMP/shop/shop.json" sub/../../shop/shop.json; do
        bench "\"include\": \"$way\"," '' '' >"$TMP/plans/n.json"
        hostile plans/n 1 include-outside
    done
    bench '"include": ["sub/none.json"],' '' '' >"$TMP/plans/n.json"
    hostile plans/n 3 file-read
    ln -s circle.json "$TMP/plans/circle.json"
    bench '"include": ["circle.json"],' '' '' >"$TMP/plans/n.json"
    hostile plans/n 3 file-read
    bench '"include": ["n.json"],' '' '' >"$TMP/plans/n.json"
    hostile plans/n 1 include-loop
}

# runs WHAT STATUS COMMAND ...: exits so.
runs() {
    what=$1
    due=$2
    shift 2
    run "$@"
    if [ "$status" = "$due" ]; then pass
    else fail "$what: exit $status:" $(cat "$TMP/got"); fi
}

libraries() {
    bench '"include": ["shop.json"],' '' '' >"$TMP/plans/n.json"
    runs "without the library" 3 "$ROD" check "$TMP/plans/n.json"
    runs "with the library" 0 "$ROD" check "$TMP/plans/n.json" \
        --library "$TMP/shop"
    bench '"include": ["way/shop.json"],' '' '' >"$TMP/plans/n.json"
    runs "a link into the library" 0 "$ROD" check "$TMP/plans/n.json" \
        --library="$TMP/shop"
    runs "a library that is not there" 3 "$ROD" check "$TMP/plans/n.json" \
        --library "$TMP/none"
}

# ---- Variants

variants() {
    bench '"sizes": {"long": "36in"}, "variants": {
        "extra long": {"title": "Long bench", "sizes": {"long": "60in"}},
        "too long": {"sizes": {"long": "10ft"}}},' '' '' |
        sed 's/"length": "36in"/"length": "long"/' >"$TMP/v.json"
    rod=$(realpath "$ROD")
    (cd "$TMP" && "$rod" press v.json --variant "extra long" >/dev/null &&
        "$rod" press v.json -o plain.pdf >/dev/null)
    long=$TMP/v.extra-long.letter-inch.pdf
    if [ -f "$long" ]; then pass; else fail "variant: no $long"; fi
    runs "proof finds the variant by itself" 0 "$ROD" proof "$long" \
        "$TMP/v.json"
    runs "proof of the design itself" 0 "$ROD" proof "$TMP/plain.pdf" \
        "$TMP/v.json"
    runs "proof of another variant" 1 "$ROD" proof "$TMP/plain.pdf" \
        "$TMP/v.json" --variant "extra long"
    for page in 1 2; do
        if pdftotext -f $page -l $page "$long" - | grep -q "extra long"
        then pass; else fail "variant: page $page does not name it"; fi
    done
    runs "list of a variant" 0 "$ROD" list "$TMP/v.json" \
        --variant="extra long"
    if grep -q ' 60 in' "$TMP/stdout"; then pass
    else fail "variant: list says" $(cat "$TMP/stdout"); fi
    runs "a variant that is not there" 1 "$ROD" list "$TMP/v.json" \
        --variant "extra lng"
    if grep -q "did you mean 'extra long'" "$TMP/got"; then pass
    else fail "variant: no nearest name"; fi
    runs "check of one variant" 0 "$ROD" check "$TMP/v.json" \
        --variant "extra long"
    runs "check of all variants" 1 "$ROD" check "$TMP/v.json"
    if [ "$(grep -c "in the variant 'too long'" "$TMP/got")" = 1 ]; then pass
    else fail "variant: check says" $(cat "$TMP/got"); fi
}

hostile_cases() {
    broken_text
    huge_numbers
    files_of_others
    libraries
    variants
}
