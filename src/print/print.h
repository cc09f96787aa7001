/* print -- a Booklet to bytes: PDF; its first page also as SVG or PNG. */
#ifndef PRINT_PRINT_H
#define PRINT_PRINT_H

#include "geom/geom.h"
#include "plan/machine.h"
#include "press/press.h"

/* The whole PDF in memory: fonts embedded and mended, PrintScaling None,
 * bookmarks, page labels, links, no clock. False: reported. */
MUST_USE bool print_pdf(Ctx *c, const Booklet *b, Str *bytes);

/* The first page alone, texts as outlines. False: reported. */
MUST_USE bool print_svg(Ctx *c, const Booklet *b, Str *bytes);
MUST_USE bool print_png(Ctx *c, const Booklet *b, Str *bytes);
/* A part's face for machines: SVG 1.1 and DXF of release 12, millimeters. */
void print_machine_svg(Ctx *c, const MachineWork *m, Str *bytes);
void print_dxf(Ctx *c, const MachineWork *m, Str *bytes);
/* A solid where it stands, for other programs. */
typedef struct { const Solid *solid; Frame frame; Str name; } SolidBody;

/* Binary STL, millimeters, z up. */
Str stl_of(Ctx *c, const SolidBody *bodies, int n);
/* glTF 2.0, all in one file: meters, y up. */
Str gltf_of(Ctx *c, const SolidBody *bodies, int n, Str title);

#endif
