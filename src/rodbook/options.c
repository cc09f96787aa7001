/* options -- the command line. */
#include "rodbook/rodbook.h"

#include <stdlib.h>

static const struct {
    const char *name, *use, *does;
    int         least, most;   // files and names
    const char *as;            // the formats of --as; NULL: it has none
} commands[] = {
    { "press", "press DESIGN [-o OUT.pdf] [--paper letter|a4] "
      "[--units inch|mm] [--ledger OUT.csv] [--printer ACROSS,ALONG]",
      "make the booklet", 1, 1, NULL },
    { "check", "check DESIGN [--json]",
      "report everything that is wrong with a design", 1, 1, NULL },
    { "list", "list DESIGN --what parts|materials|cuts|hardware|rows|"
      "fasteners|facts "
      "[--as text|csv|json] [--units inch|mm]",
      "parts and shopping as text for a video's description, or as data",
      1, 1, "text csv json" },
    { "draw", "draw DESIGN [NAME] [--as svg|pdf|png|dxf|stl|gltf] "
      "[--units inch|mm] [--tool 1/8in]\n          [--paper letter|a4|tabloid|"
      "a3|a1|a0|roll24|roll36] [-o OUT]",
      "a part (its letter), \"step 3\", \"template C\", a view (front, top, "
      "right)\n      or the project by itself, or a part's face (\"C front\") "
      "for a machine;\n      \"templates\": all of them as a PDF on sheets "
      "or on one piece of a roll", 1, 2, "svg pdf png dxf stl gltf" },
    { "proof", "proof BOOKLET.pdf DESIGN",
      "hold a finished booklet against the design", 2, 2, NULL },
    { "trace", "trace DESIGN NAME [--units inch|mm] [--as text|json]",
      "where a value comes from and on which pages it is printed", 2, 2,
      "text json" },
    { "new", "new [NAME] [--from STARTER]",
      "begin a design of your own from a starter; without NAME, list the "
      "starters", 0, 1, NULL },
};

void usage(FILE *out, const char *command) {
    fprintf(out, "rodbook: one design description in, a plan booklet "
            "out.\n\n");
    for (int i = 0; i < COUNT(commands); i++) {
        if (command && strcmp(command, commands[i].name) != 0)
            continue;
        fprintf(out, "  rodbook %s\n      %s\n", commands[i].use,
                commands[i].does);
    }
    fprintf(out,
            "\n  --dump=design|sizes|model|plan|booklet   (press) print a "
            "stage's result\n"
            "  --printer ACROSS,ALONG  (press) templates for a printer that "
            "errs: measured\n                  length / true length of the "
            "check bars\n"
            "  --variant NAME  the design as this variant of it has it\n"
            "  --library DIR   included files may also lie below this "
            "folder\n  --json      messages as JSON\n"
            "  --help      this text\n  --version   %s\n"
            "\nExit status: 0 done, 1 the design or booklet is wrong, "
            "2 wrong usage,\n3 a file could not be read or written.\n",
            ROD_VERSION);
}

/* ---- Reading ---- */

typedef struct {
    const char *name;
    const char **value;
    const char *const *choices;   // NULL: any
} Option;

static bool one_of(const char *value, const char *const *choices) {
    for (int i = 0; choices[i]; i++) {
        if (strcmp(value, choices[i]) == 0)
            return true;
    }
    return false;
}

static bool set_option(const Option *o, const char *value) {
    if (!value) {
        fprintf(stderr, "rodbook: %s needs a value\n", o->name);
        return false;
    }
    if (o->choices && !one_of(value, o->choices)) {
        fprintf(stderr, "rodbook: %s cannot be '%s'; it is one of:",
                o->name, value);
        for (int i = 0; o->choices[i]; i++)
            fprintf(stderr, " %s", o->choices[i]);
        fprintf(stderr, "\n");
        return false;
    }
    *o->value = value;
    return true;
}

/* "--name value" or "--name=value"; moves *i past what it took. */
static bool read_option(const Option *options, int n, int argc, char **argv,
                        int *i) {
    const char *arg = argv[*i];

    for (int k = 0; k < n; k++) {
        size_t len = strlen(options[k].name);
        if (strcmp(arg, options[k].name) == 0) {
            (*i)++;
            return set_option(&options[k], *i < argc ? argv[*i] : NULL);
        }
        if (strncmp(arg, options[k].name, len) == 0 && arg[len] == '=')
            return set_option(&options[k], arg + len + 1);
    }
    fprintf(stderr, "rodbook: unknown option %s\n", arg);
    return false;
}

static bool read_flag(const char *arg, Options *opt) {
    if (strcmp(arg, "--help") == 0 || strcmp(arg, "-h") == 0)
        opt->help = true;
    else if (strcmp(arg, "--version") == 0)
        opt->version = true;
    else if (strcmp(arg, "--json") == 0)
        opt->json = true;
    else
        return false;
    return true;
}

