#!/usr/bin/env python3
"""machine.py ROD: files for machines, read by readers that are not
ours (ezdxf; svgelements), measured against closed forms and against each
other. Prints "N passed, M failed"."""
import math, os, subprocess, sys, tempfile

import ezdxf
from ezdxf.math import bulge_to_arc
from svgelements import SVG, Path

ROD = sys.argv[1]
passed = failed = 0


def check(name, fine):
    global passed, failed
    passed, failed = passed + bool(fine), failed + (not fine)
    if not fine:
        print("FAILED:", name)


def near(name, value, should, within):
    check(f"{name}: {value:.6f}, should be {should:.6f}",
          abs(value - should) <= within)


# ---- Loops as lists of points, fine enough for 1e-5 of an area ----

def arc_points(a, b, bulge, n=400):
    center, start, end, radius = bulge_to_arc(a, b, bulge)
    if end < start:
        end += 2 * math.pi
    ps = [(center.x + radius * math.cos(start + (end - start) * i / n),
           center.y + radius * math.sin(start + (end - start) * i / n))
          for i in range(n + 1)]
    return ps if bulge > 0 else ps[::-1]


def dxf_loops(path):
    """{layer: [points]}, and {layer: [circle]}."""
    loops, circles = {}, {}
    doc = ezdxf.readfile(path)
    for e in doc.modelspace():
        if e.dxftype() == "CIRCLE":
            circles.setdefault(e.dxf.layer, []).append(
                (e.dxf.center.x, e.dxf.center.y, e.dxf.radius))
        elif e.dxftype() == "POLYLINE":
            assert e.is_closed
            v = [(p.dxf.location.x, p.dxf.location.y, p.dxf.bulge)
                 for p in e.vertices]
            points = []
            for (x, y, bulge), (x1, y1, _) in zip(v, v[1:] + v[:1]):
                points += arc_points((x, y), (x1, y1), bulge)[:-1] \
                    if bulge else [(x, y)]
            loops.setdefault(e.dxf.layer, []).append(points)
    return doc, loops, circles


def svg_loops(path):
    loops = {}
    svg = SVG.parse(path, ppi=25.4)      # a unit is a millimeter
    for e in svg.elements():
        if not isinstance(e, Path):
            continue
        points = []
        for seg in e:
            name = type(seg).__name__
            if name in ("Move", "Close"):
                continue
            n = 1 if name == "Line" else 400
            points += [(p.x, -p.y) for p in (seg.point(i / n)
                                             for i in range(n))]
        loops.setdefault(e.values["attributes"].get("id")
                         or e.values.get("id"), []).append(points)
    return loops


def area(p):
    return sum(a[0] * b[1] - b[0] * a[1]
               for a, b in zip(p, p[1:] + p[:1])) / 2


def girth(p):
    return sum(math.dist(a, b) for a, b in zip(p, p[1:] + p[:1]))


def total(loops):
    return sum(area(p) for p in loops)


# ---- A board with a bit of everything ----

PANEL = os.path.join(os.path.dirname(os.path.abspath(__file__)),
                     "../machine/panel.json")


def draw(folder, path, name, form, *more):
    out = os.path.join(folder, "out." + form)
    if os.path.exists(out):
        os.remove(out)
    run = subprocess.run([ROD, "draw", path, name, "--as", form, "-o", out,
                          *more], capture_output=True, text=True)
    return out if os.path.exists(out) else None, run.stderr


def main(folder):
    # 300 x 200 mm, an arch 100 wide that springs at 40 and rises 50: half a
    # circle; a window 60 x 30; a hole 8; a dado 12 wide, 4 deep.
    panel = PANEL
    plate = 300 * 200 - 100 * 40 - math.pi * 50 ** 2 / 2 - 60 * 30
    edge = (2 * (300 + 200) - 100 + 2 * 40 + math.pi * 50, 2 * (60 + 30))
    for form in "svg", "dxf":
        out, err = draw(folder, panel, "A front", form)
        check(f"{form} is written: {err}", out)
        if not out:
            return
    doc, loops, circles = dxf_loops(os.path.join(folder, "out.dxf"))
    check("ezdxf finds nothing to mend", not doc.audit().has_errors)
    check("release 12", doc.dxfversion == "AC1009")
    near("DXF area cut", total(loops["CUT"]), plate, plate * 1e-4)
    near("DXF girth", sum(map(girth, loops["CUT"])), sum(edge), 0.05)
    near("DXF dado", abs(total(loops["MILL_4"])), 12 * 200, 0.01)
    check("a drilled hole is a circle of its diameter",
          circles["DRILL"] == [(250.0, 30.0, 4.0)])
    check("a blind hole says its depth", circles["DRILL_5"]
          == [(20.0, 180.0, 3.0)])
    check("each path once", len(loops["CUT"]) == 2
          and len(loops["MILL_4"]) == 1)

    svg = svg_loops(os.path.join(folder, "out.svg"))
    every = [p for ps in svg.values() for p in ps]
    big = max(every, key=lambda p: abs(area(p)))
    near("SVG area cut", abs(area(big)) - 60 * 30, plate, plate * 1e-4)
    xs = [x for x, _ in big]
    near("SVG is in millimeters", max(xs) - min(xs), 300, 0.01)

    # From the back the same, x the other way; what is on the front is not.
    out, _ = draw(folder, panel, "A back", "dxf")
    _, back, holes = dxf_loops(out)
    near("DXF area from the back", total(back["CUT"]), plate, plate * 1e-4)
    near("the hole from the back", holes["DRILL"][0][0], 50, 1e-6)
    check("no dado on the back", "MILL_4" not in back)

    # A tool of 6 mm: outlines grow by 3, openings shrink by 3. The foot of
    # the arch is open, so that the outline is one loop: its outside corners
    # are rounded (6 of them convex), the arch's radius falls to 47.
    out, err = draw(folder, panel, "A front", "dxf", "--tool", "6mm")
    check(f"with a tool: {err}", out)
    _, path, holes = dxf_loops(out)
    r = 3
    # closed form by bands: straight sides add r each, convex corners pi r^2
    # in all 6 quarters, the arch loses (50^2 - 47^2) pi / 2
    sides = 2 * 200 + 300 + (300 - 100) + 2 * 40
    grown = (300 * 200 - 100 * 40 - math.pi * 50 ** 2 / 2 + sides * r
             + 6 * math.pi * r * r / 4 + math.pi / 2 * (50 ** 2 - 47 ** 2))
    window = (60 - 2 * r) * (30 - 2 * r)
    near("DXF area beside a tool", total(path["CUT"]), grown - window,
         grown * 1e-4)
    near("a dado is run inside", abs(total(path["MILL_4"])), 6 * 194, 0.02)
    check("drilled holes keep their diameter",
          holes["DRILL"] == [(250.0, 30.0, 4.0)])

    # A tool that does not pass is an error that says both widths.
    out, err = draw(folder, panel, "A front", "dxf", "--tool", "13mm")
    check("a tool wider than the dado is refused: " + err,
          out is None and "13.000 mm is too wide" in err)
    out, err = draw(folder, panel, "A", "dxf")
    check("a picture is no DXF: " + err,
          out is None and "cannot be drawn as dxf" in err)


with tempfile.TemporaryDirectory() as t:
    main(t)
print(f"machine: {passed} passed, {failed} failed")
sys.exit(failed > 0 or passed == 0)
