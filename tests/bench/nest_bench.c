/* nest_bench -- the nesting against published instances, where they are.
 *
 *     nest_bench FOLDER [SECONDS [PAGES-SECONDS]]
 *
 * FOLDER holds strip_classic.jsonl, pages_convex.jsonl, pages_mixed.jsonl
 * and best_known.csv. Every layout is judged by GEOS (no overlap of more
 * than a millionth of the smaller thing, all inside), not by the nesting's
 * own measure. Each job is run anew with
 * more steps until it takes the seconds, as only steps can be asked for.
 */
#include "base/base.h"
#include "plan/nest.h"

#include <cjson/cJSON.h>
#include <geos_c.h>
#include <math.h>
#include <stdlib.h>
#include <time.h>

#define PI_ 3.14159265358979323846

static double cpu(void) {
    return (double)clock() / CLOCKS_PER_SEC;
}

/* ---- Instances ---- */

typedef struct { NestJob job; Str name; double area; bool pages; } Instance;

static double ring_size(const Ring *r) {
    double a = 0;

    for (int i = 0; i < r->n; i++)
        a += v2_cross(r->at[i], r->at[(i + 1) % r->n]) / 2;
    return a;
}

static NestItem item_of(Ctx *c, const cJSON *json) {
    const cJSON *turns = cJSON_GetObjectItem(json, "rotations"), *p;
    double      *turn = NEW_N(c, double, cJSON_GetArraySize(turns));
    NestItem     item = { 0 };
    Ring        *ring = PUSH(c, &item.rings);

    item.count = cJSON_GetObjectItem(json, "demand")->valueint;
    item.turns = turn;
    cJSON_ArrayForEach(p, turns)
        turn[item.n_turns++] = p->valuedouble * PI_ / 180;
    cJSON_ArrayForEach(p, cJSON_GetObjectItem(json, "polygon"))
        *PUSH(c, ring) = v2(cJSON_GetArrayItem(p, 0)->valuedouble,
                            cJSON_GetArrayItem(p, 1)->valuedouble);
    return item;
}

static Instance read_instance(Ctx *c, const char *line, size_t n) {
    cJSON       *json = cJSON_ParseWithLength(line, n);
    const cJSON *in   = cJSON_GetObjectItem(json, "container"), *p;
    const cJSON *list = cJSON_GetObjectItem(json, "items");
    Instance     one  = { 0 };
    NestItem    *item = NEW_N(c, NestItem, cJSON_GetArraySize(list));

    one.name  = str_from(c, cJSON_GetObjectItem(json, "name")->valuestring);
    one.pages = cJSON_GetObjectItem(in, "width") != NULL;
    one.job.height = cJSON_GetObjectItem(in, "height")->valuedouble;
    if (one.pages)
        one.job.width = cJSON_GetObjectItem(in, "width")->valuedouble;
    cJSON_ArrayForEach(p, list) {
        item[one.job.n] = item_of(c, p);
        one.area += ring_size(&item[one.job.n].rings.at[0])
                  * item[one.job.n].count;
        one.job.n++;
    }
    one.job.items = item;
    cJSON_Delete(json);
    return one;
}

/* ---- The judge ---- */

static GEOSGeometry *laid(GEOSContextHandle_t h, const Instance *one,
                          const NestPlace *at) {
    const NestItem *item = &one->job.items[at->item];
    const Ring     *r = &item->rings.at[0];
    double co = cos(item->turns[at->turn]), si = sin(item->turns[at->turn]);
    GEOSCoordSequence *s = GEOSCoordSeq_create_r(h, (unsigned)r->n + 1, 2);

    for (int i = 0; i <= r->n; i++) {
        V2 p = r->at[i % r->n];
        GEOSCoordSeq_setXY_r(h, s, (unsigned)i,
                             p.x * co - p.y * si + at->at.x,
                             p.x * si + p.y * co + at->at.y);
    }
    return GEOSGeom_createPolygon_r(h, GEOSGeom_createLinearRing_r(h, s),
                                    NULL, 0);
}

static bool inside(GEOSContextHandle_t h, const GEOSGeometry *g, double w,
                   double height) {
    double x0, y0, x1, y1, slack = 1e-6 * (w + height);

    GEOSGeom_getXMin_r(h, g, &x0);
    GEOSGeom_getYMin_r(h, g, &y0);
    GEOSGeom_getXMax_r(h, g, &x1);
    GEOSGeom_getYMax_r(h, g, &y1);
    return x0 >= -slack && y0 >= -slack && x1 <= w + slack
        && y1 <= height + slack;
}

/* On a fine grid: without one GEOS took a thing for what it has in common
 * with its neighbor along an edge. */
static bool apart(GEOSContextHandle_t h, const GEOSGeometry *a,
                  const GEOSGeometry *b, double grid) {
    GEOSGeometry *both = GEOSIntersectionPrec_r(h, a, b, grid);
    double        area = 0, aa, ab;

    GEOSArea_r(h, a, &aa);
    GEOSArea_r(h, b, &ab);
    if (both)
        GEOSArea_r(h, both, &area);
    GEOSGeom_destroy_r(h, both);
    return area <= 1e-6 * fmin(aa, ab);
}

