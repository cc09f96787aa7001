/* What designs share, and the variants of one, with files in memory. */
#include "unit/test.h"

#include "design/design.h"
#include "eval/eval.h"

/* ---- A small world of files: path, text, path, text, ..., NULL ---- */

static const char *const *world;
static int                reads;

static bool world_read(Ctx *c, const char *path, Str *text,
                       const char **why) {
    reads++;
    for (int i = 0; world[i]; i += 2) {
        if (strcmp(world[i], path) != 0)
            continue;
        *text = str_from(c, world[i + 1]);
        for (size_t k = 0; k < text->n; k++) {
            if (text->s[k] == '\'')
                ((char *)text->s)[k] = '"';
        }
        return true;
    }
    *why = "No such file or directory";
    return false;
}

/* "link/..." leads out of the plans. */
static bool world_real(Ctx *c, const char *path, Str *real,
                       const char **why) {
    const char *link = strstr(path, "link/");

    *real = link ? path_join(c, STR("/elsewhere"), str_from(c, link + 5))
                 : path_join(c, STR("/home"), str_from(c, path));
    for (int i = 0; world[i]; i += 2) {
        if (str_is(*real, world[i]) || strcmp(path, world[i]) == 0)
            return true;
    }
    *why = "No such file or directory";
    return !str_ends(*real, ".json");
}

static const Files memory = { world_read, NULL, NULL };
static const Files linked = { world_read, NULL, world_real };

static const Design *read_from(Ctx *c, const char *const *files) {
    c->files = &memory;
    world    = files;
    reads    = 0;
    return design_read(c, files[0]);
}

#define FILES(...) ((const char *const[]){ __VA_ARGS__, NULL })

static const Design *good_from(Ctx *c, const char *const *files) {
    const Design *d = read_from(c, files);

    if (!d || c->diags.n)
        fail_msg("%.*s", STR_ARG(diags_text(c)));
    return d;
}

static Str text_at(const Design *d, const char *object, const char *key) {
    const Node *n = node_find(d->root, object);

    n = *key ? node_find(n, key) : n;
    return n ? n->text : STR("(none)");
}

static Str keys_of(Ctx *c, const Design *d, const char *object) {
    const Node *list = node_find(d->root, object);
    Buf         out  = BUF(c);
    int         n    = 0;

    for (const Node *m = list ? list->first : NULL; m; m = m->next, n++)
        buf_add(&out, "%s%.*s", n ? " " : "", STR_ARG(m->key));
    if (list)
        assert_int_equal(list->count, n);
    return buf_done(&out);
}

/* ---- Includes ---- */

static void a_design_gets_what_it_includes(void **state) {
    Ctx          *c = *state;
    const Design *d = good_from(c, FILES(
        "plans/bench.json", "{'rodbook': 1, 'include': 'lists/shop.json',"
        " 'sizes': {'long': '36in'}}",
        "plans/lists/shop.json", "{'rodbook': 1, 'include': ['screws.json'],"
        " 'sizes': {'t': '3/4in'}, 'terms': 'Build one.'}",
        "plans/lists/screws.json", "{'rodbook': 1, 'hardware': {'screw': {}}}"
        ));

    assert_str(keys_of(c, d, "sizes"), "long t");
    assert_str(keys_of(c, d, "hardware"), "screw");
    assert_str(text_at(d, "terms", ""), "Build one.");
    assert_int_equal(d->file, 0);
    assert_int_equal(node_find(node_find(d->root, "sizes"), "t")->loc.file,
                     1);
    assert_str(c->sources.at[2].path, "plans/lists/screws.json");
}

