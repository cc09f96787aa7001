#!/bin/sh
# layers.sh: a module may include itself and whatever sorts before it, and
# proof/ may include neither press/ nor print/.
cd "$(dirname "$0")/../../src" || exit 1
grep -n '^#include "[a-z]*/' */*.[ch] | LC_ALL=C awk -F: '{
    split($1, from, "/"); split($3, part, "\""); split(part[2], to, "/")
    if (to[1] > from[1] ||
        (from[1] == "proof" && to[1] ~ /^pr(ess|int)$/)) {
        print $1 ":" $2 ": " from[1] " may not include " to[1]; bad = 1 }
} END { exit bad }' || exit 1
# Only print/ knows libharu and cairo, only design/ knows cJSON, only geom/ GEOS, only
# proof/ qpdf.
bad=$(grep -ln '<hpdf\|<cairo' */*.[ch] | grep -v '^print/'
      grep -ln 'cJSON.h>' */*.[ch] | grep -v '^design/'
      grep -ln '<geos_c' */*.[ch] | grep -v '^geom/'
      grep -ln '<qpdf/' */*.[ch] | grep -v '^proof/')
[ -z "$bad" ] || { echo "library outside its folder: $bad"; exit 1; }
# File names are unique in the tree.
twice=$(ls */*.c | sed 's|.*/||' | sort | uniq -d)
[ -z "$twice" ] || { echo "two files are called: $twice"; exit 1; }
