/* What the files of the template sheets share. */
#ifndef PRESS_SHEET_INTERNAL_H
#define PRESS_SHEET_INTERNAL_H

#include "press/sections.h"

/* Page point of a point in the sheet's window (mm, y up from its lower left
 * corner). */
V2 sheet_point(const Press *p, V2 v);
/* A pattern with its marks, and its outline in the ledger (sheet_marks.c). */
void sheet_pattern(Press *p, const OnSheet *on);
/* Letter, name, quantity and grain of a pattern (sheet_labels.c). */
void sheet_label(Press *p, const OnSheet *on);
/* Crosses by which the sheets of a pattern are joined (sheet_seams.c). */
void sheet_seams(Press *p, int sheet);
/* A piece's window, a little less, without the strips where others join. */
Shape sheet_middle(Press *p, const OnSheet *on);
/* Distance of a point from the outline, up to 15 mm. */
double rings_clearance(const Rings *rings, V2 v);
/* Is the pattern printed in pieces, by sheets or by less? */
bool sheet_is_piece(const Press *p, const OnSheet *on);
/* Is it a piece of a strip, less than a sheet's window? */
bool sheet_is_strip(const Press *p, const OnSheet *on);
/* The pattern with the windows of its sheets and their names, in a frame on
 * the page; `sheet` >= 0: that one is dark. */
void sheet_map(Press *p, int pattern, int sheet, Box2 frame, bool names);

#endif