static void the_including_file_comes_first(void **state) {
    Ctx          *c = *state;
    const Design *d = good_from(c, FILES(
        "bench.json", "{'rodbook': 1, 'include': ['a.json', 'b.json'],"
        " 'sizes': {'t': '1in', 'u': '2in'}, 'print': {'paper': 'a4'},"
        " 'terms': 'mine', 'caution': [{'say': 'one'}]}",
        "a.json", "{'rodbook': 1, 'sizes': {'t': '3in', 'v': '4in'},"
        " 'print': {'paper': 'letter', 'units': 'mm'}, 'terms': 'theirs',"
        " 'caution': [{'say': 'two'}]}",
        "b.json", "{'rodbook': 1, 'sizes': {'t': '5in'}, 'terms': 'other',"
        " 'caution': [{'say': 'three'}]}"));

    assert_str(keys_of(c, d, "sizes"), "t u v");
    assert_str(text_at(d, "sizes", "t"), "1in");
    assert_str(text_at(d, "print", "paper"), "a4");
    assert_str(text_at(d, "print", "units"), "mm");
    assert_str(text_at(d, "terms", ""), "mine");
    assert_int_equal(node_find(d->root, "caution")->count, 3);
}

static void two_included_files_must_agree(void **state) {
    Ctx *c = *state;

    assert_null(read_from(c, FILES(
        "bench.json", "{'rodbook': 1, 'include': ['a.json', 'b.json']}",
        "a.json", "{'rodbook': 1, 'stock': {'board': {}}}",
        "b.json", "{'rodbook': 1, 'stock': {'plank': {}, 'board': {}}}")));
    assert_int_equal(c->diags.n, 1);
    assert_int_equal(c->diags.at[0].code, INCLUDE_TWICE);
    assert_int_equal(c->diags.at[0].loc.file, 2);
    assert_str(c->diags.at[0].what,
               "'board' is defined here and in a.json, line 1");
}

static void a_file_reached_twice_is_read_once(void **state) {
    Ctx          *c = *state;
    const Design *d = good_from(c, FILES(
        "bench.json", "{'rodbook': 1, 'include': ['a.json', 'b.json']}",
        "a.json", "{'rodbook': 1, 'include': 'x/../c.json'}",
        "b.json", "{'rodbook': 1, 'include': './c.json'}",
        "c.json", "{'rodbook': 1, 'sizes': {'t': '1in'}, 'care': 'Oil.',"
        " 'caution': [{}]}"));

    assert_int_equal(reads, 4);
    assert_str(keys_of(c, d, "sizes"), "t");
    assert_int_equal(node_find(d->root, "caution")->count, 1);
}

static void loops_tell_their_whole_way(void **state) {
    Ctx *c = *state;

    assert_null(read_from(c, FILES(
        "p/bench.json", "{'rodbook': 1, 'include': 'a.json'}",
        "p/a.json", "{'rodbook': 1, 'include': 'b.json'}",
        "p/b.json", "{'rodbook': 1, 'include': 'a.json'}")));
    assert_int_equal(c->diags.n, 1);
    assert_int_equal(c->diags.at[0].code, INCLUDE_LOOP);
    assert_str(c->diags.at[0].what, "this file includes itself: "
               "p/a.json → p/b.json → p/a.json");
    assert_null(read_from(c, FILES(
        "p/self.json", "{'rodbook': 1, 'include': 'self.json'}")));
    assert_str(c->diags.at[1].what, "this file includes itself: "
               "p/self.json → p/self.json");
}

static void nothing_outside_is_touched(void **state) {
    static const char *const ways[] = {
        "../a.json", "/a.json", "x/../../a.json", "..", "./../plans/../a",
        "/plans/a.json", "."
    };
    Ctx *c = *state;

    for (int i = 0; i < COUNT(ways); i++) {
        const char *text = str_z(c, str_fmt(c, "{'rodbook': 1, 'include':"
                                            " '%s'}", ways[i]));
        assert_null(read_from(c, FILES("plans/bench.json", text)));
        assert_int_equal(reads, 1);
        assert_int_equal(c->diags.n, i + 1);
        assert_int_equal(c->diags.at[i].code, INCLUDE_OUTSIDE);
    }
    assert_false(c->io_failed);
}

