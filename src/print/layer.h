/* layer -- what the files for machines share. */
#ifndef PRINT_LAYER_H
#define PRINT_LAYER_H

#include "plan/machine.h"

Str  layer_name(Ctx *c, const Work *w);
/* Is work i the first one of its layer? */
bool layer_begins(Ctx *c, const MachineWork *m, int i);

#endif
