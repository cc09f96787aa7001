/* nest_fill -- fewer pages by emptying two or three and filling them anew.
 *
 * What lay on them is laid again, page by page, in an order that chance has
 * mixed, and what is left over goes where it fits. It stays so if pages are
 * filled less evenly than before, for an almost empty one is soon gone: the
 * squares of what is filled count (Falkenauer 1996, for lengths; ruin and
 * recreate: Schrimpf and others 2000). A little worse is taken, too, less
 * and less so (Dueck and Scheuer 1990). Where things match each other, as
 * those do that are cut from one page, this finds what matches; to move them
 * apart (nest_part.c) does not.
 */
#include "plan/nest_internal.h"

#include <math.h>

#define WORSE 0.04   // squares of full pages, at first

typedef struct {
    Nesting *s;
    int      fixed;      // pages that hold something fixed
    double  *size;       // of each thing, in pages
    double  *key;        // by which they are laid, largest first
    int     *order;
    Lying   *before, *best;
} Fill;

static double size_of(const Nesting *s, int i) {
    const Rings *r = &s->forms[s->lying[i].form].parts;
    double       a = 0;

    for (int p = 0; p < r->n; p++)
        for (int k = 0; k < r->at[p].n; k++)
            a += v2_cross(r->at[p].at[k],
                          r->at[p].at[(k + 1) % r->at[p].n]) / 2;
    return fabs(a) / (s->width * s->height);
}

static Fill fill_new(Nesting *s, int fixed) {
    Fill f = { s, fixed };

    f.size   = NEW_N(s->c, double, s->n + 1);
    f.key    = NEW_N(s->c, double, s->n + 1);
    f.order  = NEW_N(s->c, int, s->n + 1);
    f.before = NEW_N(s->c, Lying, s->n + 1);
    f.best   = NEW_N(s->c, Lying, s->n + 1);
    for (int i = 0; i < s->n; i++)
        f.size[i] = size_of(s, i);
    return f;
}

static double filled(const Fill *f, int page) {
    double sum = 0;

    for (int i = 0; i < f->s->n; i++)
        sum += f->s->lying[i].page == page ? f->size[i] : 0;
    return sum;
}

static double worth(const Fill *f) {
    double sum = 0;

    for (int page = 0; page < f->s->pages; page++)
        sum += filled(f, page) * filled(f, page);
    return sum;
}

static void lie_as(Fill *f, const Lying *as) {
    Nesting *s = f->s;

    s->pages = f->fixed;
    for (int i = 0; i < s->n; i++) {
        s->lying[i] = as[i];
        nesting_put(s, i, as[i].form, as[i].page, as[i].at);
        s->pages = as[i].page >= s->pages ? as[i].page + 1 : s->pages;
    }
}

static void keep(const Fill *f, Lying *as) {
    memcpy(as, f->s->lying, sizeof *as * (size_t)f->s->n);
}

/* ---- Emptying ---- */

static void empty_page(Fill *f, int page) {
    for (int i = 0; i < f->s->n; i++) {
        Lying *l = &f->s->lying[i];
        if (l->page == page && !l->fixed)
            l->page = -1;
    }
}

/* The emptiest, every other time, and one or two by chance. */
static void empty_some(Fill *f, bool *emptied) {
    Nesting *s = f->s;
    int      n = 2 + (nesting_chance(s) < 0.5), page = 0;

    for (int i = 0; i < s->pages; i++) {
        emptied[i] = false;
        if (filled(f, i) < filled(f, page))
            page = i;
    }
    if (nesting_chance(s) < 0.5)
        page = (int)(nesting_chance(s) * s->pages);
    for (int k = 0; k < n; k++) {
        emptied[page] = true;
        empty_page(f, page);
        page = (int)(nesting_chance(s) * s->pages);
    }
}

/* ---- Filling ---- */

/* Puts things that lie nowhere in order, large ones first; sizes count up to
 * `mixed` times more. How many; they are few. */
static int mix(Fill *f, double mixed) {
    int n = 0;

    for (int i = 0; i < f->s->n; i++) {
        int k = n;
        if (f->s->lying[i].page >= 0)
            continue;
        f->key[i] = f->size[i] * (1 + mixed * nesting_chance(f->s));
        for (; k > 0 && f->key[f->order[k - 1]] < f->key[i]; k--)
            f->order[k] = f->order[k - 1];
        f->order[k] = i;
        n++;
    }
    return n;
}

static void fill_page(Fill *f, int page) {
    int n = mix(f, nesting_chance(f->s) < 0.5 ? 1 : 4);

    for (int k = 0; k < n; k++)
        (void)nesting_lay_on(f->s, f->order[k], page);
}

/* On the first page with room, or a new one. */
static void lay_rest(Fill *f) {
    Nesting *s = f->s;
    int      n = mix(f, 0);

    for (int k = 0; k < n; k++) {
        int page = 0;
        while (page < s->pages
               && !nesting_lay_on(s, f->order[k], page))
            page++;
        if (page == s->pages) {
            s->pages++;
            (void)nesting_lay_on(s, f->order[k], page);
        }
    }
}

/* A page that holds nothing any more is taken away. */
static void drop_empty(Fill *f) {
    Nesting *s = f->s;

    for (int page = s->pages - 1; page >= f->fixed; page--) {
        if (filled(f, page) > 0)
            continue;
        s->pages--;
        for (int i = 0; i < s->n; i++)
            s->lying[i].page -= s->lying[i].page > page;
    }
}

void nesting_refill(Nesting *s, int fixed, int least, long steps) {
    Fill   f = fill_new(s, fixed);
    long   begin = s->steps;
    double now = worth(&f), best = now;
    bool  *emptied = NEW_N(s->c, bool, s->n + s->pages + 1);

    keep(&f, f.best);
    while (s->pages > least && s->steps < steps) {
        double gone = (double)(s->steps - begin) / (double)(steps - begin);
        double after;
        int    pages = s->pages;
        keep(&f, f.before);
        empty_some(&f, emptied);
        for (int page = 0; page < pages; page++) {
            if (emptied[page])
                fill_page(&f, page);
        }
        lay_rest(&f);
        drop_empty(&f);
        after = worth(&f);
        if (after < now - WORSE * (1 - gone)) {
            lie_as(&f, f.before);
            continue;
        }
        now = after;
        if (now > best) {
            best = now;
            keep(&f, f.best);
        }
    }
    if (s->pages > least)
        lie_as(&f, f.best);
}
