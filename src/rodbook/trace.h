/* trace -- the way of a value back to the given sizes, as a list of lines
 * that trace_lines.c finds and trace_command.c prints. */
#ifndef RODBOOK_TRACE_H
#define RODBOOK_TRACE_H

#include "rodbook/rodbook.h"

typedef struct {
    int      depth;
    Str      name;       // "C.length", or the words for a formula of no name
    Str      formula;    // as written; empty: the program's own
    Quantity value;
    bool     valued;     // false: a heading, or words
    bool     again;      // its way was told further up
    bool     placed;     // loc is a place in the design
    Loc      loc;
    Str      note;
} TraceLine;

/* A formula that uses the name and is no size's. */
typedef struct { Str where, formula; Loc loc; } TraceUse;

typedef struct {
    Ctx     *c;
    Job      job;
    Str      asked;
    const Booklet *booklet;
    LIST(TraceLine) lines;
    LIST(Str)       seen;
    LIST(TraceUse)  uses;
} Trace;

/* Follows the name that was asked for. False: nothing is called so. */
MUST_USE bool trace_follow(Trace *t);
/* Finds the formulas elsewhere in the design that use the name. */
void trace_uses(Trace *t);
/* Is this figure of the booklet called by the name? */
MUST_USE bool trace_prints(const Trace *t, Str source);

#endif
