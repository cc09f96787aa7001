// lines -- the same scenes by the exact hidden-line algorithm of a
// general-purpose geometry kernel (Open CASCADE, from Debian), which shares
// no code with ours. Reads what scenes.c prints; exits with 1 where the ink
// is not the same, or where the kernel is not LEAST times slower (the first
// argument).
//
// Ink is what is black on paper: each line is followed in steps, and each
// step must lie on some line of the other picture. Lengths or counts would
// tell lines apart that are drawn over one another or in pieces.
#include <BRep_Builder.hxx>
#include <BRepAdaptor_Curve.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRepLib.hxx>
#include <HLRAlgo_Projector.hxx>
#include <HLRBRep_Algo.hxx>
#include <HLRBRep_HLRToShape.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <gp_Ax2.hxx>
#include <gp_Pln.hxx>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <iostream>
#include <map>
#include <string>
#include <vector>

static const double TOLERANCE = 0.02;   // mm between one ink and the other
static const double STEP      = 0.25;   // mm along a line

struct Line { double x0, y0, x1, y1; };

// ---- A solid, with corners and edges that its faces share

typedef std::map<std::pair<int, int>, TopoDS_Edge> Edges;

static TopoDS_Edge edge_between(Edges &edges,
                                const std::vector<TopoDS_Vertex> &corner,
                                int a, int b) {
    TopoDS_Edge &e = edges[{ std::min(a, b), std::max(a, b) }];
    if (e.IsNull())
        e = BRepBuilderAPI_MakeEdge(corner[std::min(a, b)],
                                    corner[std::max(a, b)]).Edge();
    return TopoDS::Edge(e.Oriented(a < b ? TopAbs_FORWARD : TopAbs_REVERSED));
}

static TopoDS_Shape read_solid() {
    BRep_Builder make;
    TopoDS_Shell shell;
    TopoDS_Solid solid;
    Edges        edges;
    int          corners, faces;

    std::cin >> corners >> faces;
    std::vector<gp_Pnt>        at(corners);
    std::vector<TopoDS_Vertex> corner(corners);
    for (int i = 0; i < corners; i++) {
        double x, y, z;
        std::cin >> x >> y >> z;
        at[i]     = gp_Pnt(x, y, z);
        corner[i] = BRepBuilderAPI_MakeVertex(at[i]).Vertex();
    }
    make.MakeShell(shell);
    for (int i = 0; i < faces; i++) {
        double nx, ny, nz;
        int    loops;
        std::cin >> nx >> ny >> nz >> loops;
        BRepBuilderAPI_MakeFace face;
        for (int k = 0; k < loops; k++) {
            int n;
            std::cin >> n;
            std::vector<int> loop(n);
            for (int &j : loop)
                std::cin >> j;
            TopoDS_Wire wire;
            make.MakeWire(wire);
            for (int j = 0; j < n; j++)
                make.Add(wire, edge_between(edges, corner, loop[j],
                                            loop[(j + 1) % n]));
            wire.Closed(true);
            if (k == 0)
                face.Init(BRepBuilderAPI_MakeFace(
                    gp_Pln(at[loop[0]], gp_Dir(nx, ny, nz)), wire, false)
                        .Face());
            else
                face.Add(wire);
        }
        make.Add(shell, face.Face());
    }
    shell.Closed(true);
    make.MakeSolid(solid);
    make.Add(solid, shell);
    return solid;
}

// ---- The kernel's hidden lines

static void add_lines(const TopoDS_Shape &from, std::vector<Line> &out) {
    if (from.IsNull())
        return;
    BRepLib::BuildCurves3d(from);
    for (TopExp_Explorer e(from, TopAbs_EDGE); e.More(); e.Next()) {
        BRepAdaptor_Curve c(TopoDS::Edge(e.Current()));
        gp_Pnt a = c.Value(c.FirstParameter());
        gp_Pnt b = c.Value(c.LastParameter());
        out.push_back({ a.X(), a.Y(), b.X(), b.Y() });
    }
}

