// kernel -- the same parts by a general-purpose geometry kernel (Open
// CASCADE, from Debian), which shares no code with ours. Reads what
// parts.c prints; exits with 1 where a volume is outside of its tolerance.
#include <BRepAlgoAPI_Common.hxx>
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepGProp.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakeHalfSpace.hxx>
#include <GProp_GProps.hxx>
#include <gp_Ax2.hxx>
#include <gp_Pln.hxx>
#include <gp_Trsf.hxx>

#include <cmath>
#include <cstdio>
#include <ctime>
#include <iostream>
#include <string>
#include <vector>

static double volume_of(const TopoDS_Shape &s) {
    GProp_GProps g;
    BRepGProp::VolumeProperties(s, g);
    return g.Mass();
}

static double ms_now() {
    timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static std::vector<double> numbers(int n) {
    std::vector<double> v(n);
    for (double &x : v)
        std::cin >> x;
    return v;
}

// What a word takes away.
static TopoDS_Shape tool(const std::string &word) {
    if (word == "box") {
        auto v = numbers(6);
        return BRepPrimAPI_MakeBox(gp_Pnt(v[0], v[1], v[2]),
                                   gp_Pnt(v[3], v[4], v[5])).Shape();
    }
    if (word == "cyl") {
        auto v = numbers(8);
        return BRepPrimAPI_MakeCylinder(
            gp_Ax2(gp_Pnt(v[0], v[1], v[2]), gp_Dir(v[3], v[4], v[5])),
            v[6], v[7]).Shape();
    }
    if (word == "cone") {
        auto v = numbers(6);
        return BRepPrimAPI_MakeCone(
            gp_Ax2(gp_Pnt(v[0], v[1], v[2]), gp_Dir(0, 0, 1)), v[3], v[5],
            v[4] - v[2]).Shape();
    }
    auto   v = numbers(4);   // keep: what lies beyond is taken away
    gp_Dir n(v[0], v[1], v[2]);
    gp_Pnt on(v[0] * v[3], v[1] * v[3], v[2] * v[3]);
    gp_Pnt beyond(on.X() + 100 * v[0], on.Y() + 100 * v[1],
                  on.Z() + 100 * v[2]);
    return BRepPrimAPI_MakeHalfSpace(
        BRepBuilderAPI_MakeFace(gp_Pln(on, n), -2000, 2000, -2000, 2000)
            .Face(), beyond).Solid();
}

static int wrong = 0;

static void judge(const char *what, int i, double theirs, double ours,
                  double tolerance) {
    if (std::fabs(theirs - ours) <= tolerance)
        return;
    wrong++;
    std::printf("%s %d: kernel %.6f, ours %.6f, tolerance %.6f mm3\n", what,
                i, theirs, ours, tolerance);
}

int main() {
    std::vector<TopoDS_Shape> parts;
    std::string word;
    double spent = 0, our_ms = 0, begin = 0, worst = 0;
    int    pairs = 0;

    while (std::cin >> word) {
        if (word == "part") {
            auto v = numbers(3);
            begin  = ms_now();
            parts.push_back(BRepPrimAPI_MakeBox(v[0], v[1], v[2]).Shape());
        } else if (word == "is") {
            auto   v = numbers(3);
            double volume = volume_of(parts.back());
            spent += ms_now() - begin;
            our_ms += v[2];
            judge("part", (int)parts.size() - 1, volume, v[0], v[1]);
            worst = std::fmax(worst, std::fabs(volume - v[0]) / v[1]);
        } else if (word == "pair") {
            auto    v = numbers(14);
            gp_Trsf t;
            t.SetValues(v[2], v[5], v[8], v[11], v[3], v[6], v[9], v[12],
                        v[4], v[7], v[10], v[13]);
            TopoDS_Shape b =
                BRepBuilderAPI_Transform(parts[(int)v[1]], t, true).Shape();
            double both = volume_of(
                BRepAlgoAPI_Common(parts[(int)v[0]], b).Shape());
            std::cin >> word;
            auto is = numbers(2);
            judge("pair", pairs++, both, is[0], is[1]);
        } else {
            parts.back() = BRepAlgoAPI_Cut(parts.back(), tool(word)).Shape();
        }
    }
    std::printf("%d parts and %d overlaps against Open CASCADE: %d outside "
                "of their tolerance (the nearest uses %.0f %% of it)\n",
                (int)parts.size(), pairs, wrong, 100 * worst);
    std::printf("build the parts: %.1f ms, Open CASCADE %.0f ms, %.0f "
                "times\n", our_ms, spent, spent / our_ms);
    return wrong || parts.size() < 50;
}
