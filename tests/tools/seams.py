#!/usr/bin/env python3
"""seams.py OUTLINES BOOKLET.pdf DESIGN letter|a4|WIDTH

Prints the template sheets with poppler at 300 dpi, finds the numbered
crosses on the pictures, joins the pieces (sheets, or pieces of a strip that
lie side by side on one; these with a straightedge along their edges, as the
booklet says) by them as a maker would, and
holds the joined picture against the model's outline (from OUTLINES, a
program). Then reads each outline from the page's own operators (qpdf) and
compares area and perimeter. Says what it measured; exit 1 if anything is
off by more than it may be.
"""
import math, re, subprocess, sys

DPI = 300
PX = DPI / 25.4          # pixels in a millimeter
OFF_MM = 0.2             # joined outline
PAGE_MM = 0.05           # outline on a page, by its operators
SHARE = 1e-4             # area, perimeter
REACH = 4.0              # half a cross, mm


def run(*command):
    return subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout


class Picture:
    def __init__(self, pdf, page):
        data = run("pdftoppm", "-r", str(DPI), "-gray", "-f", str(page),
                   "-l", str(page), pdf)
        head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+\d+\s", data)
        self.w, self.h = int(head[1]), int(head[2])
        self.px = data[head.end():]

    def dark(self, x, y):        # pixels, y down: 0 white to 1 black
        if 0 <= x < self.w and 0 <= y < self.h:
            return 1 - self.px[y * self.w + x] / 255
        return 0.0

    def cross_at(self, x, y):
        """Share of the arms of a cross that are dark."""
        n = hit = 0
        for d in range(int(0.5 * PX), int(3.8 * PX)):
            for ax, ay in ((d, 0), (-d, 0), (0, d), (0, -d)):
                n += 1
                hit += max(self.dark(x + ax + i * (ay != 0),
                                     y + ay + i * (ax != 0))
                           for i in (-1, 0, 1)) > 0.3
        return hit / n

    def find_cross(self, x_mm, y_mm):
        """The cross near a point, in mm from the top left, or None."""
        best, at = 0.9, None
        cx, cy = round(x_mm * PX), round(y_mm * PX)
        r = round(1.3 * PX)
        for y in range(cy - r, cy + r + 1):
            for x in range(cx - r, cx + r + 1):
                if self.dark(x, y) > 0.3:
                    s = self.cross_at(x, y)
                    if s > best:
                        best, at = s, (x, y)
        return at and self.center(*at)

    def center(self, x, y):
        """The middle of the dark of a cross's circle or diamond, without
        its arms: the printer draws upright and level lines on whole pixels,
        up to half of one off, but not these. No corners, where numerals are."""
        cx, cy = x + 0.5, y + 0.5
        for _ in range(4):
            sx = sy = w = 0.0
            for py in range(int(cy) - 28, int(cy) + 29):
                for px in range(int(cx) - 28, int(cx) + 29):
                    dx, dy = px + 0.5 - cx, py + 0.5 - cy
                    if min(abs(dx), abs(dy)) < 0.4 * PX \
                            or min(abs(dx), abs(dy)) > 1.3 * PX \
                            or not 1.2 * PX < math.hypot(dx, dy) < 2.3 * PX:
                        continue
                    k = self.dark(px, py)
                    sx, sy, w = sx + k * dx, sy + k * dy, w + k
            cx, cy = cx + sx / w, cy + sy / w
        return cx / PX, cy / PX

    def line_at(self, axis, at, v, tall):
        """Where an upright (axis 0) or level line at `at` really is, v along
        it, mm with y up; None: there is none."""
        sw = sx = 0.0
        for i in range(-8, 9):
            u = at + i / PX
            x, y = (u, tall - v) if axis == 0 else (v, tall - u)
            k = self.dark(int(x * PX), int(y * PX))
            sw, sx = sw + k, sx + k * u
        return sx / sw if sw > 0.5 else None

    def off(self, x_mm, y_mm):
        """Distance from a point to the nearest dark, mm, up to 0.6."""
        best = 0.6
        x0, y0, r = int(x_mm * PX), int(y_mm * PX), int(0.6 * PX) + 1
        for y in range(y0 - r, y0 + r + 1):
            for x in range(x0 - r, x0 + r + 1):
                if self.dark(x, y) > 0.4:
                    d = math.hypot((x + 0.5) / PX - x_mm,
                                   (y + 0.5) / PX - y_mm)
                    best = min(best, d)
        return best