static void links_are_followed_before_the_test(void **state) {
    Ctx *c = *state;

    world    = FILES("plans/bench.json",
                     "{'rodbook': 1, 'include': 'link/a.json'}",
                     "/elsewhere/a.json", "{'rodbook': 1}");
    c->files = &linked;
    assert_null(design_read(c, "plans/bench.json"));
    assert_int_equal(c->diags.at[0].code, INCLUDE_OUTSIDE);
    c->library = "link/";
    assert_non_null(design_read(c, "plans/bench.json"));
    assert_int_equal(c->errors, 1);
}

static void a_library_may_lie_elsewhere(void **state) {
    Ctx          *c = *state;
    const Design *d;

    c->library = "/shop";
    c->files   = &linked;
    world      = FILES("plans/bench.json",
                       "{'rodbook': 1, 'include': ['a.json', 'd.json']}",
                       "/home/plans/d.json", "{'rodbook': 1, 'care': 'D'}",
                       "/shop/a.json", "{'rodbook': 1, 'terms': 'T',"
                       " 'include': 'c.json'}",
                       "/shop/c.json", "{'rodbook': 1, 'sizes': {'t': 1}}",
                       "/shop/d.json", "{'rodbook': 1, 'care': 'shop'}");
    d = design_read(c, "plans/bench.json");
    assert_non_null(d);
    assert_str(text_at(d, "terms", ""), "T");
    assert_str(text_at(d, "care", ""), "D");
    assert_str(keys_of(c, d, "sizes"), "t");
    assert_str(c->sources.at[1].path, "/shop/a.json");
}

static void a_missing_file_is_told_where_it_is_named(void **state) {
    Ctx *c = *state;

    world = FILES("plans/bench.json", "{'rodbook': 1, 'include': 'a.json'}");
    c->files = &linked;
    assert_null(design_read(c, "plans/bench.json"));
    assert_int_equal(c->diags.at[0].code, FILE_READ);
    assert_int_equal(c->diags.at[0].loc.begin, 26);
    assert_str(c->diags.at[0].what, "cannot read plans/a.json: "
               "No such file or directory");
    assert_true(c->io_failed);
}

static void included_files_hold_no_parts(void **state) {
    Ctx *c = *state;

    assert_null(read_from(c, FILES(
        "bench.json", "{'rodbook': 1, 'include': 'a.json'}",
        "a.json", "{'rodbook': 1, 'parts': {}, 'pieces': [], 'steps': []}")));
    assert_int_equal(has_diag(c, UNKNOWN_KEY), 3);
}

static void a_long_row_of_includes_has_an_end(void **state) {
    Ctx          *c = *state;
    const char   *files[2 * 300 + 1];
    const Diag   *d;

    for (int i = 0; i < 300; i++) {
        files[2 * i]     = str_z(c, str_fmt(c, "%d.json", i));
        files[2 * i + 1] = str_z(c, str_fmt(c, "{'rodbook': 1, 'include':"
                                            " '%d.json'}", i + 1));
    }
    files[600] = NULL;
    assert_null(read_from(c, files));
    d = &c->diags.at[c->diags.n - 1];
    assert_int_equal(d->code, JSON_DEPTH);
    assert_int_equal(reads, 100);
}

/* ---- Paths ---- */

static void paths_are_joined_and_cleaned(void **state) {
    Ctx *c = *state;

    assert_str(path_join(c, STR(""), STR("a/./b//c")), "a/b/c");
    assert_str(path_join(c, STR("a/b"), STR("../c")), "a/c");
    assert_str(path_join(c, STR("a"), STR("../../c")), "../c");
    assert_str(path_join(c, STR(""), STR("../../c")), "../../c");
    assert_str(path_join(c, STR("a"), STR("..")), "");
    assert_str(path_join(c, STR("/a"), STR("../../..")), "/");
    assert_str(path_join(c, STR("/a"), STR("../../c")), "/c");
    assert_str(path_join(c, STR("a"), STR("/c")), "/c");
    assert_str(path_folder(STR("a/b")), "a");
    assert_str(path_folder(STR("/b")), "/");
    assert_str(path_folder(STR("b")), "");
}

