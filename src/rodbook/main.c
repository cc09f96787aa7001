/* main -- one command, one Ctx, one exit status. */
#include "rodbook/rodbook.h"

static void run(Ctx *c, const Options *opt) {
    static const struct {
        const char *name;
        void (*run)(Ctx *c, const Options *opt);
    } commands[] = {
        { "press", command_press }, { "check", command_check },
        { "list", command_list },   { "proof", command_proof },
        { "trace", command_trace }, { "new", command_new },
        { "draw", command_draw },
    };

    for (int i = 0; i < COUNT(commands); i++) {
        if (strcmp(opt->command, commands[i].name) == 0)
            commands[i].run(c, opt);
    }
}

/* Arena exhaustion lands here; nothing below this line tests for NULL.
 * `c` belongs to main(), so its contents survive the jump. */
static bool run_guarded(Ctx *c, const Options *opt) {
    jmp_buf out_of_memory;

    c->arena.out_of_memory = &out_of_memory;
    c->library             = opt->library;
    if (setjmp(out_of_memory)) {
        fprintf(stderr, "rodbook: out of memory\n");
        return false;
    }
    run(c, opt);
    if (c->diags.n) {
        Str text = opt->json ? diags_json(c) : diags_text(c);
        fwrite(text.s, 1, text.n, stderr);
    } else if (opt->json) {
        fprintf(stderr, "[]\n");
    }
    return true;
}

int main(int argc, char **argv) {
    Options opt;
    Ctx     c;
    int     status = EXIT_DONE;

    if (!options_read(argc, argv, &opt))
        return EXIT_USAGE;
    if (opt.help || opt.version) {
        if (opt.version)
            printf("rodbook %s\n", ROD_VERSION);
        else
            usage(stdout, opt.command);
        return EXIT_DONE;
    }
    arena_keep_freed();
    ctx_init(&c, &real_files);
    if (!run_guarded(&c, &opt))
        status = EXIT_IO;
    else if (c.io_failed)
        status = EXIT_IO;
    else if (c.errors)
        status = EXIT_WRONG;
    if (fflush(stdout) != 0 || ferror(stdout)) {
        fprintf(stderr, "rodbook: cannot write standard output\n");
        status = EXIT_IO;
    }
    ctx_free(&c);
    return status;
}