def crosses(pdf, piece, picture):
    """Number to place of each cross where a piece is joined, found by its
    numeral, which stands at its right or left."""
    found = {}
    page = str(piece.page)
    text = run("pdftotext", "-bbox", "-f", page, "-l", page, pdf,
               "-").decode()
    k, tall = 25.4 / 72, picture.h / PX
    for m in re.finditer(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" '
                         r'yMax="([\d.]+)">(\d+)<', text):
        left, low, right = (float(m[i]) * k for i in (1, 4, 3))
        for x in left - 1.6, right + 1.6:
            at = picture.find_cross(x, low + 1.0)
            if at and piece.joins_at(at[0], tall - at[1]):
                found[int(m[5])] = at
                break
    return found


def straight_runs(points):
    """Level and upright straight stretches of the outline, 60 mm or more:
    (fixed axis, its value, from, to)."""
    runs, begin = [], 0
    for i in range(1, len(points) + 1):
        axis = next((k for k in (0, 1) if i - begin > 1 and abs(
            points[begin][k] - points[begin + 1][k]) < 1e-6), None)
        if i < len(points) and math.dist(points[i - 1], points[i]) < 1.2 and (
                i - begin < 2 or axis is not None
                and abs(points[i][axis] - points[begin][axis]) < 1e-6):
            continue
        if axis is not None:
            a, b = points[begin][1 - axis], points[i - 1][1 - axis]
            runs.append((axis, points[begin][axis], min(a, b), max(a, b)))
        begin = i
    return [r for r in runs if r[3] - r[2] >= 60]


