#!/bin/bash
# worked.sh: published worked examples, written as designs from
# docs/design-language.md alone, must be listed and traced with the published
# answers (or, where the publication is wrong, the recomputed ones). Each
# design names its publication. Prints "worked: N passed, M failed".
cd "$(dirname "$0")/../.." || exit 1
ROD=${ROD:-build/rodbook}
passed=0
failed=0

says() {   # says WHAT WANTED OUTPUT
    case $3 in
    *"$2"*) passed=$((passed + 1)) ;;
    *) failed=$((failed + 1)); echo "FAILED: $1: wanted '$2', got: $3" ;;
    esac
}

lists() {   # lists DESIGN LETTER WANTED: a line of the parts list
    says "$1 list $2" "$3" "$("$ROD" list "tests/worked/$1.json" \
        --units inch 2>/dev/null | grep "^$2 " | tr -s ' ')"
}

traces() {   # traces DESIGN NAME WANTED: the value of a size
    says "$1 trace $2" "-> $3" "$("$ROD" trace "tests/worked/$1.json" "$2" \
        --units inch 2>/dev/null | head -1)"
}

# near DESIGN VARIANT NAME WANTED: an angle, to the two places published.
near() {
    local line
    line=$("$ROD" trace "tests/worked/$1.json" "$3" --variant "$2" \
        2>/dev/null | head -1)
    if echo "$line" | awk -v want="$4" '{
            sub(/.*-> (about )?/, ""); off = $1 - want
            exit !(NF && $2 ~ /^deg/ && off <= 0.00501 && off >= -0.00501) }'
    then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED: $1 as $2, $3: wanted $4, got: $line"
    fi
}

# W3, Foster 1911: legs 96/4 = 24 at kerf 0; 23-29/32 at kerf 1/8. Body
# blanks 46 at kerf 0, 45-15/16 at 1/8, which is 3/16 short of two pieces.
lists w03 A '4 x 7/8 in x 3 1/4 in x 23 29/32 in'
lists w03 B '2 x 7/8 in x 4 1/4 in x 45 15/16 in'
traces w03 'body left' '-3/16 in'
traces w03 'leg without kerf' '24 in'
traces w03 'body without kerf' '46 in'
lists w03 C '2 x 7/8 in x 4 in x 36 in'
lists w03 D '2 x 7/8 in x 4 in x 10 in'

# W5, Windsor 1910: published part list, and zero clearance of the doors.
lists w05 A '1 x 3/4 in x 4 in x 30 1/4 in'
lists w05 B '12 x 3/8 in x 4 in x 29 3/4 in'
lists w05 C '4 x 3/4 in x 1 1/2 in x 45 1/4 in'
lists w05 D '4 x 3/4 in x 1 1/2 in x 14 in'
lists w05 E '1 x 3/4 in x 2 in x 45 3/4 in'
lists w05 F '4 x 1/2 in x 1/2 in x 12 1/2 in'
lists w05 G '1 x 3/4 in x 15 in x 31 1/4 in'
lists w05 H '2 x 3/4 in x 14 in x 50 in'
lists w05 I '1 x 3/4 in x 14 in x 28 3/4 in'
lists w05 J '1 x 3/4 in x 4 in x 28 3/4 in'
lists w05 K '3 x 1/2 in x 12 in x 28 1/2 in'
lists w05 L '4 x 1/2 in x 1/2 in x 7 in'
lists w05 M '2 x 1 1/4 in x 1 1/4 in x 13 in'
lists w05 N '2 x 1 in x 1 in x 12 1/2 in'
traces w05 clearance '0 in'
traces w05 overhang '1/2 in'
traces w05 uncovered '2 in'

# W10, Hodgson: 12 on the blade; hexagon 6.9282 (published "very nearly,
# exactly 6-15/16"), octagon 4.9706 ("4-31/32"), square 12.
traces w10 hexagon 'about 6.9282 in'
traces w10 octagon 'about 4.9706 in'
traces w10 square '12 in'
# Recomputed: five sides 8.7185; 5 and 7 on the square, as commonly used, are
# 22.62 and 30.26 degrees in place of 22.5 and 30.
traces w10 pentagon 'about 8.7185 in'
traces w10 'of square' '45 deg'
traces w10 'of hexagon' '30 deg'
traces w10 'of octagon' '22.5 deg'
traces w10 'by five' 'about 22.6199'
traces w10 'by seven' 'about 30.2564'

# W18: Navy 107/7 = 15 risers of 7.1333, printed 7-1/8 loses 1/8 over the
# flight; Army 12 treads of 10-1/2 run 126, 13 risers of 7-1/4 rise 94-1/4.
traces w18 risers '15'
traces w18 rise '7 2/15 in'
traces w18 lost '1/8 in'
traces w18 'unit run' '10 3/8 in'
traces w18 'total run' '145 1/4 in'
traces w18 'true run' '145 2/15 in'
# Hodgson pp. 48-49: the bottom riser of 7 is lower by the tread, here 1-1/4.
traces w18 'bottom riser' '5 3/4 in'
traces w18 'army run' '126 in'
traces w18 'army rise' '94 1/4 in'

# W23, recomputed for a lean of 15 degrees from vertical: 14.51 43.08, 8.50
# 28.88, 6.12 21.69.
traces w23 'face 4' 'about 14.51'
traces w23 'tilt 4' 'about 43.0795'
traces w23 'face 6' 'about 8.4988'
traces w23 'tilt 6' 'about 28.8791'
traces w23 'face 8' 'about 6.1191'
traces w23 'tilt 8' 'about 21.69'
# The butt tilt of four sides, asin(sin^2 t), and the steepest row of the
# table: lean 45, face 35.26, miter and butt tilt both 30.
traces w23 'butt 4' 'about 3.84'
traces w23 'steep face' 'about 35.2644'
traces w23 'steep tilt' 'about 30 deg'
traces w23 'steep butt' 'about 30 deg'

# The whole table, recomputed: face and tilt of 4, butt, then of 6 and 8.
while read -r lean face4 tilt4 butt face6 tilt6 face8 tilt8; do
    near w23 "lean $lean" 'face 4' "$face4"
    near w23 "lean $lean" 'tilt 4' "$tilt4"
    near w23 "lean $lean" 'butt 4' "$butt"
    near w23 "lean $lean" 'face 6' "$face6"
    near w23 "lean $lean" 'tilt 6' "$tilt6"
    near w23 "lean $lean" 'face 8' "$face8"
    near w23 "lean $lean" 'tilt 8' "$tilt8"
done <<'END'
5 4.98 44.78 0.44 2.88 29.87 2.07 22.41
10 9.85 44.14 1.73 5.73 29.50 4.11 22.14
20 18.88 41.64 6.72 11.17 28.02 8.06 21.08
30 26.57 37.76 14.48 16.10 25.66 11.70 19.35
45 35.26 30.00 30.00 22.21 20.70 16.32 15.70
END

echo "worked: $passed passed, $failed failed"
test $failed = 0
