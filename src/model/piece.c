/* piece -- parts placed in the world: rows, mirror images, turns, and the
 * places that formulas may refer to ("left wall.top"). */
#include "model/model_internal.h"

#include <math.h>

#define DEG (3.14159265358979323846 / 180)

static const char *const piece_keys[] = {   // SCHEMA piece
    "part", "as", "at", "corner", "length runs", "face", "turns", "rows",
    "slats", "mirror", "temporary", "note", NULL
};

static const char *const courses_keys[] = {   // SCHEMA surface
    "courses", "as", "mirror", "note", NULL
};

static const char *const way_words[] = {   // SCHEMA-ENUM way
    "right", "left", "back", "front", "up", "down", NULL
};

static V3 way(int i) {
    static const V3 ways[] = {
        { 1, 0, 0 }, { -1, 0, 0 }, { 0, 1, 0 }, { 0, -1, 0 }, { 0, 0, 1 },
        { 0, 0, -1 }
    };
    return ways[i];
}

int model_find_piece(const Model *m, Str name) {
    for (int i = 0; i < m->pieces.n; i++) {
        if (str_eq(m->pieces.at[i].name, name))
            return i;
    }
    return -1;
}

int model_piece_of(const Model *m, int part) {
    for (int i = 0; i < m->pieces.n; i++) {
        if (m->pieces.at[i].part == part && !m->pieces.at[i].temporary)
            return i;
    }
    return -1;
}

/* ---- Declaring ---- */

static void find_piece_part(Build *b, Entry *e) {
    const Node *part = node_text(b->c, e->node, "part");
    Str        *known;

    e->part = -1;
    (void)!node_need(b->c, e->node, "part", "a piece");
    if (!part)
        return;
    e->part = model_find_part(b->m, part->text);
    if (e->part >= 0)
        return;
    known = NEW_N(b->c, Str, b->m->parts.n + 1);
    for (int i = 0; i < b->m->parts.n; i++)
        known[i] = b->m->parts.at[i].letter;
    report(b->c, part->loc, PIECE_NO_PART,
           "a piece of part '%.*s', but there is no such part",
           STR_ARG(part->text));
    hint_names(b, STR(""), known, b->m->parts.n, "parts");
}

static void declare_piece(Build *b, Entry *e) {
    static const char *const keys[] = {   // SCHEMA mirror
        "across", "at", "as", NULL
    };
    const Node *mirror;

    e->name = read_label(b, e->node, "as");
    if (node_find(e->node, "courses")) {
        node_check_keys(b->c, e->node, courses_keys, "a surface of courses");
        declare_courses(b, e);
    } else {
        node_check_keys(b->c, e->node, piece_keys, "a piece");
        find_piece_part(b, e);
        e->temporary = node_bool(b->c, e->node, "temporary", false);
    }
    if (!e->name.n && e->part >= 0)
        e->name = b->m->parts.at[e->part].name;
    mirror = node_object(b->c, e->node, "mirror");
    if (mirror && node_check_keys(b->c, mirror, keys, "\"mirror\"")) {
        e->mirror_name = read_label(b, mirror, "as");
        if (!e->mirror_name.n)
            e->mirror_name = str_fmt(b->c, "%.*s mirrored",
                                     STR_ARG(e->name));
    }
}

/* Where an entry gives itself, or its mirror image, a name. */
static Loc name_loc(Build *b, const Entry *e, bool image) {
    const Node *owner = image ? node_object(b->c, e->node, "mirror")
                              : e->node;
    const Node *as = node_find(owner, "as");

    return as ? as->loc : owner->loc;
}

/* True if the names clash; an entry may have an image and so two names. */
static bool check_name(Build *b, const Entry *e, bool image,
                       const Entry *other) {
    Str name = image ? e->mirror_name : e->name;

    if (!name.n || !(str_eq(name, other->mirror_name)
                     || str_eq(name, other->name)))
        return false;
    report(b->c, name_loc(b, e, image), PIECE_NAME_TWICE,
           "the piece of line %d is called '%.*s', too",
           loc_line_col(b->c, other->node->loc).line, STR_ARG(name));
    return true;
}

