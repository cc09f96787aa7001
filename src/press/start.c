/* start -- what you build, how to read the sizes, how to print, tools. */
#include "press/sections.h"

#include <math.h>

/* ---- Three views with overall sizes ---- */

static void overall(Press *p, const Place *pl, Box2 box, const char *across,
                    const char *up) {
    Box2 page = place_box(pl, box);
    Dim1 w = { v2(page.min.x, page.max.y), v2(page.max.x, page.max.y),
               { { 0 } } };
    Dim1 h = { v2(page.min.x, page.max.y), v2(page.min.x, page.min.y),
               { { 0 } } };

    w.label = para_bare(p, figure_length(p->c, p->e,
                        quantity_mm(box.max.x - box.min.x),
                        str_from(p->c, across)));
    dims_beside(p, DIM_BELOW, page, &w, 1);
    if (!up)
        return;
    h.label = para_bare(p, figure_length(p->c, p->e,
                        quantity_mm(box.max.y - box.min.y),
                        str_from(p->c, up)));
    dims_beside(p, DIM_LEFT, page, &h, 1);
}

void sized_view(Press *p, int view, V2 at, double scale) {
    static const char *const names[][2] = {   // ORDER THREE
        { "overall width", "overall height" }, { "overall width", NULL },
        { "overall depth", NULL }
    };
    const Picture *picture = &p->plan->three[view].picture;
    Place          pl      = { picture->box.min, at, scale, false };

    picture_draw_at(p, picture, &pl, (PictureLook){ .thin = true });
    overall(p, &pl, picture->box, names[view][0], names[view][1]);
}

/* The sign of third angle projection (ISO 5456-2, from memory): a cone and,
 * on the side that it is seen from, its small end. */
static void third_angle(Press *p, V2 at, double scale) {
    V2   cone[] = { v2(at.x + 8, at.y - 1.5), v2(at.x + 16, at.y - 3),
                    v2(at.x + 16, at.y + 3), v2(at.x + 8, at.y + 1.5) };
    Para para   = { 0 };

    draw_circle(p, v2(at.x + 3, at.y), 3, PEN_THIN, INK_NONE);
    draw_circle(p, v2(at.x + 3, at.y), 1.5, PEN_THIN, INK_NONE);
    draw_polyline(p, cone, 4, true, PEN_THIN, INK_NONE);
    draw_line(p, v2(at.x - 1, at.y), v2(at.x + 18, at.y), PEN_CENTER);
    say(p, &para, "Third angle, ");
    say_scale(p, &para, scale);
    para_at(p, &para, v2(at.x, at.y + 8), ALIGN_LEFT, STYLE_NOTE);
}

#define VIEWS_MOST  138.0   // height of the views with their sizes
#define VIEWS_LEAST  98.0   // under contents that leave no more

/* Every overall size stands once: the view from above tells none. */
static void three_views(Press *p) {
    const View *v = p->plan->three;
    const Box2  f = v[0].picture.box, t = v[1].picture.box,
                s = v[2].picture.box;
    double fw = f.max.x - f.min.x, fh = f.max.y - f.min.y;
    double sw = s.max.x - s.min.x, th = t.max.y - t.min.y;
    double room_w = TEXT_W - 16 - 22;
    double room_h = fmin(VIEWS_MOST, body_bottom(p) - p->y);
    double scale = neat_scale(fmin(1, fmin(room_w / (fw + sw),
                                           (room_h - 40) / (fh + th))));
    double x0 = p->left + 16, y0 = p->y + 8 + th * scale;
    double y1 = y0 + 16 + fh * scale, x1 = x0 + fw * scale + 22;
    Place top = { t.min, v2(x0, y0), scale, false };

    picture_draw_at(p, &v[1].picture, &top, (PictureLook){ .thin = true });
    sized_view(p, 0, v2(x0, y1), scale);
    sized_view(p, 2, v2(x1, y1), scale);
    words_at(p, "From above", v2(x0 + fw * scale + 6, y0 - th * scale + 4),
             ALIGN_LEFT, STYLE_NOTE);
    words_at(p, "From the front", v2(x0, y0 + 13), ALIGN_LEFT, STYLE_NOTE);
    words_at(p, "From the right", v2(x1, y0 + 13), ALIGN_LEFT, STYLE_NOTE);
    third_angle(p, v2(fmin(x1, p->left + TEXT_W - 32),
                      y0 - th * scale + 12), scale);
    p->y = y1 + 16;
    space_down(p, 0);
}

