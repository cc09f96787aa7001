#!/usr/bin/env python3
"""Spoils copies of the demos and starters as a tired author would, and sees
that each is caught with words that name the piece.

    spoil.py RODBOOK      prints "spoil: N passed, M failed"

A piece moved 1/16 in: every piece of every design, some way, must be told to
run into another. Two steps swapped: every two neighbors are tried, and what is
said must name a piece and a cure; tests/unit/order_test.c proves which swaps
do harm. A nail or screw too long: each hardware of each design is made 1/4 in
longer than the wood that there is for it, as the message for one far too long
says (a line that moves out of the way of others may find a little more).
"""
import fractions
import json
import pathlib
import re
import subprocess
import sys
import tempfile

ROD = sys.argv[1]
HERE = pathlib.Path(__file__).resolve().parents[2]
DESIGNS = sorted(HERE.glob("templates/*.json")) \
    + sorted(HERE.glob("plans-demo/*/*.json"))
TOLD = ("piece-overlap", "no-contact")
ORDER = ("step-late", "blocked", "unheld", "temporary-bad", "fastener-reach")


def read(path):
    """Comments are left out; no text in the designs holds // after it."""
    text = path.read_text()
    text = re.sub(r'("(?:[^"\\]|\\.)*")|//[^\n]*|/\*.*?\*/',
                  lambda m: m.group(1) or "", text, flags=re.S)
    return json.loads(text)


def messages(design, folder, name):
    path = pathlib.Path(folder) / name
    path.write_text(json.dumps(design))
    run = subprocess.run([ROD, "list", str(path), "--json"],
                         capture_output=True, text=True)
    if run.returncode not in (0, 1):
        sys.exit(f"{name}: exit {run.returncode}")
    return json.loads(run.stderr) if run.stderr.strip() else []


def moved(design, k, axis, by):
    copy = json.loads(json.dumps(design))
    at = copy["pieces"][k]["at"]
    at[axis] = f"({at[axis]}) {by} 1/16in"
    return copy


def told_of_move(design, k, name, folder, file):
    for axis in range(3):
        for by in "+-":
            for m in messages(moved(design, k, axis, by), folder, file):
                if m["code"] in TOLD and f"'{name}" in m["message"] \
                        and m.get("hint"):
                    return True
    return False


def swapped(design, k):
    copy = json.loads(json.dumps(design))
    steps = copy["steps"]
    steps[k], steps[k + 1] = steps[k + 1], steps[k]
    return copy


def inches(text):
    """Of "1 15/32"."""
    return sum(fractions.Fraction(part) for part in text.split())


def lengthened(design, key, length):
    copy = json.loads(json.dumps(design))
    copy["hardware"][key]["length"] = f"{length * 32}/32in"
    return copy


def wood_for(found):
    """The least wood that any message of a fastener too long tells."""
    told = [re.search(r"there is ([0-9 /]+) in of wood", m["message"])
            for m in found if m["code"] == "fastener-through"]
    return min((inches(t.group(1)) for t in told if t), default=None)


def check_lengths(design, folder, file):
    """Of how many kinds of nails and screws a length was tried, and which
    were not caught."""
    tried, missed = 0, []
    for key in design.get("hardware", {}):
        if "length" not in design["hardware"][key]:
            continue
        room = wood_for(messages(lengthened(design, key, 36), folder, file))
        if room is None:
            continue
        tried += 1
        long = wood_for(messages(lengthened(
            design, key, room + fractions.Fraction(1, 4)), folder, file))
        if long is None:
            missed.append(f"'{key}' of {float(room) + 0.25} in, {long}")
    return tried, missed


def main():
    passed = failed = 0
    for path in DESIGNS:
        design = read(path)
        with tempfile.TemporaryDirectory() as folder:
            if messages(design, folder, path.name):
                print(f"FAILED: {path.name} itself has messages")
                failed += 1
            for k, entry in enumerate(design["pieces"]):
                if "at" not in entry:
                    continue
                name = entry.get("as") or design["parts"][entry["part"]]["name"]
                if told_of_move(design, k, name, folder, path.name):
                    passed += 1
                else:
                    print(f"FAILED: {path.name}: '{name}' moved 1/16 in, "
                          "nobody noticed")
                    failed += 1
            steps = len(design.get("steps", []))
            told = 0
            for k in range(steps - 1):
                found = messages(swapped(design, k), folder, path.name)
                clear = all(m["code"] in ORDER and "'" in m["message"]
                            and m.get("hint") for m in found)
                told += clear and bool(found)
                if clear:
                    passed += 1
                else:
                    print(f"FAILED: {path.name}: steps {k + 1} and {k + 2} "
                          f"swapped: {found}")
                    failed += 1
            if not told:
                print(f"FAILED: {path.name}: no two steps swapped are told")
                failed += 1
            tried, missed = check_lengths(design, folder, path.name)
            print(f"{path.stem}: {steps - 1} swaps, {told} told; {tried} "
                  "kinds of fasteners made too long")
            passed += tried - len(missed)
            failed += len(missed)
            for one in missed:
                print(f"FAILED: {path.name}: {one}")
    print(f"spoil: {passed} passed, {failed} failed")
    return failed != 0


sys.exit(main())