/* Of those that share a name, the later ones are told of the first. */
static bool check_name_of(Build *b, int i, bool image) {
    const Entry *e  = &b->entries[i];
    Ints         by = names_find(&b->entry_names,
                                 image ? e->mirror_name : e->name);

    return by.n && by.at[0] < i
        && check_name(b, e, image, &b->entries[by.at[0]]);
}

static void check_names(Build *b) {
    for (int i = 0; i < b->n_entries; i++) {
        const Entry *e   = &b->entries[i];
        bool         bad = check_name_of(b, i, false)
                        || check_name_of(b, i, true);
        if (!bad && e->mirror_name.n && str_eq(e->name, e->mirror_name))
            report(b->c, name_loc(b, e, true), PIECE_NAME_TWICE,
                   "the mirror image is called '%.*s', too",
                   STR_ARG(e->name));
    }
}

void declare_pieces(Build *b) {
    const Node *list = node_list(b->c, b->d->root, "pieces");
    int         i    = 0;

    b->n_entries = list ? list->count : 0;
    b->entries   = NEW_N(b->c, Entry, b->n_entries + 1);
    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        Entry *e = &b->entries[i];
        e->node = n;
        declare_piece(b, e);
        if (e->name.n)
            names_add(b->c, &b->entry_names, e->name, i);
        if (e->mirror_name.n)
            names_add(b->c, &b->entry_names, e->mirror_name, i);
        i++;
    }
    check_names(b);
}

/* ---- Placing ---- */

static bool read_place(Build *b, const Node *object, const char *key,
                       V3 *out) {
    const Node *list = node_list(b->c, object, key);
    double      v[3];
    int         i = 0;

    *out = v3(0, 0, 0);
    if (!list)
        return false;
    if (list->count != 3) {
        report(b->c, list->loc, WRONG_KIND,
               "\"%s\" needs three lengths (right, back, up), not %d", key,
               list->count);
        hint(b->c, "for example [\"0in\", \"0in\", \"3/4in\"]");
        return false;
    }
    for (const Node *n = list->first; n; n = n->next) {
        Quantity q = eval_node(b->c, b->s, "", n, DIM_LENGTH);
        if (q.poison)
            return false;
        v[i++] = q.real;
    }
    *out = v3(v[0], v[1], v[2]);
    return true;
}

/* Squared to the axes: the length along one way, the show face another. */
static bool square_frame(Build *b, const Entry *e, Frame *f) {
    int runs = node_choice(b->c, e->node, "length runs", way_words, 0);
    int face = node_choice(b->c, e->node, "face", way_words,
                           runs >= 4 ? 3 : 4);

    if (runs < 0 || face < 0)
        return false;
    f->x = way(runs);
    f->z = way(face);
    if (fabs(v3_dot(f->x, f->z)) > 0.5) {
        report(b->c, e->node->loc, BAD_CHOICE,
               "the length runs %s, so the show face cannot look %s",
               way_words[runs], way_words[face]);
        hint(b->c, "choose a way square to the length");
        return false;
    }
    f->y = v3_cross(f->z, f->x);
    f->o = v3(0, 0, 0);
    return true;
}

/* Which corner of the squared blank stands at "at": words such as
 * "right front top"; left, front, bottom where not said. */
static bool read_corner(Build *b, const Node *node, bool high[3]) {
    static const char *const words[3][2] = {
        { "left", "right" }, { "front", "back" }, { "bottom", "top" }
    };
    const Node *text = node_text(b->c, node, "corner");
    Str         s    = text ? text->text : STR("");

    high[0] = high[1] = high[2] = false;
    for (size_t at = 0; at < s.n; ) {
        size_t end  = str_find(s, ' ', at);
        Str    word = str_part(s, at, end);
        bool   known = false;
        for (int axis = 0; axis < 3; axis++) {
            for (int k = 0; k < 2; k++) {
                if (!str_is(word, words[axis][k]))
                    continue;
                high[axis] = k == 1;
                known      = true;
            }
        }
        if (!known) {
            report(b->c, node_span(text, at, end), BAD_CHOICE,
                   "'%.*s' names no corner", STR_ARG(word));
            hint(b->c, "use left or right, front or back, bottom or top");
            return false;
        }
        at = end + 1;
    }
    return true;
}

