/* base: memory, text, lists, messages, files. */
#include "unit/test.h"

#include <unistd.h>

/* ---- Lists ---- */

typedef struct { int key, place; } Item;

static int by_key(const void *a, const void *b, const void *with) {
    (void)with;
    return ((const Item *)a)->key - ((const Item *)b)->key;
}

static void sorting_keeps_equal_items_in_order(void **state) {
    Ctx *c = *state;
    LIST(Item) items = { 0 };
    uint32_t   seed  = 7;

    for (int i = 0; i < 1000; i++) {
        Item *item = PUSH(c, &items);
        seed = seed * 1664525u + 1013904223u;
        item->key   = (int)(seed >> 24) % 17;
        item->place = i;
    }
    list_sort(c, items.at, items.n, sizeof *items.at, by_key, NULL);
    for (int i = 1; i < items.n; i++) {
        const Item *a = &items.at[i - 1], *b = &items.at[i];
        assert_true(a->key < b->key
                    || (a->key == b->key && a->place < b->place));
    }
}

static void lists_keep_their_elements_as_they_grow(void **state) {
    Ctx *c = *state;
    LIST(int) list = { 0 };

    for (int i = 0; i < 5000; i++)
        *PUSH(c, &list) = i;
    assert_int_equal(list.n, 5000);
    for (int i = 0; i < 5000; i++)
        assert_int_equal(list.at[i], i);
}

/* ---- Memory ---- */

static void exhaustion_jumps_out_once(void **state) {
    Ctx    *c = *state;
    jmp_buf out;

    c->arena.out_of_memory = &out;
    if (setjmp(out) == 0) {
        arena_take(&c->arena, SIZE_MAX - 100);
        fail_msg("an impossible size was handed out");
    }
    c->arena.out_of_memory = NULL;
}

static void memory_comes_zeroed(void **state) {
    Ctx  *c = *state;
    char *a = NEW_N(c, char, 300000);

    for (int i = 0; i < 300000; i++)
        assert_int_equal(a[i], 0);
}

/* ---- Text ---- */

static void numbers_print_without_noise(void **state) {
    Ctx *c = *state;
    static const struct { double v; int places; const char *is; } rows[] = {
        { 3.5, 3, "3.5" }, { 3.0, 3, "3" }, { -0.0001, 2, "0" },
        { 100, 0, "100" }, { 0.125, 4, "0.125" }, { -2.50, 2, "-2.5" },
    };

    for (int i = 0; i < COUNT(rows); i++) {
        Buf b = BUF(c);
        buf_num(&b, rows[i].v, rows[i].places);
        assert_str(buf_done(&b), rows[i].is);
    }
}

/* What printf rounds, to the same digits, less zeros at the end. */
static void assert_as_printed(Ctx *c, double value, int places) {
    char   text[400];
    size_t n;
    Buf    b = BUF(c);

    snprintf(text, sizeof text, "%.*f", places, value);
    n = strlen(text);
    while (strchr(text, '.') && text[n - 1] == '0')
        text[--n] = 0;
    if (text[n - 1] == '.')
        text[--n] = 0;
    buf_num(&b, value, places);
    assert_str(buf_done(&b), strcmp(text, "-0") == 0 ? "0" : text);
}

static void numbers_are_rounded_as_printf_does(void **state) {
    static const double large[] = { 1e-9, 0.05, 1, 300, 7e4, 2e8, 3e12 };
    Ctx     *c = *state;
    uint32_t chance = 1;

    for (int i = 0; i < 100000; i++) {
        double value;
        chance = chance * 1664525u + 1013904223u;   // Numerical Recipes
        value  = ((int32_t)chance) / 2147483648.0 * large[i % 7];
        if (i % 5 == 0)   // halves, and what is near them
            value = (floor(value) + 0.5) / 1000 + (i % 3 - 1) * 1e-13;
        assert_as_printed(c, value, i / 7 % 9);
        if (i % 1000 == 0)
            arena_reset(&c->arena);
    }
}

static void bad_utf8_is_found_where_it_is(void **state) {
    static const struct { const char *s; size_t at; } rows[] = {
        { "ab\xFF", 2 },             // no such byte
        { "\xC0\x80", 0 },           // overlong
        { "x\xED\xA0\x80", 1 },      // a surrogate
        { "pine\xE2\x82", 4 },       // cut short
        { "\xF5\x80\x80\x80", 0 },   // beyond Unicode
    };
    size_t at;
    (void)state;

    for (int i = 0; i < COUNT(rows); i++) {
        Str s = { rows[i].s, strlen(rows[i].s) };
        assert_false(utf8_valid(s, &at));
        assert_int_equal(at, rows[i].at);
    }
    assert_true(utf8_valid(STR("3 ³⁄₁₆ × 30° \xEF\xBF\xBD"), &at));
}

