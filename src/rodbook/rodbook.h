/* rodbook -- the commands; each is a function from options to exit status.
 *
 * Exit status: 0 done, 1 the design or booklet is wrong, 2 wrong usage,
 * 3 a file could not be read or written.
 */
#ifndef RODBOOK_RODBOOK_H
#define RODBOOK_RODBOOK_H

#include "base/base.h"
#include "design/design.h"
#include "eval/eval.h"
#include "model/model.h"
#include "plan/plan.h"
#include "press/press.h"
#include "print/print.h"
#include "proof/proof.h"

#define ROD_VERSION "0.1.0"

typedef enum { EXIT_DONE, EXIT_WRONG, EXIT_USAGE, EXIT_IO } ExitStatus;

typedef struct {
    const char *command;
    const char *inputs[2];
    int         n_inputs;
    const char *output;    // -o
    const char *paper;     // letter, a4
    const char *units;     // inch, mm
    const char *what;      // parts, materials, cuts, hardware
    const char *as;        // a format of the command's
    const char *dump;      // design, sizes, model, plan, booklet
    const char *ledger;    // file for the ledger
    const char *from;      // the starter of a new design
    const char *variant;   // of the design; NULL: as it stands
    const char *tool;      // width of what a machine's tool takes away
    const char *library;   // folder of shared files
    bool        json;      // messages as JSON
    bool        help, version;
} Options;

/* False: wrong usage, already said on standard error. */
MUST_USE bool options_read(int argc, char **argv, Options *opt);
void usage(FILE *out, const char *command);

/* The stages up to one's need; NULL: errors are in c->diags. */
typedef struct {
    const Design   *design;
    Sizes          *sizes;
    const Model    *model;
    const Workplan *plan;
} Job;

MUST_USE bool job_model_of(Ctx *c, const Design *d, const char *variant,
                           Job *job);
MUST_USE bool job_plan_of(Ctx *c, const Design *d, const char *variant,
                          Job *job);
/* The same from the file on; of the variant that is asked for. */
MUST_USE bool job_model(Ctx *c, const Options *opt, const char *path,
                        Job *job);
MUST_USE bool job_plan(Ctx *c, const Options *opt, const char *path,
                       Job *job);
/* The edition asked for, or the design's own. */
Edition job_edition(const Model *m, const Options *opt);

/* One function a command. */
void command_press(Ctx *c, const Options *opt);
void command_check(Ctx *c, const Options *opt);
void command_list(Ctx *c, const Options *opt);
void command_proof(Ctx *c, const Options *opt);
void command_trace(Ctx *c, const Options *opt);
void command_new(Ctx *c, const Options *opt);
void command_draw(Ctx *c, const Options *opt);

/* Prints data on standard output. */
void put(Str text);

#endif
