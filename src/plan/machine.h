/* machine -- a part's face as work for a router, laser or plotter: closed
 * paths at true size, sorted by what is done along them. */
#ifndef PLAN_MACHINE_H
#define PLAN_MACHINE_H

#include "model/model.h"

typedef enum {
    WORK_CUT,       // through, along the outline and its openings
    WORK_DRILL,     // a circle, its diameter that of the hole
    WORK_MILL,      // an area taken out to a depth
    WORK_ENGRAVE,   // the part's letter
    WORK_KINDS
} WorkKind;         // ORDER WORK

typedef struct {
    WorkKind kind;
    double   depth;     // mm; 0: through
    Shape    shape;     // mm, y up; drill: one circle
    V2       center;    // drill
    double   diameter;  // drill
} Work;

typedef struct {
    Str    name;        // "C front", "C back"
    Str    letter;      // engraved
    V2     letter_at;   // middle of its baseline
    double letter_high; // mm
    double tool;        // diameter that the paths are moved aside for, mm
    LIST(Work) works;   // in order of kind, then as in the design
    Box2   box;
} MachineWork;

const char *work_name(WorkKind kind);   // "cut", "drill", ...

/* The work on the show face, or seen from the back, of a part; paths run
 * half of the tool's diameter outside outlines and inside openings (holes
 * keep theirs). False: the tool does not fit somewhere, reported. */
MUST_USE bool machine_work(Ctx *c, const Model *m, int part, bool back,
                           double tool, MachineWork *out);

#endif
