/* dump -- the work plan as text, for --dump=plan and golden files. mm. */
#include "plan/plan_internal.h"

static void nums(Buf *out, const double *at, int n) {
    for (int i = 0; i < n; i++) {
        buf_add(out, " ");
        buf_num(out, at[i], 3);
    }
}

static void letter(Buf *out, const Model *m, int part) {
    buf_add(out, "%.*s", STR_ARG(m->parts.at[part].letter));
}

static void size(Buf *out, double length, double width) {
    buf_num(out, length, 3);
    buf_add(out, " x ");
    buf_num(out, width, 3);
}

/* ---- Cutting ---- */

static void item_name(Buf *out, const Model *m, const CutItem *item) {
    letter(out, m, item->part);
    if (item->strips)
        buf_add(out, " strip %d/%d", item->strip, item->strips);
}

static void dump_items(Buf *out, const Model *m, const Workplan *p) {
    buf_add(out, "items\n");
    for (int i = 0; i < p->items.n; i++) {
        const CutItem *item = &p->items.at[i];
        buf_add(out, "  ");
        item_name(out, m, item);
        buf_add(out, ": %d of ", item->count);
        quantity_show(out, item->length);
        buf_add(out, " x ");
        quantity_show(out, item->width);
        if (item->leaves)
            buf_add(out, ", %d leaves of each", item->leaves);
        if (item->heads)
            buf_add(out, ", %d head to tail", item->heads);
        buf_add(out, "\n");
    }
}

static void dump_panels(Buf *out, const Model *m, const Workplan *p) {
    for (int i = 0; i < p->panels.n; i++) {
        const Panel *panel = &p->panels.at[i];
        buf_add(out, "  ");
        letter(out, m, panel->part);
        buf_add(out, " joined at");
        for (int k = 0; k < panel->joints.n; k++) {
            buf_add(out, k ? ", " : " ");
            quantity_show(out, panel->joints.at[k]);
        }
        buf_add(out, "\n");
    }
}

static void dump_layout(Buf *out, const Model *m, const Workplan *p,
                        const Layout *l) {
    buf_add(out, "  %.*s ", STR_ARG(m->stocks.at[l->stock].key));
    size(out, l->length, l->width);
    buf_add(out, ", %d cut alike, used ", l->copies);
    buf_num(out, l->used, 4);
    buf_add(out, "\n");
    for (int i = 0; i < l->placed.n; i++) {
        const Placed *q = &l->placed.at[i];
        buf_add(out, "    ");
        item_name(out, m, &p->items.at[q->item]);
        buf_add(out, " at");
        nums(out, (double[]){ q->x, q->y }, 2);
        buf_add(out, ", ");
        size(out, q->length, q->width);
        buf_add(out, q->turned ? ", turned\n" : "\n");
    }
    for (int i = 0; i < l->cuts.n; i++) {
        const Cut *cut = &l->cuts.at[i];
        buf_add(out, "    %s at", cut->rip ? "rip" : "crosscut");
        nums(out, (double[]){ cut->at, cut->from, cut->to }, 3);
        buf_add(out, "\n");
    }
    for (int i = 0; i < l->leftovers.n; i++) {
        const Leftover *left = &l->leftovers.at[i];
        buf_add(out, "    left at");
        nums(out, (double[]){ left->x, left->y }, 2);
        buf_add(out, ", ");
        size(out, left->length, left->width);
        buf_add(out, "\n");
    }
}

static void dump_buys(Buf *out, const Model *m, const Workplan *p) {
    buf_add(out, "buy\n");
    for (int i = 0; i < p->buys.n; i++) {
        const Buy   *buy   = &p->buys.at[i];
        const Stock *stock = &m->stocks.at[buy->stock];
        buf_add(out, "  %d of %.*s ", buy->count, STR_ARG(stock->key));
        quantity_show(out, stock->sold.at[buy->sold].length);
        if (stock->sold.at[buy->sold].priced) {
            buf_add(out, ", ");
            quantity_show(out, buy->cost);
        }
        buf_add(out, "\n");
    }
}

/* ---- Templates ---- */

static void pattern_name(Buf *out, const Model *m, const Pattern *t) {
    if (t->part >= 0)
        letter(out, m, t->part);
    else
        buf_add(out, "%.*s", STR_ARG(t->title));
    if (t->jig == JIG_GAUGE || t->jig == JIG_DEPTH) {
        buf_add(out, " ");
        quantity_show(out, t->angle);
    }
    if (t->jig == JIG_ROD)
        buf_add(out, ", %d marks", t->marks.n);
}