static Box3 blank_box(const Part *part, const Frame *f) {
    Box3 box = box3_empty();

    for (int i = 0; i < 8; i++)
        box3_add(&box, frame_point(f, v3(i & 1 ? part->long_length.real : 0,
                                         i & 2 ? part->width.real : 0,
                                         i & 4 ? part->thickness.real : 0)));
    return box;
}

static void place_corner(const Part *part, const bool high[3], V3 at,
                         Frame *f) {
    Box3 box    = blank_box(part, f);
    V3   corner = v3(high[0] ? box.max.x : box.min.x,
                     high[1] ? box.max.y : box.min.y,
                     high[2] ? box.max.z : box.min.z);

    f->o = v3_sub(at, corner);
}

/* Turns, in the order given, each about an axis through a point. */
static bool turn_frame(Build *b, const Entry *e, V3 at, Frame *f) {
    static const char *const keys[] = {   // SCHEMA turn
        "about", "by", "through", NULL
    };
    static const char *const axes[] = {   // SCHEMA-ENUM axis
        "left-right", "front-back", "up-down", NULL
    };
    const Node *list = node_list(b->c, e->node, "turns");

    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        V3       through = at, axis = v3(0, 0, 0);
        int      about;
        Quantity by;
        if (!node_check_keys(b->c, n, keys, "a turn")
            || !node_need(b->c, n, "about", "a turn")
            || !node_need(b->c, n, "by", "a turn"))
            return false;
        about = node_choice(b->c, n, "about", axes, -1);
        by = eval_member(b->c, b->s, "", n, "by", DIM_ANGLE,
                         quantity_exact(0, 1, DIM_ANGLE));
        if (about < 0 || by.poison)
            return false;
        if (node_find(n, "through") && !read_place(b, n, "through",
                                                   &through))
            return false;
        if (about == 0)
            axis.x = 1;
        else if (about == 1)
            axis.y = 1;
        else
            axis.z = 1;
        *f = frame_turn(*f, through, axis, by.real * DEG);
    }
    return true;
}

/* ---- Rows and mirror images ---- */

/* A symmetric part's mirror image is the part itself, but its frame still
 * is mirrored: `mirrored` says whether the maker must cut it so. */
Piece *add_piece(Build *b, Entry *e, int part, Str name, Str group, Frame f,
                 const Mirror *mirror) {
    Piece       *p     = PUSH(b->c, &e->made);
    const Solid *solid = b->m->parts.at[part].solid;

    if (mirror)
        f = frame_mirror(f, mirror->on, mirror->normal);
    p->name      = name;
    p->group     = group;
    p->set       = group;
    p->part      = part;
    p->frame     = f;
    p->mirrored  = mirror && !solid_is_symmetric(solid, 0.01);
    p->box       = solid_box(solid, &f);
    p->step      = -1;
    p->temporary = e->temporary;
    p->loc       = e->node->loc;
    return p;
}

typedef struct { int count; V3 step; } Row;
typedef LIST(Row) Rows;

static bool read_rows(Build *b, const Entry *e, Rows *rows, int *total) {
    static const char *const keys[] = {   // SCHEMA row
        "count", "step", NULL
    };
    const Node *list = node_list(b->c, e->node, "rows");

    *total = 1;
    for (const Node *n = list ? list->first : NULL; n; n = n->next) {
        Row row;
        if (!node_check_keys(b->c, n, keys, "a row")
            || !node_need(b->c, n, "count", "a row")
            || !node_need(b->c, n, "step", "a row"))
            return false;
        row.count = eval_count(b->c, b->s, "", n, "count", 1, 1, 1000);
        if (!read_place(b, n, "step", &row.step))
            return false;
        *PUSH(b->c, rows) = row;
        if (*total > 20000 / row.count) {
            report(b->c, n->loc, OUT_OF_RANGE,
                   "these rows make over 20000 pieces");
            return false;
        }
        *total *= row.count;
    }
    return true;
}

