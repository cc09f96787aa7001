/* What the leaders of letters run over, in squares of 0.8 mm. */
#ifndef PRESS_INK_MAP_H
#define PRESS_INK_MAP_H

#include "press/press_internal.h"

#define INK_CELL 0.8   // mm

typedef struct {
    V2    from;            // its upper left corner
    int   w, h;
    unsigned char *cell;   // what lies in a square
    const LetterFaces *faces;   // or NULL
} InkMap;

/* `ends`: of the drawing's lines, in pairs, page mm; `faces` may be NULL. */
InkMap ink_map(Ctx *c, const V2 *ends, int n_ends, const LetterFaces *faces,
               const Letter *letters, int n);
/* What is against a leader of that part's letter, beside its length. */
double ink_cost(const InkMap *m, V2 from, V2 to, int part);

#endif
