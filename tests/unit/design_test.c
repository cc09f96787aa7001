/* The JSON of a design: grammar, places, duplicate keys, accessors. */
#include "unit/test.h"

#include "design/design.h"

static const Design *parse(Ctx *c, const char *text) {
    return design_parse(c, source_add(c, "bench.json", str_from(c, text)));
}

/* `text` is refused with this one code, at these very bytes. */
static void refused(const char *text, DiagCode code, const char *there) {
    Ctx         ctx, *c = &ctx;
    const Diag *d;

    ctx_init(c, &real_files);
    if (parse(c, text))
        fail_msg("accepted: %s", text);
    if (c->diags.n != 1)
        fail_msg("%d messages for: %s", c->diags.n, text);
    d = &c->diags.at[0];
    if (d->code != code)
        fail_msg("%s for: %s", diag_name(d->code), text);
    if (!str_is(str_part(c->sources.at[0].text, d->loc.begin, d->loc.end),
                there))
        fail_msg("place [%u, %u) for: %s", d->loc.begin, d->loc.end, text);
    ctx_free(c);
}

static void accepted(const char *text) {
    Ctx ctx, *c = &ctx;

    ctx_init(c, &real_files);
    if (!parse(c, text) || c->diags.n)
        fail_msg("refused: %s\n%.*s", text, STR_ARG(diags_text(c)));
    ctx_free(c);
}

static Str place_text(const Ctx *c, Loc loc) {
    return str_part(c->sources.at[loc.file].text, loc.begin, loc.end);
}

/* ---- The tree ---- */

static const char bench[] =
    "{ // a bench\n"
    "  \"rodbook\": 1,\n"
    "  \"sizes\": {\"width\": \"22in\", /* all of it */ \"t\": 12.5e0},\n"
    "  \"list\": [true, null, \"a\\u00e9\\n\", []]\n"
    "}\n";

static void every_value_has_its_place(void **state) {
    Ctx          *c     = *state;
    const Design *d     = parse(c, bench);
    const Node   *sizes = node_find(d->root, "sizes"), *item;

    assert_non_null(sizes);
    assert_int_equal(d->root->count, 3);
    assert_int_equal(d->root->loc.begin, 0);
    assert_str(place_text(c, sizes->first->loc), "\"22in\"");
    assert_str(place_text(c, sizes->first->key_loc), "\"width\"");
    assert_str(sizes->first->text, "22in");
    item = sizes->first->next;
    assert_str(item->key, "t");
    assert_str(place_text(c, item->loc), "12.5e0");
    assert_true(item->number == 12.5);
    assert_str(item->text, "12.5e0");
    assert_int_equal(loc_line_col(c, item->loc).line, 3);
    assert_int_equal(loc_line_col(c, item->loc).col, 51);
    item = node_find(d->root, "list")->first;
    assert_true(item->kind == NODE_BOOL && item->truth);
    assert_str(place_text(c, item->loc), "true");
    item = item->next;
    assert_int_equal(item->kind, NODE_NULL);
    item = item->next;
    assert_str(item->text, "a\xC3\xA9\n");
    assert_str(place_text(c, item->loc), "\"a\\u00e9\\n\"");
    assert_false(item->plain);
    assert_str(place_text(c, item->next->loc), "[]");
}

static void the_dump_shows_the_tree(void **state) {
    Ctx *c   = *state;
    Buf  out = BUF(c);

    design_dump(&out, c, parse(c, "{\"rodbook\": 1,\n \"a\": [\"x\"]}"));
    assert_str(buf_done(&out), "1:1 object\n"
                               "  1:13 \"rodbook\": number 1\n"
                               "  2:7 \"a\": list\n"
                               "    2:8 text \"x\"\n");
}

