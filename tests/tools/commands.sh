#!/bin/bash
# commands.sh: trace and new, run as their users run them. Every value that
# is expected of trace can be worked out by hand: 1 in is 25.4 mm exactly
# (NIST HB 44), and the design is a few sums of inches.
# Prints "commands: N passed, M failed".
cd "$(dirname "$0")/../.." || exit 1
ROD=$(realpath "${ROD:-build/rodbook}")
GOLDEN=$(realpath tests/golden)
HERE=$PWD
T=$(mktemp -d) || exit 1
trap 'rm -rf "$T"' EXIT
LC_ALL=C
export LC_ALL
passed=0
failed=0

verdict() {   # verdict NAME STATUS: shows the log of what failed
    if [ "$2" = 0 ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED: $1"
        head -20 "$T/log"
    fi
}

# run STATUS COMMAND ...: output in $T/out, messages in $T/err. The narrow
# space of figures (U+202F) is written as a plain one.
run() {
    local due=$1
    shift
    (cd "$T" && "$@" >"$T/out" 2>"$T/err")
    local got=$?
    sed -i 's/\xE2\x80\xAF/ /g' "$T/out"
    cat "$T/out" "$T/err" >"$T/log"
    [ $got = "$due" ] || { echo "exit $got, should be $due" >>"$T/log"
                           return 1; }
}

out_is() {   # the output is standard input
    cat >"$T/want"
    diff "$T/want" "$T/out" >"$T/log"
}

says() {   # says FILE WORDS
    grep -qF -- "$2" "$T/$1" || { echo "no '$2' in:" >"$T/log"
                                  cat "$T/$1" >>"$T/log"; return 1; }
}

# ---- trace

cat >"$T/shelf.json" <<'END'
{
  "rodbook": 1, "title": "Shelf",
  "sizes": {
    "t":    {"is": "3/4in", "note": "measure yours"},
    "long": "18in",
    "open": "long - 2 * t",
    "rim":  "open / 3 + t"
  },
  "stock": {"board": {"thickness": "t", "width": "5 1/2in",
            "sold": [{"length": "6ft", "price": 9.50}]}},
  "hardware": {"nail": {"kind": "nail", "length": "2in"}},
  "parts": {
    "A": {"name": "Side", "from": "board", "length": "rim"},
    "B": {"name": "Bottom", "from": "board", "length": "open",
          "ends": {"right": {"miter": "45deg", "length to": "short point"}}}
  },
  "pieces": [
    {"part": "B", "as": "bottom", "at": ["t", "0in", "0in"]},
    {"part": "A", "as": "side", "at": ["0in", "0in", "0in"],
     "length runs": "up", "face": "left"}
  ],
  "steps": [
    {"title": "Join", "add": ["bottom", "side"],
     "fix": [{"join": ["side", "bottom"], "with": "nail", "count": 3}],
     "say": "The rim is {rim + t} from {bottom.left}: {each nail} nails."}
  ]
}
END

# 16 1/2 in / 3 + 3/4 in = 6 1/4 in = 158.75 mm
run 0 "$ROD" trace shelf.json A.length && out_is <<'END'
A.length = rim -> 6 1/4 in = 158.75 mm, printed 6 ¹⁄₄ in  [shelf.json:13]
  rim = open / 3 + t -> 6 1/4 in = 158.75 mm, printed 6 ¹⁄₄ in  [shelf.json:7]
    open = long - 2 * t -> 16 1/2 in = 419.1 mm, printed 16 ¹⁄₂ in  [shelf.json:6]
      long = 18in -> 18 in = 457.2 mm, printed 18 in  [shelf.json:5]
      t = 3/4in -> 3/4 in = 19.05 mm, printed ³⁄₄ in  [shelf.json:4]  (measure yours)
    t = 3/4in -> 3/4 in = 19.05 mm, printed ³⁄₄ in; see above

Printed on:
  page 5: 6 ¹⁄₄ in  (A.length)
END
verdict "trace follows a length back to the given sizes" $?

# In millimeters a length is rounded to 0.5 mm, a half away from zero.
run 0 "$ROD" trace shelf.json rim --units mm &&
    says out "rim = open / 3 + t -> 6 1/4 in = 158.75 mm, printed 159 mm" &&
    says out "Sizes that use it: A.length" &&
    says out "(rim + t)"
verdict "trace in millimeters, the sizes and words that use a size" $?

# 45 deg across 5 1/2 in adds 5 1/2 in to the long point: 22 in.
run 0 "$ROD" trace shelf.json B.long &&
    says out "B.long -> 22 in = 558.8 mm" &&
    says out "  B.ends right miter = 45deg -> 45 deg, printed 45°" &&
    says out "    stock board, width = 5 1/2in -> 5 1/2 in = 139.7 mm"
verdict "trace of the length to the long point" $?

# One part B is placed: its count is 1, its total length its stated length.
run 0 "$ROD" trace shelf.json B.count &&
    says out "B.count -> 1" &&
    run 0 "$ROD" trace shelf.json "B.total length" &&
    says out "B.total length -> 16 1/2 in = 419.1 mm"
verdict "trace of a count and a total" $?

# The bottom begins at t and is 22 in long: 22 3/4 in.
run 0 "$ROD" trace shelf.json bottom.right &&
    says out "bottom.right -> 22 3/4 in = 577.85 mm" &&
    says out "  at, right = t -> 3/4 in = 19.05 mm" &&
    says out "  B.long -> 22 in"
verdict "trace of a place" $?

run 0 "$ROD" trace shelf.json B.ends &&
    says out "  B.ends right miter = 45deg -> 45 deg" &&
    says out "45°  (B.ends)"
verdict "trace of a figure's source" $?

run 0 "$ROD" trace shelf.json "each nail" &&
    says out "  step 1, into each side = 3 -> 3, printed 3  [shelf.json:24]"
verdict "trace of a count" $?

run 0 "$ROD" trace shelf.json t &&
    says out "  stock board thickness = t  [shelf.json:9]" &&
    says out "  pieces bottom at 1 = t  [shelf.json:18]" &&
    says out "  steps 1 say = rim + t  [shelf.json:25]"
verdict "trace lists the formulas and texts that use a name" $?

# 5 slats of 1 1/4 in on 10 in: 4 gaps of 15/16 in. A rail between two fences
# whose distance is fitted is to be fitted, too.
run 0 "$ROD" trace "$GOLDEN/sampler/design.json" slat.gap &&
    says out "slat.gap -> 15/16 in" && says out "  slat to = 25in" &&
    says out "  S.width = 1 1/4in"
verdict "trace of a gap between slats" $?
run 0 "$ROD" list "$GOLDEN/sampler/design.json" --what rows &&
    says out "slat: 5 x S, gaps of 15/16 in" &&
    says out "roof: 6 courses of 6 x T, 1 1/2 in exposed"
verdict "list of rows" $?
run 0 "$ROD" list "$GOLDEN/sampler/design.json" &&
    says out "12 in, fit the length on the work" &&
    [ "$(grep -c "fit the length" "$T/out")" = 2 ]
verdict "fit passes through places" $?

# A board 1 x 3 x 72 in is 216 / 144 = 1.5 board feet (trade-figures 2); what
# has no price is not known to cost nothing.
cat >"$T/frame.json" <<'END'
{"rodbook": 1, "title": "Stage frame", "stock": {
   "oak": {"wood": "red oak", "thickness": "3/4in", "width": "3in",
           "bought as": {"thickness": "1in"}, "sold": [{"length": "6ft", "price": 9}]},
   "pine": {"wood": "eastern white pine", "thickness": "3/4in", "width": "3in",
            "sold": [{"length": "6ft"}]}},
 "parts": {"A": {"name": "Rail", "from": "oak", "length": "30in",
                 "ends": {"left": {"miter": "45deg", "long edge": "near"},
                          "right": {"miter": "45deg", "long edge": "near"}}},
           "B": {"name": "Back", "from": "pine", "length": "60in"}},
 "pieces": [{"part": "A", "at": ["0in", "0in", "0in"]}, {"part": "A", "as": "other", "at": ["0in", "9in", "0in"]},
            {"part": "B", "at": ["0in", "20in", "0in"]}]}
END
run 0 "$ROD" list frame.json --what materials --as json &&
    says out '"cost": 9, "stock_cost": 9, "stock_bound": 9' &&
    says out '"board_feet": 1.5' &&
    says out '"cost": null, "stock_cost": null, "stock_bound": null' &&
    says out '"board_feet": null'
verdict "list of materials as json" $?
run 0 "$ROD" list frame.json --what materials --as csv &&
    says out '1828.8,,,,true,,0'
verdict "list of materials as csv" $?
run 0 "$ROD" list frame.json --what materials &&
    says out "6 ft, 1.5 board feet, \$9.00" &&
    says out "6 ft, no price given" &&
    says out ", for A"
verdict "list of materials as text" $?
run 0 "$ROD" list frame.json --what cuts && says out ", 2 head to tail"
verdict "list of cuts" $?

run 0 "$ROD" trace shelf.json "rim + t" &&
    says out "  rim = open / 3 + t" && says out "7 in  (rim + t)"
verdict "trace of a formula in a text" $?

run 1 "$ROD" trace shelf.json opne && [ ! -s "$T/out" ] &&
    says err "nothing in shelf.json is called 'opne'; did you mean 'open'? [unknown-name]"
verdict "trace of an unknown name tells the nearest" $?

sed 's/"18in"/"18"/' "$T/shelf.json" >"$T/amiss.json"
run 1 "$ROD" trace amiss.json A.length && [ ! -s "$T/out" ] &&
    says err "[unit-m"
verdict "trace of a wrong design says what is wrong" $?

run 2 "$ROD" trace shelf.json
verdict "trace without a name is wrong usage" $?

# JSON, read by the program's own strict reader: it is no design, and that
# must be all that is said against it.
run 0 "$ROD" trace shelf.json A.length --as json && cp "$T/out" "$T/t.json" &&
    says out '"name": "rim", "formula": "open / 3 + t", "value": "6 1/4 in = 158.75 mm", "exact": true, "base": 158.75' &&
    says out '{"page": 5, "shown": "6 ¹⁄₄", "unit": "in", "source": "A.length", "times": 1}' &&
    { run 1 "$ROD" check t.json; ! grep -q 'json-' "$T/err"; }
verdict "trace as JSON is JSON" $?
[ "$(grep -o '"depth": [0-9]*' "$T/t.json" | tr -dc '0-9\n' | tr '\n' ' ')" \
    = "0 1 2 3 3 2 " ]
verdict "trace as JSON has the same lines" $?

run 0 "$ROD" press shelf.json -o s.pdf && says out "Wrote s.pdf, "
verdict "press says what it wrote" $?

# Every figure of a booklet can be asked for by the source in its ledger.
(cd "$T" && "$ROD" press shelf.json -o s.pdf --ledger s.csv >press.out &&
    sed 1d s.csv | tr -d '\r' | sed 's/.*,"//; s/"$//' | sort -u) \
    >"$T/sources" 2>"$T/log"
: >"$T/unknown"
while read -r source; do
    (cd "$T" && "$ROD" trace shelf.json "$source") >"$T/out" 2>"$T/err" &&
        grep -q "^Printed on:" "$T/out" || echo "$source" >>"$T/unknown"
done <"$T/sources"
cp "$T/unknown" "$T/log"
[ "$(wc -l <"$T/sources")" -gt 20 ] && [ ! -s "$T/unknown" ]
verdict "trace knows every source of the ledger" $?

# ---- new

run 0 "$ROD" new
for f in templates/*.json; do
    name=$(basename "$f" .json)
    says out "  $name: "
    verdict "new lists the starter $name" $?
    [ "$(wc -l <"$f")" -lt 60 ] || false
    verdict "the starter $name is under 60 lines" $?
done

for f in templates/*.json; do
    name=$(basename "$f" .json)
    run 0 "$ROD" new "my-$name" --from "$name" && [ ! -s "$T/err" ] &&
        says out "rodbook press my-$name.json"
    verdict "new writes my-$name.json" $?
    says "my-$name.json" "\"title\": \"My $name\""
    verdict "my-$name.json has its own title" $?
    diff "$f" "$T/my-$name.json" | grep -c '^[<>]' >"$T/log"
    [ "$(cat "$T/log")" = 2 ]
    verdict "my-$name.json differs from its starter in one line" $?
    for edition in "letter inch" "a4 mm"; do
        set -- $edition
        run 0 "$ROD" press "my-$name.json" -o out.pdf --paper "$1" \
            --units "$2" && [ ! -s "$T/err" ] &&
            run 0 "$ROD" proof out.pdf "my-$name.json"
        verdict "my-$name.json presses in $2 without a message" $?
    done
done

# A starter is there to be changed: changed NAME FROM TO.
changed() {
    grep -qF -- "$2" "templates/$1.json" || { echo "$2 is not there" \
        >"$T/log"; return 1; }
    sed "s|$2|$3|" "templates/$1.json" >"$T/changed.json"
    run 0 "$ROD" check changed.json && [ ! -s "$T/err" ]
}

while IFS='|' read -r name from to; do
    changed "$name" "$from" "$to"
    verdict "$name with $to for $from" $?
done <<'END'
box|"long":     {"is": "12in"|"long":     {"is": "15in"
box|"t":        {"is": "1/2in"|"t":        {"is": "5/8in"
box|"high":     {"is": "4in"|"high":     {"is": "5in"
shelter|"9 in 12"|"10 in 12"
shelter|"long":  {"is": "18in"|"long":  {"is": "24in"
shelter|"t":     {"is": "3/4in"|"t":     {"is": "18mm"
slats|"long":     {"is": "42in"|"long":     {"is": "60in"
slats|"least gap": {"is": "3/4in"|"least gap": {"is": "1/2in"
slats|"deep":     {"is": "14in"|"deep":     {"is": "400mm"
tub|"slope": {"is": "75deg"|"slope": {"is": "72deg"
tub|"rim":   {"is": "7in"|"rim":   {"is": "160mm"
tub|"t":     {"is": "3/4in"|"t":     {"is": "5/8in"
END

echo "mine" >"$T/kept.json"
run 3 "$ROD" new kept --from box && [ "$(cat "$T/kept.json")" = mine ] &&
    [ ! -s "$T/out" ] && says err "kept.json is there already" &&
    says err "[file-exists]"
verdict "new writes over nothing" $?
run 3 "$ROD" new kept.json && [ "$(cat "$T/kept.json")" = mine ]
verdict "new writes over nothing, the name with its ending" $?
ln -s nowhere "$T/link.json"
run 3 "$ROD" new link && [ -L "$T/link.json" ] && [ ! -e "$T/nowhere" ]
verdict "new follows no link to nowhere" $?

run 1 "$ROD" new mine --from plantre && [ ! -e "$T/mine.json" ] &&
    says err "there is no starter 'plantre'; did you mean 'planter'? [unknown-name]"
verdict "new tells the nearest starter" $?

for name in ../up /tmp/x a/b .hidden "two words" "" 'a;b' \
    "$(printf 'a%.0s' {1..61})"; do
    run 1 "$ROD" new "$name" && says err "[bad-choice]"
    verdict "new refuses the name '$name'" $?
done
[ -z "$(find "$T" -name 'up*' -o -name '*.part' -o -name '.hidden*')" ]
verdict "new leaves no file of a refused name" $?

run 3 env RODBOOK_TEMPLATES=/nowhere "$ROD" new && says err "[file-read]"
verdict "new without its starters says so" $?
mkdir "$T/own" && cp templates/stool.json "$T/own/perch.json"
run 0 env RODBOOK_TEMPLATES="$T/own" "$ROD" new && says out "  perch: " &&
    run 0 env RODBOOK_TEMPLATES="$T/own" "$ROD" new mine --from perch
verdict "new takes starters from RODBOOK_TEMPLATES" $?

# ---- The README ----

cd "$HERE" || exit 1
sed -n '/^```json$/,/^```$/p' README.md | grep -v '^```' >"$T/readme.json"
cd "$T" || exit 1
run 0 "$ROD" check readme.json && [ ! -s "$T/err" ] &&
    run 0 "$ROD" press readme.json -o readme.pdf &&
    run 0 "$ROD" proof readme.pdf readme.json
verdict "the design of the README presses without a word" $?

# ---- draw ----

cd "$HERE" || exit 1
cp templates/stool.json "$T/stool.json"
cd "$T" || exit 1
run 0 "$ROD" draw stool.json && python3 - <<'END'
import re
import xml.etree.ElementTree as E
root = E.parse("stool.project.svg").getroot()
x, y, w, h = map(float, root.get("viewBox").split())
assert root.get("width") == "%gmm" % w and root.get("height") == "%gmm" % h
ink = [p.get("d") for p in root.iter("{http://www.w3.org/2000/svg}path")]
nums = [float(n) for d in ink for n in re.findall(r"-?[0-9.]+", d)]
xs, ys = nums[0::2], nums[1::2]
assert len(nums) > 100, len(nums)
assert x < min(xs) and max(xs) < x + w and y < min(ys) and max(ys) < y + h
assert max(xs) - min(xs) > 0.85 * w and max(ys) - min(ys) > 0.85 * h
END
verdict "draw writes the project as SVG, inside its viewBox" $?
run 0 "$ROD" draw stool.json "step 1" && [ -s stool.step-1.svg ] &&
    run 0 "$ROD" draw stool.json A -o leg.svg &&
    ! cmp -s leg.svg stool.step-1.svg
verdict "draw takes a step and a part's letter" $?
run 0 "$ROD" draw stool.json "step 1" --as pdf &&
    qpdf --check stool.step-1.pdf >"$T/log" 2>&1 && python3 - <<'END'
import re, subprocess
# The same page in all formats, to a dot and a thousandth of a point.
info = subprocess.run(["pdfinfo", "stool.step-1.pdf"], capture_output=True,
                      text=True).stdout
w, h = map(float, re.search(r"size: +([0-9.]+) x ([0-9.]+)", info).groups())
svg = open("stool.step-1.svg").read()
mm = [float(m) for m in re.findall(r'(?:width|height)="([0-9.]+)mm"', svg)]
assert abs(w - mm[0] * 72 / 25.4) < .01 and abs(h - mm[1] * 72 / 25.4) < .01
END
verdict "draw writes a PDF of the same size" $?
run 0 "$ROD" draw stool.json "step 1" --as png && python3 - <<'END'
import re, struct, zlib
png = open("stool.step-1.png", "rb").read()
assert png[:8] == b"\x89PNG\r\n\x1a\n"
w, h, depth, color = struct.unpack(">IIBB", png[16:26])
svg = open("stool.step-1.svg").read()
mm = [float(m) for m in re.findall(r'(?:width|height)="([0-9.]+)mm"', svg)]
assert abs(w - mm[0] / 25.4 * 300) <= 1 and abs(h - mm[1] / 25.4 * 300) <= 1
at, data = 8, b""
while at < len(png):
    n = struct.unpack(">I", png[at:at + 4])[0]
    if png[at + 4:at + 8] == b"IDAT":
        data += png[at + 8:at + 8 + n]
    at += n + 12
rows = zlib.decompress(data)
assert len(rows) == h * (w * 3 + 1) and depth == 8 and color == 2
assert rows.count(0) > 1000   # ink
END
verdict "draw writes a PNG of 300 dots to the inch" $?
run 1 "$ROD" draw stool.json "step 99" && [ ! -e stool.step-99.svg ] &&
    says err "nothing to draw called 'step 99'" && says err "[unknown-name]"
verdict "draw tells what can be drawn" $?
run 0 "$ROD" draw stool.json templates --paper a3 -o a3.pdf &&
    pdfinfo a3.pdf | grep -q "^Page size: *841.89 x 1190.55" &&
    run 2 "$ROD" press stool.json --paper a3 &&
    says err "--paper cannot be 'a3'"
verdict "templates go on large paper, booklets do not" $?
run 2 "$ROD" draw stool.json --as cvs &&
    says err "--as cannot be 'cvs'; it is one of: svg pdf png dxf" &&
    run 2 "$ROD" check stool.json --as svg && says err "check has no --as"
verdict "a format that the command does not have is refused" $?

# ---- facts

run 0 "$ROD" list stool.json --what facts --as json && cp out facts.json &&
    run 0 "$ROD" list stool.json --what facts --as csv &&
    cp out facts.csv && run 0 "$ROD" list stool.json --what facts --units mm &&
    python3 - <<'END'
import csv, json, re
facts = json.load(open("facts.json"))
areas = facts["overall"]["surface_by_finish_mm2"]
for name, area in areas.items():   # of all parts; in each form
    parts = sum(p["quantity"] * p["surface_by_finish_mm2"][name]
                for p in facts["parts"])
    rows = list(csv.DictReader(open("facts.csv", newline="")))
    row = [r for r in rows if r["kind"] == "finish" and r["name"] == name]
    text = re.search("finish %s: ([0-9.]+) m2" % name, open("out").read())
    assert area > 0 and abs(parts - area) < 1e-2, (parts, area)
    assert float(row[-1]["surface_mm2"]) == area and not row[-1]["part"]
    assert abs(float(text.group(1)) - area / 1e6) < 0.001
all_of_it = sum(areas.values()) + facts["overall"]["bare_mm2"]
assert areas and abs(all_of_it - facts["overall"]["surface_mm2"]) < 1e-2
assert facts["interference"] == [] and len(facts["glue"]) > 0
assert all(g["area_mm2"] > 0 for g in facts["glue"])
END
verdict "list tells the area of each finish, the same in all forms" $?
run 1 "$ROD" list "$HERE/tests/wrong/piece-overlap.json" --what facts \
    --as json && python3 - <<'END'
import json
(one,) = json.load(open("out"))["interference"]
assert (one["a"], one["b"]) == ("seat", "shelf"), one
assert abs(one["volume_mm3"] - 36 * 9.25 * 0.25 * 25.4 ** 3) < 1e-3, one
assert one["from_mm"] == [0, 0, 12.7] and one["to_mm"][2] == 19.05, one
assert one["blame_a"] == "the show face of 'seat'", one
END
verdict "facts tell what two pieces share, and exit 1" $?

# ---- an order that is found

python3 - <<'END'
import json, re
text = re.sub(r'("(?:[^"\\]|\\.)*")|//[^\n]*',
              lambda m: m.group(1) or "", open("stool.json").read())
design = json.loads(text)
del design["steps"], design["hardware"]
json.dump(design, open("no-steps.json", "w"))
END
run 0 "$ROD" press no-steps.json -o no-steps.pdf && [ ! -s err ] &&
    run 0 "$ROD" proof no-steps.pdf no-steps.json &&
    pdftotext -layout no-steps.pdf - >out && says out "Begin with the legs" &&
    says out "Add the top" && says out "This order was worked out"
verdict "an order that is found stands in the booklet" $?

cd "$HERE" || exit 1
echo "commands: $passed passed, $failed failed"
[ $failed = 0 ] && [ $passed -gt 0 ]