static void below_means_truly_below(void **state) {
    (void)state;
    assert_true(path_is_below(STR("/a"), STR("/a/b")));
    assert_false(path_is_below(STR("/a"), STR("/ab")));
    assert_false(path_is_below(STR("/a"), STR("/a")));
    assert_true(path_is_below(STR(""), STR("..a/b")));
    assert_false(path_is_below(STR(""), STR("../b")));
    assert_false(path_is_below(STR(""), STR("/b")));
    assert_true(path_is_below(STR("/"), STR("/b")));
}

/* ---- Variants ---- */

#define TALL \
    "{'rodbook': 1, 'title': 'Bench', 'sizes': {'high': {'is': '17in'," \
    " 'note': 'of the seat'}, 'long': '36in'}, 'print': {'paper': 'a4'}," \
    " 'variants': {'tall': {'title': 'Tall bench', 'code': 'TB'," \
    " 'print': {'units': 'mm'}, 'sizes': {'high': '30in'}}}}"

static void a_variant_changes_what_it_names(void **state) {
    Ctx          *c = *state;
    const Design *d = good_from(c, FILES("bench.json", TALL));
    const Design *v = design_variant(c, d, STR("tall"));
    const Node   *high;

    assert_non_null(v);
    assert_str(v->variant, "tall");
    assert_str(text_at(v, "title", ""), "Tall bench");
    assert_str(text_at(v, "code", ""), "TB");
    assert_str(text_at(v, "print", "paper"), "a4");
    assert_str(text_at(v, "print", "units"), "mm");
    assert_str(keys_of(c, v, "sizes"), "high long");
    high = node_find(node_find(v->root, "sizes"), "high");
    assert_str(node_find(high, "is")->text, "30in");
    assert_str(node_find(high, "note")->text, "of the seat");
}

static void the_design_stays_as_it_stands(void **state) {
    Ctx          *c = *state;
    const Design *d = good_from(c, FILES("bench.json", TALL));
    const Design *v = design_variant(c, d, STR("tall"));
    Buf           before = BUF(c), after = BUF(c);

    design_dump(&before, c, d);
    assert_non_null(v);
    design_dump(&after, c, design_variant(c, d, STR("")));
    assert_true(str_eq(buf_done(&before), buf_done(&after)));
    assert_str(text_at(d, "title", ""), "Bench");
    assert_int_equal(d->variant.n, 0);
}

static void an_unknown_variant_names_the_nearest(void **state) {
    Ctx          *c = *state;
    const Design *d = good_from(c, FILES("bench.json", TALL));

    assert_null(design_variant(c, d, STR("tal")));
    assert_int_equal(c->diags.at[0].code, UNKNOWN_NAME);
    assert_str(c->diags.at[0].hint, "did you mean 'tall'?");
}

static void a_variant_adds_no_size(void **state) {
    Ctx *c = *state;

    (void)!read_from(c, FILES("bench.json", "{'rodbook': 1, 'sizes':"
        " {'high': '1in'}, 'variants': {'tall': {'sizes':"
        " {'hihg': '2in'}}}}"));
    assert_int_equal(c->diags.n, 1);
    assert_int_equal(c->diags.at[0].code, UNKNOWN_NAME);
    assert_str(c->diags.at[0].hint, "did you mean 'high'?");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(a_design_gets_what_it_includes),
        TEST(the_including_file_comes_first),
        TEST(two_included_files_must_agree),
        TEST(a_file_reached_twice_is_read_once),
        TEST(loops_tell_their_whole_way),
        TEST(nothing_outside_is_touched),
        TEST(links_are_followed_before_the_test),
        TEST(a_library_may_lie_elsewhere),
        TEST(a_missing_file_is_told_where_it_is_named),
        TEST(included_files_hold_no_parts),
        TEST(a_long_row_of_includes_has_an_end),
        TEST(paths_are_joined_and_cleaned),
        TEST(below_means_truly_below),
        TEST(a_variant_changes_what_it_names),
        TEST(the_design_stays_as_it_stands),
        TEST(an_unknown_variant_names_the_nearest),
        TEST(a_variant_adds_no_size),
    };

    return cmocka_run_group_tests_name("include", tests, NULL, NULL);
}
