/* flow -- lists and cautions, one below the other. */
#include "press/press_internal.h"

#define BAR_W   2.0   // of a caution
#define BAR_GAP 3.0

/* ---- Lists ---- */

static double indent_of(Style style) {
    return style.size <= SIZE_TEXT ? 6 : 8;
}

double item_height(Press *p, double width, Style style, const Para *para) {
    return para_height(p, para, width - indent_of(style), style);
}

double item_draw(Press *p, double x, double y, double width, Style style,
                 ItemMark mark, int n, const Para *para) {
    double base = y + leading_of(style.size);
    double cap  = font_cap_height(p->fonts, style.font, style.size);
    Para   sign = { 0 };

    switch (mark) {
    case ITEM_BULLET:
        draw_circle(p, (V2){ x + 1, base - cap / 2 }, 0.5, PEN_NONE,
                    style.ink);
        break;
    case ITEM_CHECK:
        say_check(p, &sign);
        para_at(p, &sign, (V2){ x, base }, ALIGN_LEFT, style);
        break;
    case ITEM_NUMBER:
        say_figure_bold(p, &sign,
                        figure_count(p->c, n, STR("number of a list")));
        para_at(p, &sign, (V2){ x + indent_of(style) - 2, base },
                ALIGN_RIGHT, style);
        break;
    }
    return para_draw(p, para, x + indent_of(style), y,
                     width - indent_of(style), style);
}

void flow_item(Press *p, double x, double width, Style style, ItemMark mark,
               int n, const Para *para) {
    page_need(p, item_height(p, width, style, para));
    p->y += item_draw(p, p->left + x, p->y, width, style, mark, n, para);
}

/* ---- Cautions ---- */

double caution_height(Press *p, double width, const Para *para) {
    return BASE_LINE
         + para_height(p, para, width - BAR_W - BAR_GAP, STYLE_TEXT);
}

/* The bar reaches from the signal word's capitals to the last baseline. */
double caution_draw(Press *p, double x, double y, double width,
                    Signal signal, const Para *para) {
    double height = caution_height(p, width, para);
    double left   = x + BAR_W + BAR_GAP;

    draw_rect(p, box2(x, y + 1.2, x + BAR_W, y + height + 0.75), PEN_NONE,
              INK_ACCENT);
    words_at(p, signal_word(signal), (V2){ left, y + BASE_LINE },
             ALIGN_LEFT, STYLE_TEXT_BOLD);
    para_draw(p, para, left, y + BASE_LINE, width - BAR_W - BAR_GAP,
              STYLE_TEXT);
    return height;
}

void flow_caution(Press *p, double x, double width, Signal signal,
                  const Para *para) {
    page_need(p, caution_height(p, width, para));
    p->y += caution_draw(p, p->left + x, p->y, width, signal, para);
    space_down(p, BASE_LINE);
}