static void dump_patterns(Buf *out, const Model *m, const Workplan *p) {
    buf_add(out, "patterns\n");
    for (int i = 0; i < p->patterns.n; i++) {
        const Pattern *t   = &p->patterns.at[i];
        Box2           box = shape_box(t->shape);
        buf_add(out, "  ");
        pattern_name(out, m, t);
        buf_add(out, "%s ", t->repeats && t->right ? " right end"
                : t->repeats ? " repeat" : t->half ? " half" : "");
        if (t->turn > 0)
            buf_add(out, "turned %.0f ", t->turn);
        size(out, box.max.x, box.max.y);
        buf_add(out, ", origin");
        nums(out, (double[]){ t->origin.x, t->origin.y }, 2);
        if (t->half) {
            buf_add(out, ", fold");
            nums(out, (double[]){ t->fold[0].x, t->fold[0].y, t->fold[1].x,
                                  t->fold[1].y }, 4);
        }
        buf_add(out, ", %d x %d, from %.*s\n", t->columns, t->rows,
                STR_ARG(p->sheets.at[t->first_sheet].name));
    }
}

static void dump_sheets(Buf *out, const Model *m, const Workplan *p) {
    buf_add(out, "sheets, %d of them, at least %d\n", p->sheets.n,
            p->sheets_least);
    for (int i = 0; i < p->sheets.n; i++) {
        const Sheet *s = &p->sheets.at[i];
        buf_add(out, "  %.*s:", STR_ARG(s->name));
        for (int k = 0; k < s->on.n; k++) {
            const OnSheet *on = &s->on.at[k];
            buf_add(out, "%s ", k ? "," : "");
            pattern_name(out, m, &p->patterns.at[on->pattern]);
            if (!str_eq(on->name, s->name))
                buf_add(out, " (%.*s)", STR_ARG(on->name));
            buf_add(out, " at");
            nums(out, (double[]){ on->at.x, on->at.y }, 2);
        }
        buf_add(out, "\n");
    }
}

/* ---- Views ---- */

static void dump_view(Buf *out, const Model *m, const char *name, int nth,
                      const View *v) {
    buf_add(out, "  %s", name);
    if (nth >= 0)
        buf_add(out, " %d", nth + 1);
    buf_add(out, ": toward");
    nums(out, (double[]){ v->camera.toward.x, v->camera.toward.y,
                          v->camera.toward.z }, 3);
    buf_add(out, ", %d lines, %d new%s", v->picture.lines.n, v->fresh.n,
            v->close ? ", close" : "");
    if (v->copies > 1)
        buf_add(out, ", made %d times", v->copies);
    for (int i = 0; i < v->anchors.n; i++) {
        const Anchor *a = &v->anchors.at[i];
        buf_add(out, ", %s", a->seen ? "" : "hidden ");
        letter(out, m, a->part);
        buf_add(out, " x %d at", a->count);
        nums(out, (double[]){ a->at.x, a->at.y }, 2);
    }
    if (v->detail) {
        buf_add(out, ", detail x %d at", v->detail_times);
        nums(out, (double[]){ v->detail_at.x, v->detail_at.y }, 2);
    }
    buf_add(out, "\n");
}

static void dump_views(Buf *out, const Model *m, const Workplan *p) {
    static const char *const three[] = { "front", "top", "right side" };

    buf_add(out, "views\n");
    dump_view(out, m, "cover", -1, &p->cover);
    for (int i = 0; i < COUNT(three); i++)
        dump_view(out, m, three[i], -1, &p->three[i]);
    for (int i = 0; i < p->steps.n; i++)
        dump_view(out, m, "step", i, &p->steps.at[i]);
    for (int i = 0; i < p->parts.n; i++)
        dump_view(out, m, "part", i, &p->parts.at[i]);
}

void plan_dump(Buf *out, const Model *m, const Workplan *p) {
    dump_items(out, m, p);
    dump_panels(out, m, p);
    buf_add(out, "layouts\n");
    for (int i = 0; i < p->layouts.n; i++)
        dump_layout(out, m, p, &p->layouts.at[i]);
    dump_buys(out, m, p);
    dump_patterns(out, m, p);
    dump_sheets(out, m, p);
    dump_views(out, m, p);
}
