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
    const char *what;      // parts, materials, cuts, hardware, rows, facts
    const char *as;        // a format of the command's
    const char *dump;      // design, sizes, model, plan, booklet
    const char *ledger;    // file for the ledger
    const char *from;      // the starter of a new design
    const char *variant;   // of the design; NULL: as it stands
    const char *tool;      // width of what a machine's tool takes away
    const char *library;   // folder of shared files
    const char *printer;   // "1.004,0.997": what it makes of 1
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
/* Only some stages of the plan (PLAN_CUTS ...). */
MUST_USE bool job_plan_of(Ctx *c, const Design *d, const char *variant,
                          int stages, Job *job);
/* The model as far as it is known: see model_placed. */
MUST_USE bool job_placed(Ctx *c, const Options *opt, const char *path,
                         Job *job);
/* The same from the file on; of the variant that is asked for. */
MUST_USE bool job_model(Ctx *c, const Options *opt, const char *path,
                        Job *job);
MUST_USE bool job_plan(Ctx *c, const Options *opt, const char *path,
                       Job *job);
MUST_USE bool job_stages(Ctx *c, const Options *opt, const char *path,
                         int stages, Job *job);
/* The edition asked for, or the design's own. */
Edition job_edition(const Model *m, const Options *opt);
/* The job's plan with template sheets on the edition's paper. */
const Workplan *job_on_paper(Ctx *c, const Options *opt, const Job *job);
/* "1.004,0.997" to two factors; false: they are none, or off by over 3 %. */
bool read_printer(const char *text, double *across, double *along);

/* One function a command. */
void command_press(Ctx *c, const Options *opt);
void command_check(Ctx *c, const Options *opt);
void command_list(Ctx *c, const Options *opt);
void command_proof(Ctx *c, const Options *opt);
void command_trace(Ctx *c, const Options *opt);
void command_new(Ctx *c, const Options *opt);
void command_draw(Ctx *c, const Options *opt);

/* Volume, weight and balance, for command_list (list_facts.c). */
void list_facts(Ctx *c, const Model *m, const Edition *e, const char *as,
                Buf *out);
/* list_facts_assembly.c: "contacts" to "stands", members of that JSON; what
 * collides and how it stands, in words. */
void facts_of_assembly(Ctx *c, Buf *out, const Model *m);
void facts_in_words(Ctx *c, const Edition *e, Buf *out, const Model *m);

/* list_json.c: each but the first of an object or a list after a comma. */
void json_next(Buf *out);
void json_new_line(Buf *out, const char *indent);   // on a line of its own
void json_end(Buf *out);                        // of a list of lines
void json_key(Buf *out, const char *key);       // its value follows
void json_text(Buf *out, const char *key, Str value);
void json_truth(Buf *out, const char *key, bool value);
void json_number(Buf *out, const char *key, double value, int places);
void json_vector(Buf *out, V3 v, int places);   // in a list
void json_point(Buf *out, const char *key, V3 p);

/* Prints data on standard output. */
void put(Str text);

#endif
