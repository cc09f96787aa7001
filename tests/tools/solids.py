#!/usr/bin/env python3
"""solids.py ROD: the panel of tests/machine as a solid, by readers that are
not ours (admesh for STL; a reader of glTF below), and its facts, against
closed forms. Prints "N passed, M failed"."""
import base64, csv, io, json, math, os, re, shutil, struct, subprocess, sys
import tempfile

ROD = sys.argv[1]
PANEL = os.path.join(os.path.dirname(os.path.abspath(__file__)),
                     "../machine/panel.json")
passed = failed = 0

# 300 x 200 x 12 mm less half a circle over a foot, a window, a hole, a
# blind hole, and a dado over the whole width.
PLATE = 300 * 200 - 100 * 40 - math.pi * 50 ** 2 / 2 - 60 * 30 \
    - math.pi * 4 ** 2
VOLUME = PLATE * 12 - math.pi * 3 ** 2 * 5 - 12 * 200 * 4
# Facets within 0.02 mm take too little: 2/3 of that over curved walls.
CURVED = math.pi * 50 * 12 + 2 * math.pi * 4 * 12 + 2 * math.pi * 3 * 5
WITHIN = 0.02 * 2 / 3 * CURVED + 0.1


def check(name, fine):
    global passed, failed
    passed, failed = passed + bool(fine), failed + (not fine)
    if not fine:
        print("FAILED:", name)


def near(name, value, should, within):
    check(f"{name}: {value:.4f}, should be {should:.4f}",
          abs(value - should) <= within)


def run(*words):
    return subprocess.run(words, capture_output=True, text=True).stdout


def read_gltf(path):
    """Triangles of the first mesh as lists of corners, with checks."""
    doc = json.load(open(path))
    blob = [base64.b64decode(b["uri"].split(",", 1)[1])
            for b in doc["buffers"]]
    for b, bytes_ in zip(doc["buffers"], blob):
        check("buffer is as long as it says", b["byteLength"] == len(bytes_))
    codes = {5121: "B", 5123: "H", 5125: "I", 5126: "f"}
    width = {"SCALAR": 1, "VEC3": 3}

    def values(number):
        a = doc["accessors"][number]
        v = doc["bufferViews"][a["bufferView"]]
        n = width[a["type"]]
        form = "<" + codes[a["componentType"]] * n
        size = struct.calcsize(form)
        at = v.get("byteOffset", 0) + a.get("byteOffset", 0)
        step = v.get("byteStride", size)
        check("accessor lies in its view",
              a.get("byteOffset", 0) + step * (a["count"] - 1) + size
              <= v["byteLength"])
        rows = [struct.unpack_from(form, blob[v["buffer"]], at + i * step)
                for i in range(a["count"])]
        for k in range(n):
            if "min" in a:
                check("min and max are true",
                      abs(min(r[k] for r in rows) - a["min"][k]) < 1e-6
                      and abs(max(r[k] for r in rows) - a["max"][k]) < 1e-6)
        return rows

    out = []
    for p in doc["meshes"][0]["primitives"]:
        corner = values(p["attributes"]["POSITION"])
        index = [i for (i,) in values(p["indices"])]
        check("indices are in range and whole triangles",
              max(index) < len(corner) and len(index) % 3 == 0)
        out += [[corner[i] for i in index[k:k + 3]]
                for k in range(0, len(index), 3)]
    return out


def volume_of(triangles):
    return sum(a[0] * (b[1] * c[2] - b[2] * c[1])
               + a[1] * (b[2] * c[0] - b[0] * c[2])
               + a[2] * (b[0] * c[1] - b[1] * c[0])
               for a, b, c in triangles) / 6


def is_closed(triangles):
    edges = {}
    for t in triangles:
        for a, b in zip(t, t[1:] + t[:1]):
            edges[a, b] = edges.get((a, b), 0) + 1
    return all(edges.get((b, a), 0) == n for (a, b), n in edges.items())


def main(folder):
    stl, gltf = (os.path.join(folder, "p." + x) for x in ("stl", "gltf"))
    run(ROD, "draw", PANEL, "--as", "stl", "-o", stl)
    run(ROD, "draw", PANEL, "--as", "gltf", "-o", gltf)

    triangles = read_gltf(gltf)
    check("glTF is closed", is_closed(triangles))
    top = json.load(open(gltf))["nodes"][0]["matrix"]
    check("glTF is in meters, y up",
          top == [.001, 0, 0, 0, 0, 0, -.001, 0, 0, .001, 0, 0, 0, 0, 0, 1])
    near("glTF volume", volume_of(triangles), VOLUME,
         WITHIN + VOLUME * 1e-5)   # coordinates are floats

    if shutil.which("admesh"):
        said = run("admesh", "-f", "-d", stl)

        def figure(word):
            found = re.search(re.escape(word) + r"\s*:\s*([-0-9.]+)", said)
            return float(found.group(1)) if found else math.nan

        near("STL volume by admesh", figure("Volume"), VOLUME,
             WITHIN + VOLUME * 1e-5)
        check("admesh finds one part", figure("Number of parts") == 1)
        check("admesh finds it watertight",
              figure("Total disconnected facets") == 0)
    else:
        print("solids: admesh is not installed, STL not read")

    facts = json.loads(run(ROD, "list", PANEL, "--what", "facts", "--as",
                           "json"))
    part = facts["parts"][0]
    near("volume in the facts", part["volume_mm3"], VOLUME, WITHIN)
    check("surface is the sum of its sides",
          abs(sum(part["surface_by_side_mm2"].values())
              - part["surface_mm2"]) < 0.01)
    near("area of the back", part["surface_by_side_mm2"]["back"],
         PLATE, 3)
    rows = list(csv.DictReader(io.StringIO(
        run(ROD, "list", PANEL, "--what", "facts", "--as", "csv"))))
    check("CSV has part, piece and all",
          [r["kind"] for r in rows] == ["part", "piece", "overall"])
    for r in rows:
        near("CSV volume of " + r["kind"], float(r["volume_mm3"]),
             part["volume_mm3"], 1e-4)
        check("CSV size of " + r["kind"],
              [float(r[f"size_{k}_mm"]) for k in "xyz"] == [300, 200, 12])
    solid = (300 * 200 * 150 - 100 * 40 * 80
             - math.pi * 50 ** 2 / 2 * 80 - 60 * 30 * 210
             - math.pi * 16 * 250) * 12 - math.pi * 9 * 5 * 20
    near("center of mass", part["center_mm"][0],
         (solid - 12 * 200 * 4 * 276) / VOLUME, 0.01)
    text = run(ROD, "list", PANEL, "--what", "facts", "--units", "mm")
    check("text gives the size: " + text,
          "all: size 300, 200, 12 mm" in text)


with tempfile.TemporaryDirectory() as t:
    main(t)
print(f"solids: {passed} passed, {failed} failed")
sys.exit(failed > 0 or passed == 0)