static bool read_word(const char *arg, Options *opt) {
    if (!opt->command) {
        opt->command = arg;
        return true;
    }
    if (opt->n_inputs == COUNT(opt->inputs)) {
        fprintf(stderr, "rodbook: one file too many: %s\n", arg);
        return false;
    }
    opt->inputs[opt->n_inputs++] = arg;
    return true;
}

/* Is `word` among words that are parted by spaces? */
static bool among(const char *word, const char *words) {
    size_t      len = strlen(word);
    const char *at  = words;

    while ((at = strstr(at, word))) {
        bool begins = at == words || at[-1] == ' ';
        if (begins && (at[len] == ' ' || at[len] == '\0'))
            return true;
        at++;
    }
    return false;
}

static bool check_as(const Options *opt, const char *formats) {
    if (!opt->as || (*opt->as && formats && among(opt->as, formats)))
        return true;
    if (formats)
        fprintf(stderr, "rodbook: --as cannot be '%s'; it is one of: %s\n",
                opt->as, formats);
    else
        fprintf(stderr, "rodbook: %s has no --as\n", opt->command);
    return false;
}

/* Text is set for Letter and A4; templates go on any paper. */
static bool check_paper(const Options *opt) {
    bool templates = opt->command && strcmp(opt->command, "draw") == 0
                  && opt->n_inputs > 1
                  && strcmp(opt->inputs[1], "templates") == 0;

    if (!opt->paper || templates || strcmp(opt->paper, "letter") == 0
        || strcmp(opt->paper, "a4") == 0)
        return true;
    fprintf(stderr, "rodbook: --paper cannot be '%s'; it is one of: letter "
            "a4\n(rodbook draw DESIGN templates --as pdf --paper %s puts "
            "the templates on it)\n", opt->paper, opt->paper);
    return false;
}

static bool check_command(const Options *opt) {
    for (int i = 0; i < COUNT(commands); i++) {
        if (strcmp(opt->command, commands[i].name) != 0)
            continue;
        if (opt->help || (opt->n_inputs >= commands[i].least
                          && opt->n_inputs <= commands[i].most))
            return check_as(opt, commands[i].as);
        fprintf(stderr, "rodbook: use: rodbook %s\n", commands[i].use);
        return false;
    }
    fprintf(stderr, "rodbook: there is no command '%s'; try rodbook "
            "--help\n", opt->command);
    return false;
}

#define PRINTER_ERR 0.03   // no printer errs by more; a setting does

bool read_printer(const char *text, double *across, double *along) {
    char *end;

    *across = strtod(text, &end);
    if (end == text || *end != ',')
        return false;
    text   = end + 1;
    *along = strtod(text, &end);
    return end != text && *end == 0
        && *across >= 1 - PRINTER_ERR && *across <= 1 + PRINTER_ERR
        && *along >= 1 - PRINTER_ERR && *along <= 1 + PRINTER_ERR;
}

static bool check_printer(const Options *opt) {
    double across, along;

    if (!opt->printer || read_printer(opt->printer, &across, &along))
        return true;
    fprintf(stderr, "rodbook: --printer cannot be '%s'; it is two numbers "
            "from 0.97 to 1.03, measured length / true length of a check "
            "bar across and along the paper: --printer 1.004,0.997\n",
            opt->printer);
    return false;
}

bool options_read(int argc, char **argv, Options *opt) {
    static const char *const papers[] = {   // ORDER PAPER
        "letter", "a4", "tabloid", "a3", "a1", "a0", "roll24", "roll36", NULL
    };
    static const char *const units[] = { "inch", "mm", NULL };
    static const char *const what[] = {
        "parts", "materials", "cuts", "hardware", "rows", "fasteners",
        "facts", NULL
    };
    static const char *const dumps[] = {
        "design", "sizes", "model", "plan", "booklet", NULL
    };
    const Option options[] = {
        { "-o", &opt->output, NULL },       { "--paper", &opt->paper, papers },
        { "--units", &opt->units, units },  { "--what", &opt->what, what },
        { "--as", &opt->as, NULL },         { "--dump", &opt->dump, dumps },
        { "--ledger", &opt->ledger, NULL }, { "--from", &opt->from, NULL },
        { "--variant", &opt->variant, NULL },
        { "--library", &opt->library, NULL },
        { "--tool", &opt->tool, NULL },
        { "--printer", &opt->printer, NULL },
    };

    memset(opt, 0, sizeof *opt);
    for (int i = 1; i < argc; i++) {
        bool dash = argv[i][0] == '-' && argv[i][1];
        if (read_flag(argv[i], opt))
            continue;
        if (dash ? !read_option(options, COUNT(options), argc, argv, &i)
                 : !read_word(argv[i], opt))
            return false;
    }
    if (!check_printer(opt) || !check_paper(opt))
        return false;
    if (opt->version || (opt->help && !opt->command))
        return true;
    if (!opt->command) {
        usage(stderr, NULL);
        return false;
    }
    return check_command(opt);
}