static double cpu_ms() {
    timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static std::vector<Line> kernel_lines(const std::vector<TopoDS_Shape> &s,
                                      const gp_Ax2 &view, double *ms) {
    Handle(HLRBRep_Algo) algo = new HLRBRep_Algo();
    std::vector<Line>    out;

    for (const TopoDS_Shape &one : s)
        algo->Add(one);
    *ms = cpu_ms();
    algo->Projector(HLRAlgo_Projector(view));
    algo->Update();
    algo->Hide();
    *ms = cpu_ms() - *ms;
    HLRBRep_HLRToShape all(algo);
    add_lines(all.VCompound(), out);
    add_lines(all.Rg1LineVCompound(), out);
    add_lines(all.OutLineVCompound(), out);
    return out;
}

// ---- Ink

// Lines by squares of the picture.
struct Ink {
    static constexpr double SIDE = 8;
    std::map<std::pair<int, int>, std::vector<const Line *>> square;

    static int place(double v) { return (int)std::floor(v / SIDE); }

    explicit Ink(const std::vector<Line> &lines) {
        for (const Line &l : lines) {
            double len = std::hypot(l.x1 - l.x0, l.y1 - l.y0);
            int    n   = 1 + (int)(len / (SIDE / 4));
            for (int i = 0; i <= n; i++)
                for (int k = 0; k < 9; k++) {
                    int x = place(l.x0 + (l.x1 - l.x0) * i / n
                                  + (k % 3 - 1) * 1.0);
                    int y = place(l.y0 + (l.y1 - l.y0) * i / n
                                  + (k / 3 - 1) * 1.0);
                    auto &in = square[{ x, y }];
                    if (in.empty() || in.back() != &l)
                        in.push_back(&l);
                }
        }
    }

    bool at(double x, double y) const {
        auto in = square.find({ place(x), place(y) });
        if (in == square.end())
            return false;
        for (const Line *l : in->second) {
            double dx = l->x1 - l->x0, dy = l->y1 - l->y0;
            double len2 = dx * dx + dy * dy;
            double t = len2 > 0 ? ((x - l->x0) * dx + (y - l->y0) * dy) / len2
                                : 0;
            t = std::fmin(1, std::fmax(0, t));
            if (std::hypot(l->x0 + t * dx - x, l->y0 + t * dy - y)
                <= TOLERANCE)
                return true;
        }
        return false;
    }
};

struct Count { double all, missing; Line first; };

// How much of the lines has no ink under it.
static Count missing(const std::vector<Line> &lines, const Ink &ink) {
    Count c = { 0, 0, { 0, 0, 0, 0 } };

    for (const Line &l : lines) {
        double len = std::hypot(l.x1 - l.x0, l.y1 - l.y0);
        int    n   = 1 + (int)(len / STEP);
        for (int i = 0; i < n; i++) {
            double t = (i + 0.5) / n;
            bool   there = ink.at(l.x0 + (l.x1 - l.x0) * t,
                                  l.y0 + (l.y1 - l.y0) * t);
            if (!there && c.missing == 0)
                c.first = l;
            c.all += len / n;
            c.missing += there ? 0 : len / n;
        }
    }
    return c;
}

static gp_Dir read_dir() {
    double x, y, z;
    std::cin >> x >> y >> z;
    return gp_Dir(x, y, z);
}

static void say_first(const char *whose, const Count &c) {
    if (c.missing > 0)
        std::printf("  only %s: %.3f,%.3f - %.3f,%.3f\n", whose, c.first.x0,
                    c.first.y0, c.first.x1, c.first.y1);
}

// One scene; its name has been read. True: all is as it should be.
static bool compare(const std::string &name, double least, Count *total) {
    std::vector<TopoDS_Shape> solids;
    std::vector<Line>         ours, theirs;
    std::string               word;
    double                    our_ms, ms;
    int                       n;

    std::cin >> our_ms >> word;
    gp_Dir x = read_dir(), toward = read_dir();
    while (std::cin >> word && word == "solid")
        solids.push_back(read_solid());
    std::cin >> n;   // after "seen"
    ours.resize(n);
    for (Line &l : ours)
        std::cin >> l.x0 >> l.y0 >> l.x1 >> l.y1;
    std::cin >> word;   // "end"
    theirs = kernel_lines(solids, gp_Ax2(gp_Pnt(0, 0, 0), toward, x), &ms);
    Count more = missing(ours, Ink(theirs)), less = missing(theirs, Ink(ours));
    if (least > 0 || more.missing > 0 || less.missing > 0)
        std::printf("hidden lines of %s, %d pieces: ours %.1f ms, Open "
                    "CASCADE %.0f ms, %.0f times (target %.0f); of %.0f mm "
                    "ink %.2f mm only ours, %.2f mm only theirs\n",
                    name.c_str(), (int)solids.size(), our_ms, ms,
                    ms / our_ms, least, more.all, more.missing,
                    less.missing);
    say_first("ours", more);
    say_first("theirs", less);
    total->all += more.all;
    total->missing += more.missing + less.missing;
    std::fflush(stdout);
    return n > 0 && more.missing == 0 && less.missing == 0
        && ms >= least * our_ms;
}

int main(int argc, char **argv) {
    std::string word, name;
    double      least = argc > 1 ? std::atof(argv[1]) : 0;
    Count       total = { 0, 0, { 0, 0, 0, 0 } };
    int         scenes = 0;
    bool        good = true;

    while (std::cin >> word >> name) {
        good = compare(name, least, &total) && good;
        scenes++;
    }
    std::printf("hidden lines of %d scenes against Open CASCADE: of %.1f m "
                "ink %.2f mm differ (by more than %.2f mm)\n", scenes,
                total.all / 1000, total.missing, TOLERANCE);
    return good && scenes > 0 ? 0 : 1;
}
