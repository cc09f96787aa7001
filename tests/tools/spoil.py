#!/usr/bin/env python3
"""Spoils copies of the demos and starters as a tired author would, and sees
that each is caught with words that name the piece.

    spoil.py RODBOOK      prints "spoil: N passed, M failed"

A piece moved 1/16 in: every piece of every design, some way, must be told to
run into another. Two steps swapped: every two neighbors are tried; those
that may just as well come the other way round make no message, but some in
every design must be caught.
"""
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
ORDER = ("step-late", "blocked", "unheld", "temporary-bad")


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
            caught = 0
            steps = len(design.get("steps", []))
            for k in range(steps - 1):
                told = [m for m in messages(swapped(design, k), folder,
                                            path.name)
                        if m["code"] in ORDER and "'" in m["message"]]
                caught += bool(told)
            print(f"{path.stem}: {caught} of {steps - 1} swaps of "
                  "neighboring steps caught")
            if caught or steps < 2:
                passed += 1
            else:
                print(f"FAILED: {path.name}: no swap of steps was noticed")
                failed += 1
    print(f"spoil: {passed} passed, {failed} failed")
    return failed != 0


sys.exit(main())
