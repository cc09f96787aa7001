/* heads -- pieces with slanted ends head to tail in one blank, so that each
 * slanted cut serves two.
 *
 * Ends that are parallel just follow each other. Else each second piece is
 * turned half around, so that its end looks the other way; about which axis
 * depends on how the ends slant:
 *
 *     parallel ends            miters only: end for end, show face up
 *      ______  ______           ______  ________  ______
 *     /     / /     /          /     \ \       / /      \     from above
 *    /_____/ /_____/          /_______\ \_____/ /________\
 *
 *     bevels only: end for end and face down; or, as compound ends that are
 *     each other's mirror image: face for face, each end stays where it is
 *      ______  ________
 *     /     \ \       /        from the edge
 *    /_______\ \_____/
 *
 * A half turn moves no middle of a section, so the rule for all of them is
 * one: in the middle each piece takes its middle length, and each cut the
 * kerf as it is met aslant. Compound ends of other kinds find no such turn
 * and lie in blanks of their own; so do beveled leaves, which are crosscut as
 * a stack that is thicker than one.
 */
#include "plan/plan_internal.h"

#include <math.h>

#define TO_RADIANS 0.017453292519943295

/* ---- Ends ---- */

static double miter_slope(const EndCut *cut) {
    return tan(cut->miter.real * TO_RADIANS);
}

/* The bevel is square to the cut line in the face. */
static double bevel_slope(const EndCut *cut) {
    return tan(cut->bevel.real * TO_RADIANS)
         / cos(cut->miter.real * TO_RADIANS);
}

/* From its long point to its short point, along the piece. */
static double run_of(const Part *part, int end) {
    return part->width.real * miter_slope(&part->ends[end])
         + part->thickness.real * bevel_slope(&part->ends[end]);
}

/* How far an end stands back from its long point, at y from the near edge
 * and z from the back face of the part. */
static double back_at(const Part *part, int end, double y, double z) {
    const EndCut *cut = &part->ends[end];
    double across = cut->long_near ? y : part->width.real - y;
    double up     = cut->long_back ? z : part->thickness.real - z;

    return across * miter_slope(cut) + up * bevel_slope(cut);
}

static bool has_miter(const Part *part) {
    return part->ends[0].miter.real > 0 || part->ends[1].miter.real > 0;
}

static bool has_bevel(const Part *part) {
    return part->ends[0].bevel.real > 0 || part->ends[1].bevel.real > 0;
}

/* One setting of the saw does for both ends. */
bool ends_same_angles(const Part *part) {
    return quantity_cmp(part->ends[0].miter, part->ends[1].miter) == 0
        && quantity_cmp(part->ends[0].bevel, part->ends[1].bevel) == 0;
}

/* ---- How they lie ---- */

HeadTurn heads_turn(const Part *part) {
    const EndCut *l = &part->ends[0], *r = &part->ends[1];
    bool miters = has_miter(part), bevels = has_bevel(part);
    bool cross_miter = l->long_near != r->long_near;
    bool cross_bevel = l->long_back != r->long_back;

    if (!miters && !bevels)
        return HEADS_NOT;
    if (ends_same_angles(part) && (!miters || cross_miter)
        && (!bevels || cross_bevel))
        return HEADS_ALIKE;
    if (!bevels)
        return HEADS_END_FOR_END;
    if (ends_same_angles(part) && (!miters || !cross_miter) && !cross_bevel)
        return HEADS_FACE_FOR_FACE;
    return miters ? HEADS_NOT : HEADS_OVER;
}

/* Nothing but the ends would show a piece to be turned. */
bool part_lies_in_heads(const Model *m, const Part *part) {
    const Stock *stock = &m->stocks.at[part->stock];

    return heads_turn(part) != HEADS_NOT
        && part->short_length.real > 0 && !part->outlined && !part->joined
        && !part->fit[0] && !part->fit[1] && part->cut_with < 0
        && stock->form == FORM_BOARD && !stock->from_edges
        && !(has_bevel(part) && stock->leaves);
}

static bool ends_swap(HeadTurn turn) {
    return turn == HEADS_END_FOR_END || turn == HEADS_OVER;
}

double head_at(const Part *part, double kerf, int i) {
    double first = run_of(part, 0) / 2, last = run_of(part, 1) / 2;
    double step  = part->long_length.real - first - last, at = first;
    bool   swap  = ends_swap(heads_turn(part));

    for (int k = 0; k < i; k++) {
        const EndCut *cut = &part->ends[swap && k % 2 ? 0 : 1];
        at += step + kerf / (cos(cut->miter.real * TO_RADIANS)
                             * cos(cut->bevel.real * TO_RADIANS));
    }
    return at - (swap && i % 2 ? last : first);
}

double head_end(const Part *part, double kerf, int i, bool right, double y,
                double z) {
    HeadTurn turn = i % 2 ? heads_turn(part) : HEADS_ALIKE;
    double   L = part->long_length.real;
    int      end = ends_swap(turn) ? !right : right;
    double   back;

    if (turn == HEADS_END_FOR_END || turn == HEADS_FACE_FOR_FACE)
        y = part->width.real - y;
    if (turn == HEADS_OVER || turn == HEADS_FACE_FOR_FACE)
        z = part->thickness.real - z;
    back = back_at(part, end, y, z);
    return head_at(part, kerf, i) + (right ? L - back : back);
}

double middle_length(const Part *part) {
    return part->long_length.real - (run_of(part, 0) + run_of(part, 1)) / 2;
}

double longest_edge(const Part *part) {
    double W = part->width.real, T = part->thickness.real, longest = 0;

    for (int i = 0; i < 4; i++) {
        double y = i % 2 ? W : 0, z = i / 2 ? T : 0;
        longest = fmax(longest, part->long_length.real
                       - back_at(part, 0, y, z) - back_at(part, 1, y, z));
    }
    return longest;
}

double heads_length(const Part *part, double kerf, int heads) {
    return head_at(part, kerf, heads - 1) + part->long_length.real;
}
