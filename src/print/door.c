/* door -- libharu 2.3.0, and all that has to be minded there.
 *
 * We use it for objects, cross references, compression and the page tree;
 * page contents (content.c) and fonts (pdf_fonts.c) are our own. Its own
 * functions for objects follow a NULL without looking, so every call goes
 * through here and does nothing once something has failed.
 *
 * Its memory pool is not used: it hands out addresses that are not aligned.
 * So an object belongs to whom it was put into; one that cannot be put
 * anywhere, as something failed, is freed here.
 */
#include "print/print_internal.h"

#include <assert.h>
#include <math.h>

/* Called from deep inside libharu: notes the first error, no more. */
static void note_error(HPDF_STATUS error, HPDF_STATUS detail, void *who) {
    Pdf *p = who;

    if (p->error)
        return;
    p->error  = error;
    p->detail = detail;
}

bool pdf_open(Ctx *c, Pdf *p) {
    *p     = (Pdf){ .c = c };
    p->doc = HPDF_New(note_error, p);
    if (!p->doc && !p->error)
        p->error = HPDF_FAILD_TO_ALLOC_MEM;
    return p->doc && !pdf_failed(p);
}

/* Calls on single objects note their error in the document only. */
bool pdf_failed(const Pdf *p) {
    return p->error || !p->doc || HPDF_GetError(p->doc) != HPDF_OK;
}

void pdf_report(const Pdf *p) {
    HPDF_STATUS error = p->error, detail = p->detail;

    if (!error && p->doc) {
        error  = HPDF_GetError(p->doc);
        detail = HPDF_GetErrorDetail(p->doc);
    }
    if (error == HPDF_FAILD_TO_ALLOC_MEM)
        report_plain(p->c, PDF_FAILED, "no memory to write the PDF");
    else
        report_plain(p->c, PDF_FAILED, "the PDF could not be written: "
                     "libharu error 0x%04lX, detail %lu",
                     (unsigned long)error, (unsigned long)detail);
}

/* Keeps an error that only a return value told. */
static void check(Pdf *p, HPDF_STATUS status) {
    if (status != HPDF_OK)
        note_error(status, 0, p);
}

static void *made(Pdf *p, void *object) {
    if (!object && !pdf_failed(p))
        note_error(HPDF_FAILD_TO_ALLOC_MEM, 0, p);
    return pdf_failed(p) ? NULL : object;
}

/* ---- Objects ---- */

HPDF_Dict pdf_dict(Pdf *p) {
    return pdf_failed(p) ? NULL : made(p, HPDF_Dict_New(p->doc->mmgr));
}

HPDF_Dict pdf_object(Pdf *p) {
    HPDF_Dict dict = pdf_dict(p);

    if (dict)
        check(p, HPDF_Xref_Add(p->doc->xref, dict));
    return made(p, dict);
}

HPDF_Dict pdf_stream(Pdf *p, Str bytes) {
    HPDF_Dict dict;

    if (pdf_failed(p))
        return NULL;
    dict = made(p, HPDF_DictStream_New(p->doc->mmgr, p->doc->xref));
    if (!dict)
        return NULL;
    dict->filter = HPDF_STREAM_FILTER_FLATE_DECODE;
    check(p, HPDF_Stream_Write(dict->stream, (const HPDF_BYTE *)bytes.s,
                               (HPDF_UINT)bytes.n));
    return made(p, dict);
}

HPDF_Array pdf_array(Pdf *p) {
    return pdf_failed(p) ? NULL : made(p, HPDF_Array_New(p->doc->mmgr));
}

HPDF_Binary pdf_bytes(Pdf *p, Str s) {
    HPDF_BYTE *bytes;

    if (pdf_failed(p))
        return NULL;
    bytes = (HPDF_BYTE *)str_z(p->c, s);   // it asks for a mutable copy
    return made(p, HPDF_Binary_New(p->doc->mmgr, bytes, (HPDF_UINT)s.n));
}

static void add_unit(Buf *out, uint32_t unit) {
    char bytes[2] = { (char)(unit >> 8), (char)(unit & 0xFF) };

    buf_str(out, (Str){ bytes, 2 });
}

/* UTF-16, high byte first, after its byte order mark (ISO 32000-1,
 * 7.9.2.2). Characters past the first plane take two units. */
HPDF_Binary pdf_text(Pdf *p, Str s) {
    Buf out = BUF(p->c);

    add_unit(&out, 0xFEFF);
    for (size_t at = 0; at < s.n; ) {
        uint32_t ch = utf8_next(s, &at);
        if (ch < 0x10000) {
            add_unit(&out, ch);
        } else {
            add_unit(&out, 0xD800 + ((ch - 0x10000) >> 10));
            add_unit(&out, 0xDC00 + ((ch - 0x10000) & 0x3FF));
        }
    }
    return pdf_bytes(p, buf_done(&out));
}

HPDF_String pdf_ascii(Pdf *p, const char *s) {
    if (pdf_failed(p))
        return NULL;
    return made(p, HPDF_String_New(p->doc->mmgr, s, NULL));
}

/* ---- Putting one into another ---- */

/* Objects with a number of their own belong to the document and stay. */
static void discard(Pdf *p, void *object) {
    if (object && p->doc)
        HPDF_Obj_Free(p->doc->mmgr, object);
}

void pdf_put(Pdf *p, HPDF_Dict dict, const char *key, void *object) {
    if (!pdf_failed(p) && made(p, dict) && made(p, object))
        check(p, HPDF_Dict_Add(dict, key, object));
    else
        discard(p, object);
}

void pdf_put_name(Pdf *p, HPDF_Dict dict, const char *key,
                  const char *name) {
    if (!pdf_failed(p) && made(p, dict))
        check(p, HPDF_Dict_AddName(dict, key, name));
}

void pdf_put_int(Pdf *p, HPDF_Dict dict, const char *key, int value) {
    if (!pdf_failed(p) && made(p, dict))
        check(p, HPDF_Dict_AddNumber(dict, key, value));
}

void pdf_put_yes(Pdf *p, HPDF_Dict dict, const char *key) {
    if (!pdf_failed(p) && made(p, dict))
        check(p, HPDF_Dict_AddBoolean(dict, key, HPDF_TRUE));
}

void pdf_add(Pdf *p, HPDF_Array array, void *object) {
    if (!pdf_failed(p) && made(p, array) && made(p, object))
        check(p, HPDF_Array_Add(array, object));
    else
        discard(p, object);
}

void pdf_add_name(Pdf *p, HPDF_Array array, const char *name) {
    if (!pdf_failed(p) && made(p, array))
        check(p, HPDF_Array_AddName(array, name));
}

/* libharu writes a NaN as garbage and cuts off what is past 32,767. */
void pdf_add_num(Pdf *p, HPDF_Array array, double value) {
    assert(isfinite(value) && fabs(value) < 32767);
    if (pdf_failed(p) || !made(p, array))
        return;
    if (value == floor(value))
        check(p, HPDF_Array_AddNumber(array, (HPDF_INT32)value));
    else
        check(p, HPDF_Array_AddReal(array, (HPDF_REAL)value));
}