static void comments_do_not_move_places(void **state) {
    Ctx          *c = *state;
    const Design *d = parse(c, "/* \"a\": 1 */{\"rodbook\"/**/:/*/ */1//x\n"
                               ", \"b\": \"// no\" // comment");

    assert_null(d);   // the object is never closed
    d = parse(c, "/* \"a\": 1 */{\"rodbook\"/**/:/*/ */1//x\n"
                 ", \"b\": \"// no /* comment */\"}// end");
    assert_non_null(d);
    assert_str(node_find(d->root, "b")->text, "// no /* comment */");
    assert_str(place_text(c, node_find(d->root, "b")->key_loc), "\"b\"");
}

/* ---- What is accepted ---- */

/* RFC 8259, sections 2 to 8. */
static void json_is_accepted(void **state) {
    (void)state;
    accepted("\t\r\n {\"rodbook\":1}\n");
    accepted("\xEF\xBB\xBF{\"rodbook\":1}");
    accepted("{\"rodbook\":1,\"a\":[0,-0,0.5,-12.25e-3,1E+2]}");
    accepted("{\"rodbook\":1,\"\":\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"}");
    accepted("{\"rodbook\":1,\"a\":\"\\ud83d\\ude00 \xF0\x9F\x98\x80\"}");
    accepted("{\"rodbook\":1,\"a\":{},\"b\":[[],[{}]]}");
}

/* ---- What is refused, and where ---- */

/* What cJSON 1.7.15 lets through by itself, as we measured. */
static void what_cjson_lets_through_is_refused(void **state) {
    (void)state;
    refused("{\"rodbook\":1,\"a\":01}", JSON_SYNTAX, "01");
    refused("{\"rodbook\":1,\"a\":5.}", JSON_SYNTAX, "5.");
    refused("{\"rodbook\":1,\"a\":1e400}", NOT_FINITE, "1e400");
    refused("{\"rodbook\":1,\"a\":\"\\u00zz\"}", JSON_SYNTAX, "\\u");
    refused("{\"rodbook\":1,\"a\":\"x\\u0000y\"}", JSON_SYNTAX, "\\u0000");
    refused("{\"rodbook\":1,\"a\":\"x\ty\"}", JSON_SYNTAX, "\t");
    refused("{\"rodbook\":1,\"a\":\"x\ny\"}", JSON_SYNTAX, "\"x");
    refused("{\"rodbook\":1,\"a\":\"\xFF\"}", JSON_UTF8, "\xFF");
    refused("{\"rodbook\":1,\"a\":\"\xC0\xAF\"}", JSON_UTF8, "\xC0");
    refused("{\"rodbook\":1,\"a\":\"\xED\xA0\x80\"}", JSON_UTF8, "\xED");
    refused("{\"rodbook\":1,\"a\":1234567890123456789012345678901234567890"
            "1234567890123456789012345}", JSON_SYNTAX,
            "1234567890123456789012345678901234567890"
            "1234567890123456789012345");
}

static void half_a_character_is_refused(void **state) {
    (void)state;
    refused("{\"rodbook\":1,\"a\":\"\\ud83d\"}", JSON_SYNTAX, "\\ud83d");
    refused("{\"rodbook\":1,\"a\":\"\\ude00\"}", JSON_SYNTAX, "\\ude00");
    refused("{\"rodbook\":1,\"a\":\"\\ud83d\\u0041\"}", JSON_SYNTAX,
            "\\ud83d");
    refused("{\"rodbook\":1,\"a\":\"\\ude00\\ude01\"}", JSON_SYNTAX,
            "\\ude00");
    refused("{\"rodbook\":1,\"a\":\"\\ud83d\\ud83d\"}", JSON_SYNTAX,
            "\\ud83d");
}

static void nul_bytes_are_refused(void **state) {
    Ctx *c = *state;

    assert_null(design_parse(c, source_add(c, "a", STR("{\"rodbook\":1\0}"))));
    assert_null(design_parse(
        c, source_add(c, "b", STR("{\"rodbook\":1,\"a\0b\":2}"))));
    assert_null(design_parse(c, source_add(c, "c", STR("{\"rodbook\":1}\0"))));
    assert_int_equal(has_diag(c, JSON_SYNTAX), 3);
}

