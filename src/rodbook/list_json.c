/* list_json -- members of JSON objects and lists, one after the other; the
 * comma before each is seen to. */
#include "rodbook/rodbook.h"

static bool is_first(const Buf *out) {
    char last = out->n > 0 ? out->s[out->n - 1] : '{';

    return last == '{' || last == '[';
}

void json_next(Buf *out) {
    if (!is_first(out))
        buf_add(out, ", ");
}

void json_new_line(Buf *out, const char *indent) {
    buf_add(out, "%s\n%s", is_first(out) ? "" : ",", indent);
}

void json_end(Buf *out) {
    buf_add(out, "%s]", is_first(out) ? "" : "\n  ");
}

void json_key(Buf *out, const char *key) {
    json_next(out);
    buf_add(out, "\"%s\": ", key);
}

void json_text(Buf *out, const char *key, Str value) {
    json_key(out, key);
    buf_json(out, value);
}

void json_truth(Buf *out, const char *key, bool value) {
    json_key(out, key);
    buf_add(out, value ? "true" : "false");
}

void json_number(Buf *out, const char *key, double value, int places) {
    json_key(out, key);
    buf_num(out, value, places);
}

static void add_three(Buf *out, V3 v, int places) {
    buf_add(out, "[");
    buf_num(out, v.x, places), buf_add(out, ", ");
    buf_num(out, v.y, places), buf_add(out, ", ");
    buf_num(out, v.z, places), buf_add(out, "]");
}

void json_vector(Buf *out, V3 v, int places) {
    json_next(out);
    add_three(out, v, places);
}

void json_point(Buf *out, const char *key, V3 p) {
    json_key(out, key);
    add_three(out, p, 4);
}
