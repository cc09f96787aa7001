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


# ---- Curves against their closed forms

CURVES = os.path.join(os.path.dirname(PANEL), "curves.json")


def exact_curves():
    """The outline of tests/machine/curves.json, a point each 0.005 mm or
    less; its area and girth."""
    def line(a, b):
        n = int(math.dist(a, b) / 0.005) + 1
        return [(a[0] + (b[0] - a[0]) * i / n, a[1] + (b[1] - a[1]) * i / n)
                for i in range(n)]

    def turn(cx, cy, rx, ry, a, b):
        n = int(abs(b - a) * max(rx, ry) / 0.005) + 1
        return [(cx + rx * math.cos(a + (b - a) * i / n),
                 cy + ry * math.sin(a + (b - a) * i / n)) for i in range(n)]

    r = 80 ** 2 / (8 * 25) + 25 / 2          # of chord and rise
    half = math.asin(40 / r)
    p = (100, 80), (70, 150), (30, 40), (0, 60)
    n = 40000
    cubic = [tuple((1 - t) ** 3 * p[0][k] + 3 * (1 - t) ** 2 * t * p[1][k]
                   + 3 * (1 - t) * t * t * p[2][k] + t ** 3 * p[3][k]
                   for k in (0, 1)) for t in (i / n for i in range(n))]
    outer = (line((0, 0), (30, 0)) + line((30, 0), (30, 10))
             + turn(50, 10, 20, 15, math.pi, 0) + line((70, 10), (70, 0))
             + line((70, 0), (180, 0)) + line((180, 0), (180, 80))
             + turn(140, 105 - r, r, r, math.pi / 2 - half,
                    math.pi / 2 + half)
             + cubic + line((0, 60), (0, 0)))
    hole = turn(140, 40, 10, 10, 0, 2 * math.pi)
    return [outer, hole[::-1]]


class Near:
    """The distance from a point to the nearest of many."""
    def __init__(self, points):
        self.cells = {}
        for p in points:
            self.cells.setdefault((int(p[0]), int(p[1])), []).append(p)

    def __call__(self, p):
        return min((math.dist(p, q) for dx in (-1, 0, 1) for dy in (-1, 0, 1)
                    for q in self.cells.get((int(p[0]) + dx, int(p[1]) + dy),
                                            ())), default=9.0)


def dense(p, step):
    for a, b in zip(p, p[1:] + p[:1]):
        n = int(math.dist(a, b) / step) + 1
        for i in range(n):
            yield (a[0] + (b[0] - a[0]) * i / n, a[1] + (b[1] - a[1]) * i / n)


def worst(loops, exact):
    """Largest distance, both ways; a thousand points or so each way."""
    to_exact, to_loops = Near(q for p in exact for q in p), Near(
        q for p in loops for q in dense(p, 0.005))
    some = [q for p in loops for q in list(dense(p, 0.2))]
    return max([to_exact(q) for q in some]
               + [to_loops(q) for p in exact for q in p[::97]])


def pdf_paths(pdf):
    """Closed stroked paths of a page in mm, cubics in 400 pieces, and how
    many lines and cubics each has."""
    text = subprocess.run(["qpdf", "--qdf", "--object-streams=disable", pdf,
                           "-"], capture_output=True, check=True).stdout
    paths, path, k = [], None, 25.4 / 72
    for row in text.split(b"\n"):
        w = row.split()
        op = w[-1] if w else b""
        if len(w) != {b"m": 3, b"l": 3, b"c": 7, b"h": 1}.get(op, 0):
            continue
        try:
            v = [float(x) * k for x in w[:-1]]
        except ValueError:
            continue
        if op == b"m":
            path = [[tuple(v)], 0, 0]
        elif op == b"l" and path:
            path[0].append(tuple(v))
            path[1] += 1
        elif op == b"c" and path:
            p = path[0][-1], v[:2], v[2:4], v[4:]
            path[0] += [tuple((1 - t) ** 3 * p[0][j]
                              + 3 * (1 - t) ** 2 * t * p[1][j]
                              + 3 * (1 - t) * t * t * p[2][j] + t ** 3
                              * p[3][j] for j in (0, 1))
                        for t in (i / 400 for i in range(1, 401))]
            path[2] += 1
        elif op == b"h" and path:
            paths.append(path)
            path = None
    return paths


def box(p):
    xs, ys = [q[0] for q in p], [q[1] for q in p]
    return min(xs), min(ys), max(xs), max(ys)


def laid(loops, exact, quarter):
    """Loops turned by quarters, with the corner of the box of the first on
    that of the exact outline."""
    co, si = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]
    loops = [[(x * co - y * si, x * si + y * co) for x, y in p]
             for p in loops]
    a, b = box(loops[0]), box(exact[0])
    return [[(x + b[0] - a[0], y + b[1] - a[1]) for x, y in p] for p in loops]


def measured(name, loops, within):
    """Loops, the outer first, against the closed form, in the quarter turn
    in which they lie."""
    exact = exact_curves()
    off = min(worst(laid(loops, exact, q), exact) for q in range(4))
    check(f"{name}: worst {off:.4f} mm, may be {within}", off <= within)
    near(f"{name}: area", sum(abs(area(p)) * (1 if i == 0 else -1)
                              for i, p in enumerate(loops)),
         total(exact), total(exact) * 1e-4)
    girths = sum(map(girth, exact))
    near(f"{name}: girth", sum(map(girth, loops)), girths, girths * 1e-4)


def curves(folder):
    pdf = os.path.join(folder, "out.pdf")
    run = subprocess.run([ROD, "draw", CURVES, "templates", "--paper", "a4",
                          "-o", pdf], capture_output=True, text=True)
    check("templates are drawn: " + run.stderr, os.path.exists(pdf))
    paths = sorted((p for p in pdf_paths(pdf) if p[2]),
                   key=lambda p: -abs(area(p[0])))[:2]
    check("PDF: the outline and its hole", len(paths) == 2)
    # 7 straight edges; curves are curves, not facets
    check(f"PDF: {paths[0][1]} lines and {paths[0][2]} curves",
          paths[0][1] <= 8 and 3 <= paths[0][2] <= 40)
    measured("PDF", [p[0] for p in paths], 0.01)
    bent = [[(x * 1.0002, y) for x, y in p[0]] for p in paths]
    exact = exact_curves()
    check("a drawing 0.2 per mill wide is found",
          min(worst(laid(bent, exact, q), exact) for q in range(4)) > 0.01)
    dxf, _ = draw(folder, CURVES, "A front", "dxf")
    _, loops, circles = dxf_loops(dxf)
    x, y, r = circles["DRILL"][0]
    round_ = [(x + r * math.cos(i / 500 * math.pi),
               y + r * math.sin(i / 500 * math.pi)) for i in range(1000)]
    measured("DXF", loops["CUT"] + [round_], 0.05)
    svg, _ = draw(folder, CURVES, "A front", "svg")
    every = [p for ps in svg_loops(svg).values() for p in ps]
    measured("SVG", sorted(every, key=lambda p: -abs(area(p)))[:2], 0.05)


with tempfile.TemporaryDirectory() as t:
    main(t)
    curves(t)
print(f"machine: {passed} passed, {failed} failed")
sys.exit(failed > 0 or passed == 0)