static void commas_and_brackets_are_missed_where_they_belong(void **state) {
    (void)state;
    refused("{\"rodbook\":1,}", JSON_SYNTAX, ",");
    refused("{\"rodbook\":1,\"a\":[1,2, /* */ ]}", JSON_SYNTAX, ",");
    refused("{\"rodbook\":1 \"a\":2}", JSON_SYNTAX, "\"");
    refused("{\"rodbook\":1,,\"a\":2}", JSON_SYNTAX, ",");
    refused("{\"rodbook\":1,\"a\":[1 2]}", JSON_SYNTAX, "2");
    refused("{\"rodbook\":1,\"a\":[1}", JSON_SYNTAX, "}");
    refused("{\"rodbook\":1,\"a\":[1", JSON_SYNTAX, "[");
    refused("{\"rodbook\":1", JSON_SYNTAX, "{");
    refused("{\"rodbook\":1}}", JSON_SYNTAX, "}");
    refused("{\"rodbook\" 1}", JSON_SYNTAX, "\"rodbook\"");
    refused("{\"rodbook\":}", JSON_SYNTAX, "}");
    refused("{\"rodbook\":", JSON_SYNTAX, "");
    refused("{rodbook:1}", JSON_SYNTAX, "rodbook");
}

static void values_without_quotes_are_refused(void **state) {
    (void)state;
    refused("{\"rodbook\":1,\"a\":22in}", JSON_SYNTAX, "22in");
    refused("{\"rodbook\":1,\"a\":3 3/4in}", JSON_SYNTAX, "3/4in");
    refused("{\"rodbook\":1,\"a\":.5}", JSON_SYNTAX, ".5");
    refused("{\"rodbook\":1,\"a\":+5}", JSON_SYNTAX, "+5");
    refused("{\"rodbook\":1,\"a\":-}", JSON_SYNTAX, "-");
    refused("{\"rodbook\":1,\"a\":0x1F}", JSON_SYNTAX, "0x1F");
    refused("{\"rodbook\":1,\"a\":1.2.3}", JSON_SYNTAX, "1.2.3");
    refused("{\"rodbook\":1,\"a\":1e}", JSON_SYNTAX, "1e");
    refused("{\"rodbook\":1,\"a\":True}", JSON_SYNTAX, "True");
    refused("{\"rodbook\":1,\"a\":NaN}", JSON_SYNTAX, "NaN");
    refused("{\"rodbook\":1,\"a\":'x'}", JSON_SYNTAX, "'x'");
    refused("{\"rodbook\":1,\"a\":\"3 1/2\" in\"}", JSON_SYNTAX, "in\"");
    refused("{\"rodbook\":1,\"a\":\"\\q\"}", JSON_SYNTAX, "\\q");
    refused("{\"rodbook\":1,\"a\":\"x", JSON_SYNTAX, "\"x");
}

static void broken_comments_are_refused(void **state) {
    (void)state;
    refused("{\"rodbook\":1 /* never closed *", JSON_SYNTAX, "/*");
    refused("{\"rodbook\":1 /*/}", JSON_SYNTAX, "/*");
    refused("{\"rodbook\":1 / 2}", JSON_SYNTAX, "/");
    refused("{\"rodbook\":1} # x", JSON_SYNTAX, "#");
}

static void every_duplicate_key_is_reported(void **state) {
    Ctx *c = *state;

    assert_null(parse(c, "{\"rodbook\": 1, \"a\": {\"b\": 1, \"b\": 2},\n"
                         "\"c\": 1, \"\\u0061\": 3, \"B\": 1, \"a\": 4}"));
    assert_int_equal(c->diags.n, 3);
    assert_int_equal(has_diag(c, JSON_DUPLICATE), 3);
    diags_text(c);   // sorts them by place
    assert_str(place_text(c, c->diags.at[0].loc), "\"b\"");
    assert_int_equal(c->diags.at[0].loc.begin, 29);
    assert_str(place_text(c, c->diags.at[1].loc), "\"\\u0061\"");
    assert_str(place_text(c, c->diags.at[2].loc), "\"a\"");
}

