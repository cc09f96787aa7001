/* layer -- what the files for machines share: one layer for each operation
 * and depth. */
#include "print/layer.h"

/* Letters, digits and underlines alone, as layer names of old DXF readers
 * must be: "MILL_6_35", in millimeters. */
Str layer_name(Ctx *c, const Work *w) {
    Buf out = BUF(c);

    for (const char *s = work_name(w->kind); *s; s++)
        buf_add(&out, "%c", *s - 'a' + 'A');
    if (w->depth > 0) {
        buf_add(&out, "_");
        buf_num(&out, w->depth, 3);
    }
    for (size_t i = 0; i < out.n; i++)
        out.s[i] = out.s[i] == '.' ? '_' : out.s[i];
    return buf_done(&out);
}

bool layer_begins(Ctx *c, const MachineWork *m, int i) {
    Str name = layer_name(c, &m->works.at[i]);

    for (int k = 0; k < i; k++) {
        if (str_eq(name, layer_name(c, &m->works.at[k])))
            return false;
    }
    return true;
}