static bool is_sound(Ctx *c, const Instance *one, const Nest *nest) {
    GEOSContextHandle_t h = GEOS_init_r();
    GEOSGeometry      **g = NEW_N(c, GEOSGeometry *, nest->places.n + 1);
    bool   good = true;
    double w = one->pages ? one->job.width : nest->width;
    int    wanted = 0;

    for (int i = 0; i < one->job.n; i++)
        wanted += one->job.items[i].count;
    good = nest->places.n == wanted;
    for (int i = 0; i < nest->places.n; i++) {
        g[i] = laid(h, one, &nest->places.at[i]);
        good = good && inside(h, g[i], w, one->job.height);
        for (int k = 0; k < i && good; k++)
            good = nest->places.at[k].page != nest->places.at[i].page
                || apart(h, g[i], g[k], 1e-10 * (w + one->job.height));
    }
    for (int i = 0; i < nest->places.n; i++)
        GEOSGeom_destroy_r(h, g[i]);
    GEOS_finish_r(h);
    return good;
}

/* ---- Runs ---- */

static const Nest *run(Ctx *c, const Instance *one, long steps) {
    NestJob job = one->job;

    job.steps = steps;
    return one->pages ? nest_pages(c, &job) : nest_strip(c, &job);
}

static double best_known(Str csv, Str name, int column) {
    for (size_t at = 0; at < csv.n; at = str_find(csv, '\n', at) + 1) {
        Str line = str_part(csv, at, str_find(csv, '\n', at));
        if (line.n <= name.n || memcmp(line.s, name.s, name.n) != 0
            || line.s[name.n] != ',')
            continue;
        for (size_t p = 0; column > 0; column--)
            p = str_find(line, ',', p) + 1, line = str_part(line, p, line.n),
            p = 0;
        return strtod(line.s, NULL);
    }
    return 0;
}

typedef struct { int n, good, sound; double worst, sum; } Tally;

static void judge(Ctx *c, const Instance *one, Str csv, double seconds,
                  Tally *t) {
    const Nest *nest = NULL;
    double      start, took = 0, best = best_known(csv, one->name, 3), share;
    long        steps = 20000;

    for (int tries = 0; tries < 6 && took < 0.7 * seconds; tries++) {
        start = cpu();
        nest  = run(c, one, steps);
        took  = cpu() - start;
        if (one->pages && nest->pages <= nest->least)
            break;   // proven best
        steps = (long)((double)steps * fmin(20, 0.95 * seconds
                                                / fmax(took, 0.01)));
    }
    share = one->pages ? nest->pages - best : 100 * best / nest->width;
    t->n++;
    if (is_sound(c, one, nest))
        t->sound++;
    else
        printf("  %.*s: NOT SOUND\n", STR_ARG(one->name));
    if (one->pages) {
        bool small = best <= 5;
        if (small ? share <= 1 : nest->pages <= 1.2 * best + 1e-9)
            t->good++;
        else
            printf("  %.*s: %d pages, best known %.0f, %.1f s, %.2f "
                   "million steps\n", STR_ARG(one->name), nest->pages, best,
                   took, (double)nest->steps / 1e6);
        t->worst = fmax(t->worst, small ? share : 0);
        t->sum  += share;
    } else {
        t->worst = t->n == 1 ? share : fmin(t->worst, share);
        t->sum  += share;
        t->good += share >= (seconds > 30 ? 95 : 90);
        printf("  %-10.*s density %.2f %%, %.1f %% of the record, "
               "%.1f s, %.1f million steps\n", STR_ARG(one->name),
               100 * one->area / nest->width / one->job.height, share, took,
               (double)nest->steps / 1e6);
    }
    fflush(stdout);
}

static bool family(const char *folder, const char *name, double seconds,
                   int every) {
    Ctx         c;
    Tally       t = { 0 };
    Str         text, csv;
    const char *why;
    int         nth = 0;

    ctx_init(&c, &real_files);
    if (!real_files.read(&c, str_z(&c, str_fmt(&c, "%s/%s.jsonl", folder,
                                               name)), &text, &why)
        || !real_files.read(&c, str_z(&c, str_fmt(&c, "%s/best_known.csv",
                                                  folder)), &csv, &why)) {
        printf("nesting %s: skipped, the instances are not here\n", name);
        ctx_free(&c);
        return true;
    }
    for (size_t at = 0; at + 1 < text.n; ) {
        size_t   end = str_find(text, '\n', at);
        Ctx      one;
        Instance in;
        ctx_init(&one, &real_files);
        if (nth++ % every == 0) {
            in = read_instance(&one, text.s + at, end - at);
            judge(&one, &in, csv, seconds, &t);
        }
        ctx_free(&one);
        at = end + 1;
    }
    printf("nesting %s: %d instances at %.1f s, %d on target, %d sound, "
           "mean %.2f, worst %.2f %s\n", name, t.n, seconds, t.good,
           t.sound, t.sum / t.n, t.worst,
           name[0] == 's' ? "% of the record" : "pages over (up to 5)");
    ctx_free(&c);
    return t.good == t.n && t.sound == t.n;
}

int main(int argc, char **argv) {
    const char *folder = argc > 1 ? argv[1] : "";
    double strip = argc > 2 ? atof(argv[2]) : 5;
    double pages = argc > 3 ? atof(argv[3]) : 1;
    int    every = argc > 4 ? atoi(argv[4]) : 1;
    bool   ok = family(folder, "strip_classic", strip, 1);

    ok = family(folder, "pages_convex", pages, every) && ok;
    ok = family(folder, "pages_mixed", pages, every) && ok;
    return ok ? 0 : 1;
}