static void whole_facts(Press *p) {
    Para para  = { 0 };
    int  count = 0;

    for (int i = 0; i < p->m->pieces.n; i++)
        count += !p->m->pieces.at[i].temporary;
    say(p, &para, "Three views of the finished project, each on the side "
        "that it is seen from, sizes in ");
    say(p, &para, p->e->inch ? "inches" : "millimeters");
    say(p, &para, ". It is made of ");
    say_count(p, &para, count, "pieces placed");
    say(p, &para, " pieces of ");
    {
        int kinds = 0;
        for (int i = 0; i < p->m->parts.n; i++)
            kinds += !p->m->parts.at[i].jig;
        say_count(p, &para, kinds, "kinds of parts");
    }
    say(p, &para, " kinds");
    if (p->m->weight_kg > 0) {
        say(p, &para, " and weighs about ");
        say_figure(p, &para, figure_mass(p->c, p->e, p->m->weight_kg * 1000,
                                         STR("weight of all pieces")));
        say(p, &para, " before any finish");
    }
    say(p, &para, ".");
    flow_para(p, 0, TEXT_W, STYLE_TEXT, &para);
}

/* ---- How to read these plans ---- */

/* Long point, short point and show face, as a picture. */
static void points_picture(Press *p, double x, double y) {
    V2 board[] = { v2(x, y), v2(x + 62, y), v2(x + 48, y + 14),
                   v2(x, y + 14) };
    Para long_point  = para_of(p, "long point"),
         short_point = para_of(p, "short point");

    draw_polyline(p, board, 4, true, PEN_OUTLINE, INK_WHITE);
    dim_horizontal(p, board[0], board[1], y - 5, &long_point);
    dim_horizontal(p, board[3], board[2], y + 20, &short_point);
    words_at(p, "show face", v2(x + 20, y + 8.5), ALIGN_LEFT, STYLE_NOTE);
}

static void read_item(Press *p, double width, const Para *para) {
    flow_item(p, 0, width, STYLE_TEXT, ITEM_BULLET, 0, para);
}

static void how_sizes(Press *p, double width) {
    Para para = { 0 };
    Figure step = figure_length(p->c, p->e, p->e->step,
                                STR("rounding of printed sizes"));

    say(p, &para, "Sizes are in ");
    say(p, &para, p->e->inch ? "inches" : "millimeters");
    say(p, &para, ", to the nearest ");
    say_figure(p, &para, step);
    if (p->e->inch)
        say(p, &para, "; a light − or a heavy + says that the true size "
            "is a little under or over.");
    else
        say(p, &para, ".");
    read_item(p, width, &para);
}

static void how_to_read(Press *p) {
    double width = col_w(4) - 6, top;
    Para   para;

    heading(p, STR("How to read these plans"), SIZE_LEAD);
    page_need(p, 60);
    top = p->y;
    points_picture(p, col_x(p, 4) - 4, top + 11);
    how_sizes(p, width);
    para = para_of(p, "Lengths run tip to tip, to the long point of a "
                   "slanted end, unless the parts table says short point "
                   "or center.");
    read_item(p, width, &para);
    para = para_of(p, "Parts are thickness × width × length, "
                   "the length with the grain.");
    read_item(p, width, &para);
    para = para_of(p, "The show face is the side that is seen. Part "
                   "drawings and templates look at the show face; left and "
                   "right are as you see them there.");
    read_item(p, width, &para);
    para = para_of(p, "In the steps left, right, front and rear are those "
                   "of the finished project, seen from its front.");
    read_item(p, width, &para);
    para = para_of(p, "A letter in a circle names a part. It is the same "
                   "everywhere: in the table, in the drawings, on the "
                   "templates.");
    read_item(p, width, &para);
    if (p->y < top + 42)
        p->y = top + 42;
    space_down(p, HALF_LINE);
}

/* ---- Printing ---- */

static bool sheets_join(const Workplan *plan) {
    for (int i = 0; i < plan->patterns.n; i++)
        if (plan->patterns.at[i].columns * plan->patterns.at[i].rows > 1)
            return true;
    return false;
}

static void how_to_print(Press *p) {
    Para para = { 0 };

    if (p->plan->sheets.n == 0)
        return;
    heading(p, STR("How to print the templates"), SIZE_LEAD);
    say(p, &para, "Test with ");
    say_page(p, &para, p->known ? p->known->section[SECTION_TEMPLATES] : -1);
    say(p, &para, ", then print the ");
    if (p->plan->sheets.n > 1) {
        say_count(p, &para, p->plan->sheets.n, "template sheets");
        say(p, &para, " sheets after it, at ");
    } else {
        say(p, &para, "sheet after it, at ");
    }
    say_figure(p, &para, figure_number(p->c, 100, 0, "%",
                                       STR("true size")));
    say(p, &para, ": turn off every setting that fits or shrinks the page.");
    flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, 1, &para);
    para = para_of(p, "Lay a ruler on the four check bars of the test "
                   "page, across and along. If a bar is off by more than "
                   "the width of its line, find the setting and print "
                   "again; wood cut from a wrong template is lost.");
    flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, 2, &para);
    para = para_of(p, "Where a template runs over several sheets, cut one "
                   "along its dashed seam line, lay it on the next so that "
                   "marks of one number and kind meet, and tape.");
    if (sheets_join(p->plan))
        flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_NUMBER, 3, &para);
    space_down(p, HALF_LINE);
}