/* `n` lists within each other below the root object. */
static bool nests(Ctx *c, int n) {
    Buf b = BUF(c);

    buf_add(&b, "{\"rodbook\":1,\"a\":");
    for (int i = 0; i < n; i++)
        buf_add(&b, "[");
    for (int i = 0; i < n; i++)
        buf_add(&b, "]");
    buf_add(&b, "}");
    return design_parse(c, source_add(c, "deep", buf_done(&b))) != NULL;
}

static void brackets_nest_to_200_and_no_deeper(void **state) {
    Ctx *c = *state;

    assert_true(nests(c, 199));
    assert_false(nests(c, 200));
    assert_int_equal(has_diag(c, JSON_DEPTH), 1);
    assert_false(nests(c, 200000));
    assert_int_equal(c->errors, 2);
}

static void only_a_design_is_a_design(void **state) {
    (void)state;
    refused("", NOT_A_DESIGN, "");
    refused(" // nothing\n", NOT_A_DESIGN, "");
    refused("[1]", NOT_A_DESIGN, "[1]");
    refused("{\"title\": \"x\"}", NOT_A_DESIGN, "{\"title\": \"x\"}");
    refused("{\"rodbook\": 2}", NOT_A_DESIGN, "2");
    refused("{\"rodbook\": \"1\"}", NOT_A_DESIGN, "\"1\"");
}

static void a_missing_file_is_reported(void **state) {
    Ctx *c = *state;

    assert_null(design_read(c, "/nowhere/bench.json"));
    assert_int_equal(has_diag(c, FILE_READ), 1);
}

/* ---- Accessors ---- */

static const char stool[] =
    "{\"rodbook\": 1, \"title\": \"Stool\", \"legs\": [1], \"by\": {},\n"
    " \"flat\": true, \"paper\": \"lettr\", \"wdith\": 3, \"count\": 4}";

static void members_are_found_by_kind(void **state) {
    Ctx        *c    = *state;
    const Node *root = parse(c, stool)->root;

    assert_str(node_str(c, root, "title"), "Stool");
    assert_str(node_str(c, root, "code"), "");
    assert_non_null(node_list(c, root, "legs"));
    assert_non_null(node_object(c, root, "by"));
    assert_true(node_bool(c, root, "flat", false));
    assert_true(node_bool(c, root, "none", true));
    assert_null(node_find(NULL, "title"));
    assert_null(node_find(node_find(root, "legs"), "title"));
    assert_int_equal(c->diags.n, 0);
}

static void a_wrong_kind_is_reported_once(void **state) {
    Ctx        *c    = *state;
    const Node *root = parse(c, stool)->root;

    assert_null(node_list(c, root, "title"));
    assert_null(node_list(c, root, "title"));
    assert_null(node_text(c, root, "count"));
    assert_false(node_bool(c, root, "count", false));
    assert_int_equal(c->diags.n, 2);
    assert_str(c->diags.at[0].what, "\"title\" is a text, but must be a list");
    assert_str(place_text(c, c->diags.at[0].loc), "\"Stool\"");
}

static void a_wrong_choice_names_the_nearest(void **state) {
    static const char *const papers[] = { "a4", "letter", NULL };
    Ctx        *c    = *state;
    const Node *root = parse(c, stool)->root;

    assert_int_equal(node_choice(c, root, "none", papers, 1), 1);
    assert_int_equal(node_choice(c, root, "paper", papers, 0), 0);
    assert_int_equal(has_diag(c, BAD_CHOICE), 1);
    assert_str(place_text(c, c->diags.at[0].loc), "\"lettr\"");
    assert_str(c->diags.at[0].hint, "did you mean \"letter\"?");
    assert_int_equal(node_choice(c, root, "title", papers, 1), 1);
    assert_str(c->diags.at[1].hint, "known: \"a4\", \"letter\"");
}

