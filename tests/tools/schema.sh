#!/bin/sh
# schema.sh: docs/design.schema.json and the reader cannot disagree.
#   schema.sh        all that `make test` runs
#   schema.sh all    with every probe, not a sample of them (some minutes)
# Any python3 will do that has the module jsonschema, as Debian's
# python3-jsonschema gives it. Prints "schema: N passed, M failed".
cd "$(dirname "$0")/../.." || exit 1
ROD=${ROD:-build/rodbook}
export ROD
for python in /usr/bin/python3 python3; do
    if "$python" -c 'import jsonschema' 2>/dev/null; then
        exec "$python" tests/tools/schema.py "$@"
    fi
done
echo "schema: no python3 has jsonschema; make setup installs it"
echo "schema: 0 passed, 1 failed"
exit 1