static V3 row_offset(const Rows *rows, int i) {
    V3 by = v3(0, 0, 0);

    for (int k = 0; k < rows->n; k++) {
        by = v3_add(by, v3_scale(rows->at[k].step,
                                 i % rows->at[k].count));
        i /= rows->at[k].count;
    }
    return by;
}

bool mirror_plane(Build *b, const Entry *e, Mirror *out) {
    static const char *const across[] = {   // SCHEMA-ENUM axis
        "left-right", "front-back", "up-down", NULL
    };
    const Node *mirror = node_object(b->c, e->node, "mirror");
    int         i = node_choice(b->c, mirror, "across", across, -1);
    Quantity    at;

    if (!node_need(b->c, mirror, "across", "\"mirror\"")
        || !node_need(b->c, mirror, "at", "\"mirror\"") || i < 0)
        return false;
    at = eval_member(b->c, b->s, "", mirror, "at", DIM_LENGTH,
                     quantity_exact(0, 1, DIM_LENGTH));
    out->normal = way(2 * i);
    out->on     = v3_scale(out->normal, at.real);
    return !at.poison;
}

static void make_pieces(Build *b, Entry *e, Frame f, const Rows *rows,
                        int total, Str name, const Mirror *mirror) {
    for (int i = 0; i < total; i++) {
        Frame moved = f;
        Str   own   = name;
        moved.o = v3_add(f.o, row_offset(rows, i));
        if (total > 1)
            own = str_fmt(b->c, "%.*s %d", STR_ARG(name), i + 1);
        add_piece(b, e, e->part, own, name, moved, mirror);
    }
}

/* Slats are the innermost row, so that they are numbered along it. */
static bool slats_row(Build *b, Entry *e, Frame *f, Rows *rows,
                      int *total) {
    Rows all = { 0 };
    Row  row;

    if (!spread_slats(b, e, f, &row.count, &row.step))
        return false;
    *PUSH(b->c, &all) = row;
    for (int i = 0; i < rows->n; i++)
        *PUSH(b->c, &all) = rows->at[i];
    *rows = all;
    if (*total <= 20000 / row.count) {
        *total *= row.count;
        return true;
    }
    report(b->c, e->node->loc, OUT_OF_RANGE,
           "these slats make over 20000 pieces");
    return false;
}

/* Every member is read even where one is wrong: all mistakes in one run. */
static void build_entry(Build *b, Entry *e) {
    bool   ok    = e->part >= 0 && part_ready(b, e->part, e->node->loc);
    Frame  f     = { 0 };
    V3     at    = v3(0, 0, 0);
    Rows   rows  = { 0 };
    Mirror mirror;
    bool   mirrored = false, high[3];
    int    total;

    ok = square_frame(b, e, &f) && ok;
    ok = node_need(b->c, e->node, "at", "a piece")
      && read_place(b, e->node, "at", &at) && ok;
    ok = read_corner(b, e->node, high) && ok;
    if (ok)
        place_corner(&b->m->parts.at[e->part], high, at, &f);
    ok = turn_frame(b, e, at, &f) && ok;
    ok = read_rows(b, e, &rows, &total) && ok;
    if (ok && node_find(e->node, "slats"))
        ok = slats_row(b, e, &f, &rows, &total);
    if (e->mirror_name.n)
        mirrored = mirror_plane(b, e, &mirror);
    if (!ok)
        return;
    make_pieces(b, e, f, &rows, total, e->name, NULL);
    if (mirrored)
        make_pieces(b, e, f, &rows, total, e->mirror_name, &mirror);
}

/* ---- Values that entries work out ---- */

void entry_value(Build *b, Entry *e, const char *name, Quantity value) {
    Value *v = PUSH(b->c, &e->values);

    v->name  = name;
    v->value = value;
}

Quantity *entry_find(const Entry *e, Str name) {
    for (int i = 0; i < e->values.n; i++) {
        if (str_is(name, e->values.at[i].name))
            return &e->values.at[i].value;
    }
    return NULL;
}