static void unknown_and_missing_keys_are_reported(void **state) {
    static const char *const known[] = {
        "rodbook", "title", "legs", "by", "flat", "paper", "width", "count",
        NULL
    };
    Ctx        *c    = *state;
    const Node *root = parse(c, stool)->root;

    assert_false(node_check_keys(c, root, known, "the design"));
    assert_int_equal(c->diags.n, 1);
    assert_int_equal(c->diags.at[0].code, UNKNOWN_KEY);
    assert_str(place_text(c, c->diags.at[0].loc), "\"wdith\"");
    assert_str(c->diags.at[0].hint, "did you mean \"width\"?");
    assert_true(node_check_keys(c, node_find(root, "by"), known, "by"));
    assert_null(node_need(c, node_find(root, "by"), "name", "by"));
    assert_str(c->diags.at[1].what, "by has no \"name\"");
    assert_str(place_text(c, c->diags.at[1].loc), "{}");
    assert_non_null(node_need(c, root, "title", "the design"));
    assert_null(node_need(c, NULL, "title", "nothing"));
    assert_int_equal(c->diags.n, 2);
}

static void a_span_is_exact_in_a_plain_text(void **state) {
    Ctx        *c    = *state;
    const Node *root = parse(c, "{\"rodbook\": 1, \"a\": \"3in + x\","
                                " \"b\": \"3\\\" + x\"}")->root;

    assert_str(place_text(c, node_span(node_find(root, "a"), 6, 7)), "x");
    assert_str(place_text(c, node_span(node_find(root, "b"), 5, 6)),
               "\"3\\\" + x\"");
    assert_str(place_text(c, node_span(node_find(root, "a"), 6, 8)),
               "\"3in + x\"");
    assert_str(place_text(c, node_span(node_find(root, "rodbook"), 0, 1)),
               "1");
}

/* ---- Broken input ---- */

/* Either a design comes out or a message: never neither, never a crash. */
static void survives(const char *bytes, size_t n) {
    Ctx           ctx, *c = &ctx;
    const Design *d;

    ctx_init(c, &real_files);
    d = design_parse(c, source_add(c, "broken.json",
                                   str_copy(c, (Str){ bytes, n })));
    assert_true((d != NULL) == (c->errors == 0));
    assert_true(diags_text(c).n > 0 || d);
    ctx_free(c);
}

static void every_truncation_is_survived(void **state) {
    (void)state;
    for (size_t n = 0; n < sizeof bench; n++)
        survives(bench, n);
}

static void every_changed_byte_is_survived(void **state) {
    static const char bytes[] = "\"\\{}[],:/*019.eE-+ux \n\t\0\x7F\x80\xC3"
                                "\xED\xF0\xFF";
    char broken[sizeof bench];

    (void)state;
    for (size_t i = 0; i + 1 < sizeof bench; i++) {
        for (size_t k = 0; k + 1 < sizeof bytes; k++) {
            memcpy(broken, bench, sizeof bench);
            broken[i] = bytes[k];
            survives(broken, sizeof bench - 1);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(every_value_has_its_place),
        TEST(the_dump_shows_the_tree),
        TEST(comments_do_not_move_places),
        TEST(json_is_accepted),
        TEST(what_cjson_lets_through_is_refused),
        TEST(half_a_character_is_refused),
        TEST(nul_bytes_are_refused),
        TEST(commas_and_brackets_are_missed_where_they_belong),
        TEST(values_without_quotes_are_refused),
        TEST(broken_comments_are_refused),
        TEST(every_duplicate_key_is_reported),
        TEST(brackets_nest_to_200_and_no_deeper),
        TEST(only_a_design_is_a_design),
        TEST(a_missing_file_is_reported),
        TEST(members_are_found_by_kind),
        TEST(a_wrong_kind_is_reported_once),
        TEST(a_wrong_choice_names_the_nearest),
        TEST(unknown_and_missing_keys_are_reported),
        TEST(a_span_is_exact_in_a_plain_text),
        TEST(every_truncation_is_survived),
        TEST(every_changed_byte_is_survived),
    };

    return cmocka_run_group_tests_name("design", tests, NULL, NULL);
}
