/* draw -- what the command draws, and its formats: one function each, from
 * the subject to the bytes of a file. False: reported. */
#ifndef RODBOOK_DRAW_H
#define RODBOOK_DRAW_H

#include "rodbook/rodbook.h"

typedef enum {
    DRAW_PROJECT,   // finished, as on the cover
    DRAW_VIEW,      // index: 0 front, 1 top, 2 right
    DRAW_STEP,      // index of a step
    DRAW_PART,      // index of a part
    DRAW_TEMPLATE,  // index of a pattern
    DRAW_FRONT,     // index of a part: its show face at true size
    DRAW_BACK,      // the same of its back, as seen from there
    DRAW_TEMPLATES, // all of them
    DRAW_KINDS
} SubjectKind;      // ORDER SUBJECT

typedef struct {
    SubjectKind kind;
    int         index;
    Str         name;   // as the user gave it; "project" where none was
} Subject;

/* False: reported. */
typedef bool DrawFormat(Ctx *c, const Job *job, const Options *opt,
                        const Subject *s, Str *bytes);
DrawFormat draw_svg, draw_pdf, draw_png, draw_machine_svg, draw_dxf,
           draw_stl, draw_gltf, draw_templates;

#endif