bool entry_ready(Build *b, Entry *e, Loc at) {
    if (e->state == STATE_ACTIVE) {
        report(b->c, at, CYCLE, "the place of '%.*s' depends on itself",
               STR_ARG(e->name));
        hint(b->c, "place one of the pieces on the way by plain lengths");
        return false;
    }
    if (e->state == STATE_NEW) {
        e->state = STATE_ACTIVE;
        if (e->courses)
            build_courses(b, e);
        else
            build_entry(b, e);
        e->state = STATE_DONE;
    }
    return e->made.n > 0;
}

void read_pieces(Build *b) {
    for (int i = 0; i < b->n_entries; i++) {
        Entry *e = &b->entries[i];
        (void)entry_ready(b, e, e->node->loc);
        for (int k = 0; k < e->made.n; k++) {
            const Piece *p = &e->made.at[k];
            int          n = b->m->pieces.n;
            *PUSH(b->c, &b->m->pieces) = *p;
            names_add(b->c, &b->piece_names, p->name, n);
            names_add(b->c, &b->piece_names, p->group, n);
            names_add(b->c, &b->piece_names, p->set, n);
        }
        for (int k = 0; k < e->values.n; k++)
            *PUSH(b->c, &b->m->worked) = (Worked){
                .owner = e->name, .image = e->mirror_name,
                .name = e->values.at[k].name,
                .value = e->values.at[k].value, .part = e->part,
                .courses = e->courses != NULL, .loc = e->node->loc
            };
    }
}

/* ---- Places in formulas ---- */

/* World lengths are doubles; those that lie on the lattice of 1/16000 mm
 * (which holds every 1/128 in and every micrometer) are taken as exact. */
Quantity world_length(double mm) {
    double k = mm * 16000;

    if (fabs(k - nearbyint(k)) < 1e-3 && fabs(k) < 1e15)
        return quantity_exact((int64_t)nearbyint(k), 16000, DIM_LENGTH);
    return quantity_mm(mm);
}

bool side_of(Box3 box, Str side, Quantity *value) {
    const struct { const char *name; double at; } sides[] = {
        { "left", box.min.x },  { "right", box.max.x },
        { "front", box.min.y }, { "back", box.max.y },
        { "bottom", box.min.z }, { "top", box.max.z },
        { "middle", (box.min.x + box.max.x) / 2 },
        { "center", (box.min.y + box.max.y) / 2 },
    };

    for (int i = 0; i < COUNT(sides); i++) {
        if (str_is(side, sides[i].name)) {
            *value = world_length(sides[i].at);
            return true;
        }
    }
    return false;
}

static void unknown_side(Build *b, Loc at, Str owner, Str side) {
    static const Str known[] = {
        { "left", 4 }, { "right", 5 }, { "front", 5 }, { "back", 4 },
        { "bottom", 6 }, { "top", 3 }, { "middle", 6 }, { "center", 6 }
    };
    Str near = nearest_name(side, known, COUNT(known));

    report(b->c, at, UNKNOWN_NAME, "'%.*s' is no side of '%.*s'",
           STR_ARG(side), STR_ARG(owner));
    if (near.n)
        hint(b->c, "did you mean '%.*s.%.*s'?", STR_ARG(owner),
             STR_ARG(near));
    else
        hint(b->c, "a piece has left, right, front, back, bottom, top, and "
             "between them middle (left to right) and center (front to "
             "back)");
}

static Box3 group_box(const Entry *e, Str name) {
    Box3 box = box3_empty();

    for (int i = 0; i < e->made.n; i++) {
        const Piece *p = &e->made.at[i];
        if (!str_eq(p->name, name) && !str_eq(p->group, name)
            && !str_eq(p->set, name) && !in_courses(p, name))
            continue;
        box3_add(&box, p->box.min);
        box3_add(&box, p->box.max);
    }
    return box;
}

/* How many pieces of a part are placed, which waits for all of them. */
static Quantity placed_count(Build *b, int part, Loc at) {
    int n = 0;

    if (b->m->parts.at[part].jig) {
        return part_ready(b, part, at)
             ? quantity_exact(b->m->parts.at[part].jig_count, 1, DIM_NUMBER)
             : POISON;
    }
    for (int i = 0; i < b->n_entries; i++) {
        Entry *e = &b->entries[i];
        if (e->temporary || (e->part != part && !courses_use(e, part)))
            continue;
        if (!entry_ready(b, e, at))
            return POISON;
        for (int k = 0; k < e->made.n; k++)
            n += e->made.at[k].part == part;
    }
    return quantity_exact(n, 1, DIM_NUMBER);
}