static void characters_survive_a_round_trip(void **state) {
    Ctx *c = *state;
    static const uint32_t all[] = { 'A', 0xB0, 0x2044, 0x1F600 };
    Buf    b  = BUF(c);
    Str    s;
    size_t at = 0;

    for (int i = 0; i < COUNT(all); i++)
        buf_char(&b, all[i]);
    s = buf_done(&b);
    for (int i = 0; i < COUNT(all); i++)
        assert_int_equal(utf8_next(s, &at), all[i]);
    assert_int_equal(at, s.n);
}

static void the_nearest_name_is_near(void **state) {
    static const Str known[] = {
        { "width", 5 }, { "depth", 5 }, { "thickness", 9 }
    };
    (void)state;

    assert_str(nearest_name(STR("widht"), known, 3), "width");
    assert_str(nearest_name(STR("thicknes"), known, 3), "thickness");
    assert_str(nearest_name(STR("color"), known, 3), "");
}

static void json_text_is_escaped(void **state) {
    Ctx *c = *state;
    Buf  b = BUF(c);

    buf_json(&b, STR("a \"b\"\\\n\x01"));
    assert_str(buf_done(&b), "\"a \\\"b\\\"\\\\\\n\\u0001\"");
}

/* ---- Messages ---- */

static void messages_come_in_order_of_place(void **state) {
    Ctx *c = *state;
    int  f = source_add(c, "bench.json", STR("one\ntwo three\n"));
    Str  text;

    report(c, (Loc){ f, 8, 13 }, JSON_SYNTAX, "second");
    report(c, (Loc){ f, 4, 7 }, UNKNOWN_NAME, "first");
    hint(c, "did you mean it?");
    report_plain(c, FILE_READ, "plain");
    text = diags_text(c);
    assert_str(text,
               "rodbook: error: plain; check the path [file-read]\n"
               "bench.json:2:1: error: first; did you mean it? "
               "[unknown-name]\n    two three\n    ^^^\n"
               "bench.json:2:5: error: second [json-syntax]\n"
               "    two three\n        ^^^^^\n");
    assert_int_equal(c->errors, 3);
}

static void columns_count_characters(void **state) {
    Ctx *c = *state;
    int  f = source_add(c, "x", STR("½° = wrong"));
    LineCol at = loc_line_col(c, (Loc){ f, 7, 12 });

    assert_int_equal(at.line, 1);
    assert_int_equal(at.col, 6);
}

/* ---- Files ---- */

static void writing_replaces_whole_files_only(void **state) {
    Ctx *c = *state;
    char dir[] = "/tmp/rodbook-test-XXXXXX";
    Str  path;
    int  f;

    assert_non_null(mkdtemp(dir));
    path = str_fmt(c, "%s/a.txt", dir);
    assert_true(file_write(c, str_z(c, path), STR("old")));
    assert_true(file_write(c, str_z(c, path), STR("new and longer")));
    f = source_read(c, str_z(c, path));
    assert_str(c->sources.at[f].text, "new and longer");
    unlink(str_z(c, path));
    assert_int_equal(rmdir(dir), 0);   // nothing else was left there
}

static void a_failed_write_is_reported_and_leaves_nothing(void **state) {
    Ctx *c = *state;

    assert_false(file_write(c, "/tmp/no such folder/a.txt", STR("x")));
    assert_int_equal(has_diag(c, FILE_WRITE), 1);
    assert_true(c->io_failed);
    assert_int_equal(source_read(c, "/tmp/no such file"), -1);
    assert_int_equal(has_diag(c, FILE_READ), 1);
}

static void a_folder_is_no_file(void **state) {
    Ctx *c = *state;

    assert_int_equal(source_read(c, "/tmp"), -1);
    assert_int_equal(has_diag(c, FILE_READ), 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(sorting_keeps_equal_items_in_order),
        TEST(lists_keep_their_elements_as_they_grow),
        TEST(exhaustion_jumps_out_once),
        TEST(memory_comes_zeroed),
        TEST(numbers_print_without_noise),
        TEST(numbers_are_rounded_as_printf_does),
        TEST(bad_utf8_is_found_where_it_is),
        TEST(characters_survive_a_round_trip),
        TEST(the_nearest_name_is_near),
        TEST(json_text_is_escaped),
        TEST(messages_come_in_order_of_place),
        TEST(columns_count_characters),
        TEST(writing_replaces_whole_files_only),
        TEST(a_failed_write_is_reported_and_leaves_nothing),
        TEST(a_folder_is_no_file),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
