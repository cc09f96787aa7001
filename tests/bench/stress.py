#!/usr/bin/env python3
"""Writes a stress design of about N pieces: open racks side by side and one
upon the other, every piece an entry of its own or in a row, placed by what
it stands on. N is rounded up to whole racks of 20 pieces.

    stress.py N [--steps | --one-fix] > design.json

A rack, 24 x 12 x 12 in: four posts with a dado, two rails let into the
dadoes on each side, twelve slats laid over the rails.

With --steps each rack is a step of its own, from below up.

With --one-fix it is a deck instead: a row of half as many slats, each on a
sleeper of its own, and all slats nailed to all sleepers by one fixing.
"""
import json
import sys

HARDWARE = {"brad": {"kind": "brad nail", "gauge": 18, "length": "1in",
                     "pack": 1000, "price": 6.10}}
SOLD = [{"length": "8ft", "price": 7.40}]
PARTS = {
    "A": {"name": "Post", "from": "square", "length": "high",
          "features": [{"dado": {"at": "high - rail", "width": "rail",
                                 "depth": "rail"},
                        "note": "for a rail"}]},
    "B": {"name": "Rail", "from": "stick", "length": "long"},
    "C": {"name": "Slat", "from": "board", "length": "deep"},
}


def rack(n, x, y, z, below):
    """The entries of rack n at a place; `below` is the rack under it."""
    bottom = f"{below} slats.top" if below else "0in"
    name = f"rack {n}"
    at = {"x0": f"{x} * long", "y0": f"{y} * (deep + 6in)"}
    p = [{"part": "A", "as": f"{name} post {k + 1}",
          "at": [at["x0"] + (" + long - post" if k % 2 else ""),
                 at["y0"] + (" + deep - post" if k // 2 else ""),
                 bottom],
          "length runs": "up", "face": "back" if k // 2 else "front"}
         for k in range(4)]
    p += [{"part": "B", "as": f"{name} {side} rail", "corner": f"left {side} bottom",
           "at": [at["x0"], at["y0"] + back, f"{name} post 1.top - rail"]}
          for side, back in (("front", " - 0in"), ("back", " + deep"))]
    p += [{"part": "C", "as": f"{name} slats", "length runs": "back",
           "at": [at["x0"], at["y0"], f"{name} post 1.top"],
           "rows": [{"count": 14, "step": ["long / 14", "0in", "0in"]}]}]
    return p


def deck(want):
    """A step lays all sleepers, the next all slats, in rows of 50."""
    rows = [{"count": (want + 99) // 100, "step": ["2in", "0in", "0in"]},
            {"count": 50, "step": ["0in", "14in", "0in"]}]
    stock = {"wood": "red oak", "width": "1 1/2in", "sold": SOLD}
    return {
        "rodbook": 1, "title": "Deck", "hardware": HARDWARE,
        "stock": {"square": dict(stock, thickness="1 1/2in"),
                  "board": dict(stock, thickness="1/2in")},
        "parts": {"A": {"name": "Sleeper", "from": "square",
                        "length": "12in"},
                  "B": {"name": "Slat", "from": "board", "length": "12in"}},
        "pieces": [{"part": part, "as": name, "length runs": "back",
                    "at": ["0in", "0in", z], "rows": rows}
                   for part, name, z in (("A", "sleepers", "0in"),
                                         ("B", "slats", "1 1/2in"))],
        "steps": [{"title": "Lay the sleepers", "add": ["sleepers"]},
                  {"title": "Nail the slats", "add": ["slats"],
                   "fix": [{"join": ["slats", "sleepers"], "with": "brad",
                            "count": 2, "glue": True}]}]}


def main():
    want = int(sys.argv[1])
    if "--one-fix" in sys.argv:
        json.dump(deck(want), sys.stdout, indent=1)
        return
    racks = (want + 19) // 20
    side = max(1, round((racks / 4) ** 0.5))
    pieces, steps = [], []
    for n in range(racks):
        z, rest = divmod(n, side * side)
        y, x = divmod(rest, side)
        below = f"rack {n - side * side}" if z else None
        new = rack(n, x, y, z, below)
        pieces += new
        steps.append({"title": "Next rack", "add": [e["as"] for e in new],
                      "fix": [{"join": [f"rack {n} slats",
                                        f"rack {n} front rail",
                                        f"rack {n} back rail"],
                               "with": "brad", "count": 2, "glue": True}]})
    design = {"rodbook": 1, "title": "Racks",
              "sizes": {"high": "12in", "long": "24in", "deep": "12in",
                        "rail": "3/4in", "post": "1 1/2in"},
              "stock": {"square": {"wood": "red oak", "thickness": "post",
                                   "width": "post", "sold": SOLD},
                        "stick": {"wood": "red oak", "thickness": "rail",
                                  "width": "rail", "sold": SOLD},
                        "board": {"wood": "red oak", "thickness": "1/2in",
                                  "width": "1 1/2in", "sold": SOLD}},
              "parts": PARTS, "pieces": pieces}
    if "--steps" in sys.argv:
        design["hardware"] = HARDWARE
        design["steps"] = steps
    json.dump(design, sys.stdout, indent=1)


main()