/* "B.count", and "B.total length": that many times the length. */
static bool part_sum(Build *b, int part, Str name, Loc at,
                     Quantity *value) {
    static const char *const sizes[] = { "length", "width", "thickness" };
    Str letter = b->m->parts.at[part].letter;

    if (str_is(name, "count")) {
        *value = placed_count(b, part, at);
        return true;
    }
    for (int i = 0; i < COUNT(sizes); i++) {
        Str one = str_fmt(b->c, "%.*s.%s", STR_ARG(letter), sizes[i]);
        if (!str_is(name, str_z(b->c, str_fmt(b->c, "total %s", sizes[i])))
            || !sizes_find(b->s, one))
            continue;
        *value = quantity_mul(b->c, at, placed_count(b, part, at),
                              sizes_value(b->c, b->s, one, at));
        return true;
    }
    return false;
}

static bool part_value(Build *b, Str letter, Str name, Loc at,
                       Quantity *value) {
    int i = model_find_part(b->m, letter);

    if (i < 0)
        return false;
    if (str_is(name, "long") || str_is(name, "short")) {
        *value = POISON;
        if (part_ready(b, i, at))
            *value = str_is(name, "long") ? b->m->parts.at[i].long_length
                                          : b->m->parts.at[i].short_length;
        return true;
    }
    return part_sum(b, i, name, at, value);
}

/* What follows the entry's name: " 3", " 2 5", " course 2". */
static bool is_number_tail(Str tail) {
    if (str_begins(tail, " course "))
        tail = str_part(tail, 7, tail.n);
    if (str_begins(tail, " courses "))
        tail = str_part(tail, 8, tail.n);
    return tail.n > 1 && tail.s[0] == ' ' && tail.s[1] >= '0'
        && tail.s[1] <= '9';
}

bool names_entry(const Entry *e, Str name) {
    const Str names[] = { e->name, e->mirror_name };

    for (int i = 0; i < 2; i++) {
        if (!names[i].n)
            continue;
        if (str_eq(names[i], name))
            return true;
        if (name.n > names[i].n + 1
            && str_eq(str_part(name, 0, names[i].n), names[i])
            && is_number_tail(str_part(name, names[i].n, name.n)))
            return true;
    }
    return false;
}

Entry *entry_named(Build *b, Str name) {
    Entry *first = NULL;

    for (size_t at = 0; at <= name.n; at++) {
        Ints by;
        at = str_find(name, ' ', at);
        by = names_find(&b->entry_names, str_part(name, 0, at));
        for (int i = 0; i < by.n; i++) {
            Entry *e = &b->entries[by.at[i]];
            if (names_entry(e, name) && (!first || e < first))
                first = e;
        }
    }
    return first;
}

bool split_place(Str name, Str *owner, Str *side) {
    size_t dot = name.n;

    while (dot > 0 && name.s[dot - 1] != '.')
        dot--;
    if (dot == 0)
        return false;
    *owner = str_part(name, 0, dot - 1);
    *side  = str_part(name, dot, name.n);
    return true;
}

bool place_hook(Ctx *c, void *who, Str name, Loc at, Quantity *value) {
    Build *b = who;
    Str    owner, side;
    Entry *e;
    Box3   box;

    (void)c;
    if (!split_place(name, &owner, &side))
        return false;
    if (part_value(b, owner, side, at, value))
        return true;
    e = entry_named(b, owner);
    if (!e)
        return false;
    *value = POISON;
    if (e->courses && !measure_courses(b, e, at))
        return true;
    if (entry_find(e, side)) {
        *value = *entry_find(e, side);
        return true;
    }
    if (!entry_ready(b, e, at))
        return true;
    if (entry_find(e, side)) {
        *value = *entry_find(e, side);
        return true;
    }
    box = group_box(e, owner);
    if (box.min.x > box.max.x)
        return false;
    if (!side_of(box, side, value))
        unknown_side(b, at, owner, side);
    return true;
}