/* ---- Tools, worked out from the cuts ---- */

typedef struct {
    bool planes, resaws, joins, curves, miters, bevels, holes, pockets, nails,
         screws, clamps, grooves, mortises, edging;
} Work;

static bool has_word(Str s, const char *word) {
    return memmem(s.s, s.n, word, strlen(word)) != NULL;
}

static Work work_of(const Model *m) {
    Work w = { 0 };

    for (int i = 0; i < m->parts.n; i++) {
        const Part  *part  = &m->parts.at[i];
        const Stock *stock = &m->stocks.at[part->stock];
        w.planes |= stock->planed;
        w.resaws |= stock->leaves > 0;
        w.joins  |= part->joined;
        w.curves |= shape_has_curves(part->outline);
        for (int k = 0; k < 2; k++) {
            w.miters |= part->ends[k].miter.real > 0;
            w.bevels |= part->ends[k].bevel.real > 0
                     || part->edges[k].bevel.real > 0;
        }
        for (int k = 0; k < part->features.n; k++) {
            FeatureKind kind = part->features.at[k].kind;
            const char *word = feature_name(&part->features.at[k]);
            w.curves  |= kind == FEATURE_ARCH || kind == FEATURE_CUTOUT
                      || kind == FEATURE_SCALLOP;
            w.holes   |= kind == FEATURE_HOLE;
            w.pockets |= kind == FEATURE_POCKET;
            w.grooves |= kind == FEATURE_GROOVE;
            w.mortises |= strcmp(word, "mortise") == 0;
            w.edging  |= kind == FEATURE_CHAMFER || kind == FEATURE_ROUND;
        }
    }
    for (int i = 0; i < m->hardware.n; i++) {
        Str kind = m->hardware.at[i].kind;
        w.screws |= has_word(kind, "screw");
        w.nails  |= has_word(kind, "nail") || has_word(kind, "brad")
                 || has_word(kind, "pin");
    }
    w.clamps = w.joins || m->glue_area > 0;
    return w;
}

static void tool(Press *p, bool needed, const char *words) {
    Para para;

    if (!needed)
        return;
    para = para_of(p, words);
    flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_CHECK, 0, &para);
}

static void tools(Press *p) {
    Work w = work_of(p->m);

    heading(p, STR("Tools"), SIZE_LEAD);
    tool(p, true, "Tape measure, square and pencil");
    tool(p, true, "Table saw, or circular saw with a straight fence, for "
         "rips and crosscuts");
    tool(p, w.miters && !w.bevels, "Miter saw, or a miter gauge, for "
         "miters");
    tool(p, w.bevels && !w.miters, "Saw with a tilting blade, for bevels");
    tool(p, w.miters && w.bevels, "Saw with a tilting blade and a miter "
         "gauge, for bevels and miters");
    tool(p, w.resaws, "Bandsaw with a tall fence, for sawing thin leaves");
    tool(p, w.planes, "Thickness planer, or hand plane");
    tool(p, w.curves, "Jigsaw, coping saw or bandsaw with a narrow blade, "
         "for curves and cutouts; rasp and sandpaper");
    tool(p, w.grooves, "Router or table saw, for grooves and rabbets");
    tool(p, w.mortises, "Chisels and mallet, for mortises");
    tool(p, w.edging, "Block plane, or router with bits for chamfers and "
         "round edges");
    tool(p, w.screws, "Drill and driver, with bits for pilot holes, "
         "countersinks and screws");
    tool(p, (w.holes || w.pockets) && !w.screws, "Drill and bits");
    tool(p, w.pockets, "Guide for drilling pocket holes, with its stepped "
         "bit");
    tool(p, w.nails, "Nailer for the nails that are listed, or hammer and "
         "nail set");
    tool(p, w.clamps, "Clamps and wood glue");
    tool(p, true, "Eye and ear protection, dust mask, push sticks");
    for (int i = 0; i < p->m->tools.n; i++) {
        Para para = para_author(p, p->m->tools.at[i]);
        flow_item(p, 0, TEXT_W, STYLE_TEXT, ITEM_CHECK, 0, &para);
    }
}

static void start_head(Press *p) {
    bookmark(p, STR("Start here"), 0);
    heading(p, STR("Start here"), SIZE_HEAD);
    whole_facts(p);
}

/* Under short contents, else on a page of its own. */
void press_start(Press *p) {
    section_begin(p, SECTION_START,
                  flow_height(p, SECTION_START, start_head)
                  + 2 * BASE_LINE + VIEWS_LEAST);
    start_head(p);
    three_views(p);
    how_to_read(p);
    how_to_print(p);
    tools(p);
}