def edge_turn(piece, picture, runs):
    """How far a narrow piece's longest straight edge is turned on its
    picture, as a straightedge along it would tell; None: it has none."""
    best, tall = None, picture.h / PX
    if not piece.is_narrow(picture):
        return None
    for axis, at, low, high in runs:
        along, across = piece.at[1 - axis], piece.at[axis]
        low = max(low + along, piece.window[1 - axis] + 15)
        high = min(high + along, piece.window[3 - axis] - 15)
        if high - low >= 60 and (best is None or high - low
                                 > best[3] - best[2]):
            best = axis, at + across, low, high
    if not best:
        return None
    axis, at, low, high = best
    off = []
    for v in low, high:
        found = [picture.line_at(axis, at, v + i / 2 - 4, tall)
                 for i in range(17)]
        found = sorted(f for f in found if f is not None)
        if not found:
            return None
        off.append(found[len(found) // 2])
    turn = (off[1] - off[0]) / (high - low)
    return turn if axis else -turn


def fit(pairs, turn=None):
    """Turn and shift that lay points of one piece on those of another; the
    turn may be known."""
    n = len(pairs)
    ax = sum(p[0][0] for p in pairs) / n
    ay = sum(p[0][1] for p in pairs) / n
    bx = sum(p[1][0] for p in pairs) / n
    by = sum(p[1][1] for p in pairs) / n
    s = c = 0.0
    for (px, py), (qx, qy) in pairs:
        c += (px - ax) * (qx - bx) + (py - ay) * (qy - by)
        s += (px - ax) * (qy - by) - (py - ay) * (qx - bx)
    t = turn if turn is not None else math.atan2(s, c) if n > 1 else 0.0
    co, si = math.cos(t), math.sin(t)
    return co, si, bx - co * ax + si * ay, by - si * ax - co * ay


def lay(f, p):
    co, si, dx, dy = f
    return co * p[0] - si * p[1] + dx, si * p[0] + co * p[1] + dy


def back(f, p):
    co, si, dx, dy = f
    x, y = p[0] - dx, p[1] - dy
    return co * x + si * y, -si * x + co * y


def join(sheets, marks, turns):
    """From each piece to the first one's paper, seam by seam."""
    laid = {sheets[0]: (1.0, 0.0, 0.0, 0.0)}
    grown = True
    while grown:
        grown = False
        for s in sheets:
            if s in laid:
                continue
            pairs, turn = [], None
            for o in laid:
                for n in marks[s].keys() & marks[o].keys():
                    pairs.append((marks[s][n], lay(laid[o], marks[o][n])))
                if marks[s].keys() & marks[o].keys() \
                        and None not in (turns[s], turns[o]):
                    turn = math.atan2(laid[o][1], laid[o][0]) \
                        + turns[s] - turns[o]
            if len(pairs) >= 2:
                laid[s] = fit(pairs, turn)
                grown = True
    return laid


# ---- What the operators say

def strokes(pdf, page):
    """Points along every stroked 0.25 mm path of a page, mm, y up."""
    lines = run("qpdf", "--qdf", "--object-streams=disable", pdf,
                "--pages", ".", str(page), "--", "-").split(b"\n")
    k, width, out, path = 25.4 / 72, 0.0, [], []
    for line in lines:
        w = line.split()
        if not w:
            continue
        op = w[-1]
        if op not in (b"w", b"m", b"l", b"c", b"h", b"S"):
            continue
        try:
            v = [float(x) for x in w[:-1]]
        except ValueError:
            continue
        if len(v) != {b"w": 1, b"m": 2, b"l": 2, b"c": 6}.get(op, 0) \
                or (op in b"lc" and not path):
            continue
        if op == b"w":
            width = v[0] * k
        elif op == b"m":
            path.append([(v[0] * k, v[1] * k)])
        elif op == b"l":
            path[-1].append((v[0] * k, v[1] * k))
        elif op == b"c":
            p0 = path[-1][-1]
            p = [(v[i] * k, v[i + 1] * k) for i in (0, 2, 4)]
            for i in range(1, 65):
                t, u = i / 64, 1 - i / 64
                path[-1].append(tuple(
                    u ** 3 * p0[d] + 3 * u * u * t * p[0][d]
                    + 3 * u * t * t * p[1][d] + t ** 3 * p[2][d]
                    for d in (0, 1)))
        elif op == b"h" and path:
            path[-1].append(path[-1][0])
        elif op == b"S":
            if abs(width - 0.25) < 0.001:
                out += path
            path = []
    return out


class Grid:
    """Lines in squares of 2 mm."""
    def __init__(self, paths):
        self.cells = {}
        for p in paths:
            for a, b in zip(p, p[1:]):
                n = int(math.dist(a, b)) + 1
                for cell in {self.cell(a[0] + (b[0] - a[0]) * i / n,
                                       a[1] + (b[1] - a[1]) * i / n)
                             for i in range(n + 1)}:
                    self.cells.setdefault(cell, []).append((a, b))

    @staticmethod
    def cell(x, y):
        return int(x // 2), int(y // 2)

    def off(self, x, y):
        """Distance to the nearest line, up to 0.6."""
        best, (cx, cy) = 0.6, self.cell(x, y)
        for i in range(9):
            for a, b in self.cells.get((cx + i % 3 - 1, cy + i // 3 - 1),
                                       ()):
                wx, wy = b[0] - a[0], b[1] - a[1]
                k = wx * wx + wy * wy
                t = ((x - a[0]) * wx + (y - a[1]) * wy) / k if k else 0
                t = min(1, max(0, t))
                best = min(best, math.hypot(x - a[0] - t * wx,
                                            y - a[1] - t * wy))
        return best


def off_page(piece, points, grid):
    """How far the lines of a page are off where the piece's window shows
    the outline."""
    x0, y0, x1, y1 = piece.window
    at = [(x + piece.at[0], y + piece.at[1]) for x, y in points]
    return max((grid.off(*p) for p in at if x0 < p[0] < x1
                and y0 < p[1] < y1), default=0.6)


def measure(p):
    area = sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(p, p[1:] + p[:1]))
    return area / 2, sum(math.dist(a, b) for a, b in zip(p, p[1:]))


class Piece:
    def __init__(self, words):
        self.name, self.page = words[1], int(words[2])
        self.pattern = int(words[3])
        self.at = float(words[4]), float(words[5])
        self.window = [float(x) for x in words[6:10]]
        self.strips = []

    def find_strips(self, others):
        """Where other pieces show the same 10 mm of the pattern."""
        for o in others:
            by = [self.at[i % 2] - o.at[i % 2] for i in range(4)]
            w = [o.window[i] + by[i] for i in range(4)]
            strip = [(max, max, min, min)[i](self.window[i], w[i])
                     for i in range(4)]
            size = strip[2] - strip[0], strip[3] - strip[1]
            if o is not self and min(size) > 9 and max(size) > 15:
                self.strips.append(strip)

    def is_narrow(self, picture):
        w = sorted((self.window[2] - self.window[0],
                    self.window[3] - self.window[1]))
        return w[0] < min(picture.w, picture.h) / PX / 2 and self.strips

    def joins_at(self, x, y):
        return any(s[0] < x < s[2] and s[1] < y < s[3] for s in self.strips)

    def shows(self, p, tall):        # p: y down
        x0, y0, x1, y1 = self.window
        return x0 - 0.3 < p[0] < x1 + 0.3 \
            and y0 - 0.3 < tall - p[1] < y1 + 0.3


def main():
    outlines, pdf, design, paper = sys.argv[1:]
    sheets, patterns, points = {}, {}, {}
    for line in run(outlines, design, paper).decode().splitlines():
        w = line.split()
        if w[0] == "sheet":
            piece = Piece(w)
            sheets.setdefault(piece.pattern, []).append(piece)
        elif w[0] == "pattern":
            patterns[int(w[1])] = (w[2], float(w[3]), float(w[4]))
        else:
            points.setdefault(int(w[1]), []).append(
                (float(w[2]), float(w[3])))
    bad, pictures, lines, grids = 0, {}, {}, {}
    for n, (letter, area, length) in sorted(patterns.items()):
        on = sheets[n]
        for s in on:
            if s.page not in pictures:
                pictures[s.page] = Picture(pdf, s.page)
            s.find_strips(on)
        marks = {s: crosses(pdf, s, pictures[s.page]) for s in on}
        runs = straight_runs(points[n])
        laid = join(on, marks, {s: edge_turn(s, pictures[s.page], runs)
                                for s in on})
        height = pictures[on[0].page].h / PX
        worst = 0.0
        for x, y in points[n]:
            at = (x + on[0].at[0], height - y - on[0].at[1])
            off = 0.6
            for g in laid:
                q = back(laid[g], at)
                p = pictures[g.page]
                if g.shows(q, p.h / PX):
                    off = min(off, p.off(*q))
            worst = max(worst, off)
        for s in on:
            if s.page not in lines:
                lines[s.page] = strokes(pdf, s.page)
                grids[s.page] = Grid(lines[s.page])
        page_off = max(off_page(s, points[n], grids[s.page]) for s in on)
        paths = [measure(p) for p in lines[on[0].page] if len(p) > 2]
        d_area = min((abs(abs(a) / area - 1) for a, _ in paths),
                     default=1.0)
        d_length = min((abs(l / length - 1) for a, l in paths), default=1.0)
        whole = len(laid) == len(on)
        holes = len(patterns) and d_area > SHARE and one_of_many(
            paths, area, length)
        good = whole and worst <= OFF_MM and page_off <= PAGE_MM and (
            (d_area <= SHARE and d_length <= SHARE) or holes)
        print("%s %s: %d pieces on %d sheets, %d joined by %d marks, %d "
              "points, worst %.3f mm joined, %.3f mm on a page%s"
              % ("ok  " if good else "BAD ", letter, len(on),
                 len({s.page for s in on}), len(laid),
                 sum(map(len, marks.values())), len(points[n]), worst,
                 page_off, "" if holes else ", area off %.5f %%, perimeter "
                 "%.5f %%" % (100 * d_area, 100 * d_length)))
        bad += not good
    sys.exit(1 if bad or not patterns else 0)


def one_of_many(paths, area, length):
    """With cut-outs: some choice of loops makes the area and perimeter."""
    for a, l in paths:
        rest_a, rest_l = abs(a) - area, length - l
        inner = [(abs(b), k) for b, k in paths if abs(b) < abs(a)]
        inner.sort(reverse=True)
        for b, k in inner:
            if b <= rest_a * (1 + SHARE) + SHARE * area \
                    and k <= rest_l + SHARE * length:
                rest_a, rest_l = rest_a - b, rest_l - k
        if abs(rest_a) <= SHARE * area and abs(rest_l) <= SHARE * length:
            return True
    return False


main()
