#include "cli.h"

#include "civil.h"

#include <errno.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static void out_of_memory(void *context)
{
    static const char message[] = ": out of memory\n";
    const char *name = context;
    ssize_t ignored = write(STDERR_FILENO, name, strlen(name));
    ignored = write(STDERR_FILENO, message, sizeof message - 1);
    (void)ignored;
    _exit(CLI_TROUBLE);
}

void cli_say(const struct cli *cli, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    fprintf(stderr, "%s: ", cli->program->name);
    vfprintf(stderr, format, args);
    fputc('\n', stderr);
    va_end(args);
}

/* The options of a program: its own, then the common ones it has. */
struct options {
    struct cli_option items[32];
    size_t n;
    bool help, version;
};

static void collect_options(struct cli *cli, struct options *all)
{
    const struct cli_program *program = cli->program;
    const struct {
        unsigned has;
        struct cli_option option;
    } common[] = {
        {CLI_HAS_CELLAR,
         {'c', "cellar", "FILE", "the cellar file; else the nearest cellar.yaml, going up",
          CLI_TEXT, &cli->cellar}},
        {CLI_HAS_NOW,
         {0, "now", "TIME", "the moment that counts as now; else $GYLE_NOW, else the clock",
          CLI_TEXT, &cli->now_text}},
        {CLI_HAS_TSV, {'t', "tsv", NULL, "write TSV with a header row", CLI_FLAG, &cli->tsv}},
        {0, {'h', "help", NULL, "print this help", CLI_FLAG, &all->help}},
        {0, {'V', "version", NULL, "print the version", CLI_FLAG, &all->version}},
    };
    for (size_t i = 0; i < program->option_count; i++)
        all->items[all->n++] = program->options[i];
    for (size_t i = 0; i < sizeof common / sizeof common[0]; i++)
        if ((common[i].has & program->common) == common[i].has)
            all->items[all->n++] = common[i].option;
}

static const char *option_name(const void *table, size_t i)
{
    return ((const struct options *)table)->items[i].name;
}

static const struct cli_option *find_long(const struct options *all, struct str name)
{
    for (size_t i = 0; i < all->n; i++)
        if (str_is(name, all->items[i].name))
            return &all->items[i];
    return NULL;
}

static const struct cli_option *find_short(const struct options *all, char letter)
{
    for (size_t i = 0; i < all->n; i++)
        if (all->items[i].letter == letter)
            return &all->items[i];
    return NULL;
}

static bool set_number(struct cli *cli, const struct cli_option *option, const char *text)
{
    char *end;
    errno = 0;
    long n = strtol(text, &end, 10);
    if (end == text || *end != '\0' || errno != 0 || n < 0) {
        cli_say(cli, "--%s: \"%s\" is not a whole number", option->name,
                str_shown(&cli->arena, str_of(text)));
        return false;
    }
    *(long *)option->to = n;
    return true;
}

static bool set(struct cli *cli, const struct cli_option *option, const char *text)
{
    switch (option->value) {
    case CLI_FLAG:
        *(bool *)option->to = true;
        break;
    case CLI_TEXT:
        *(const char **)option->to = text;
        break;
    case CLI_NUMBER:
        return set_number(cli, option, text);
    case CLI_TEXTS: {
        struct cli_texts *texts = option->to;
        if (texts->n == texts->capacity)
            texts->items =
                arena_grow(&cli->arena, texts->items, &texts->capacity, sizeof *texts->items);
        texts->items[texts->n++] = text;
        break;
    }
    }
    return true;
}

static bool refuse(const struct cli *cli, const char *before, const char *text, const char *after)
{
    cli_say(cli, "%s%s%s (see %s -h)", before, text, after, cli->program->name);
    return false;
}

/* One argument that begins with --; may take the next one. */
static bool take_long(struct cli *cli, const struct options *all, char **argv, int argc, int *i)
{
    struct str rest = str_of(argv[*i] + 2), name = str_split(&rest, '=');
    const struct cli_option *option = find_long(all, name);
    const char *shown = str_shown(&cli->arena, name);
    if (option == NULL) {
        const char *nearest = str_nearest(name, option_name, all, all->n);
        if (nearest == NULL)
            return refuse(cli, "unknown option --", shown, "");
        cli_say(cli, "unknown option --%s; did you mean --%s?", shown, nearest);
        return false;
    }
    if (option->value == CLI_FLAG && rest.p != NULL)
        return refuse(cli, "--", option->name, " takes no argument");
    if (option->value == CLI_FLAG)
        return set(cli, option, NULL);
    if (rest.p != NULL)
        return set(cli, option, rest.p);
    if (*i + 1 >= argc)
        return refuse(cli, "--", option->name, " needs an argument");
    return set(cli, option, argv[++*i]);
}

/* One argument of letters; the last may take the rest or the next one. */
static bool take_short(struct cli *cli, const struct options *all, char **argv, int argc, int *i)
{
    for (const char *p = argv[*i] + 1; *p != '\0'; p++) {
        const struct cli_option *option = find_short(all, *p);
        if (option == NULL)
            return refuse(cli, "unknown option -", str_shown(&cli->arena, (struct str){p, 1}), "");
        if (option->value == CLI_FLAG) {
            set(cli, option, NULL);
            continue;
        }
        if (p[1] != '\0')
            return set(cli, option, p + 1);
        if (*i + 1 >= argc)
            return refuse(cli, "--", option->name, " needs an argument");
        return set(cli, option, argv[++*i]);
    }
    return true;
}

static void print_help(const struct cli *cli, const struct options *all)
{
    enum { HELP_COLUMN = 24 };
    const struct cli_program *program = cli->program;
    printf("%s: %s\n\nUse: %s [OPTION...]%s%s\n\n", program->name, program->summary, program->name,
           program->operands[0] == '\0' ? "" : " ", program->operands);
    for (size_t i = 0; i < all->n; i++) {
        const struct cli_option *option = &all->items[i];
        int n = option->letter != 0 ? printf("  -%c, --%s", option->letter, option->name)
                                    : printf("      --%s", option->name);
        if (option->arg != NULL)
            n += printf(" %s", option->arg);
        if (n >= HELP_COLUMN)
            n = printf("\n") - 1;
        printf("%*s%s\n", HELP_COLUMN - n, "", option->help);
    }
    printf("\nExit status: 0 nothing wrong, 1 %s, 2 trouble.\n", program->exits);
}

int cli_start(struct cli *cli, const struct cli_program *program, int argc, char **argv,
              int *status)
{
    *cli = (struct cli){.program = program};
    arena_init(&cli->arena, out_of_memory, (void *)(uintptr_t)program->name);
    diag_init(&cli->diags, &cli->arena);
    struct options all = {.n = 0};
    collect_options(cli, &all);
    cli->operands = arena_array(&cli->arena, (size_t)argc + 1, sizeof *cli->operands);
    bool good = true, only_operands = false;
    for (int i = 1; i < argc && good; i++) {
        if (only_operands || argv[i][0] != '-' || argv[i][1] == '\0')
            cli->operands[cli->operand_count++] = argv[i];
        else if (strcmp(argv[i], "--") == 0)
            only_operands = true;
        else if (argv[i][1] == '-')
            good = take_long(cli, &all, argv, argc, &i);
        else
            good = take_short(cli, &all, argv, argc, &i);
    }
    if (good && !all.help && !all.version)
        return 0;
    if (good && all.help)
        print_help(cli, &all);
    else if (good)
        printf("%s (Gyle) %s\n", program->name, GYLE_VERSION);
    *status = cli_end(cli, good ? CLI_OK : CLI_TROUBLE);
    return 1;
}

bool cli_open_book(struct cli *cli, struct book *book)
{
    const char *given = cli->cellar != NULL ? cli->cellar : getenv("GYLE_CELLAR");
    const char *near = cli->operand_count > 0 ? cli->operands[0] : NULL, *looked = "";
    const char *path = book_find(&cli->arena, given, near, &looked);
    if (path == NULL && given != NULL)
        cli_say(cli, "no cellar file %s", str_shown(&cli->arena, str_of(given)));
    else if (path == NULL)
        cli_say(cli, "no cellar.yaml in %s; name it with -c FILE",
                str_shown(&cli->arena, str_of(looked)));
    if (path == NULL)
        return false;
    if (book_open(book, &cli->arena, &cli->diags, path, getenv("TZDIR")))
        return true;
    cli_write_diags(cli);
    return false;
}

bool cli_now(const struct cli *cli, const struct book *book, int64_t *now)
{
    const char *text = cli->now_text != NULL ? cli->now_text : getenv("GYLE_NOW");
    if (text == NULL || text[0] == '\0') {
        *now = (int64_t)time(NULL);
        return true;
    }
    enum civil_status status =
        civil_parse_time_or_date(text, strlen(text), book->cellar->zone, now);
    if (status == CIVIL_OK || status == CIVIL_FOLD)
        return true;
    struct arena arena;
    arena_init(&arena, out_of_memory, (void *)(uintptr_t)cli->program->name);
    cli_say(cli, "%s \"%s\": %s", cli->now_text != NULL ? "--now" : "GYLE_NOW",
            str_shown(&arena, str_of(text)), civil_status_text(status));
    arena_free(&arena);
    return false;
}

struct file_list cli_files(struct cli *cli, struct book *book)
{
    if (cli->operand_count == 0)
        return book_batches(book);
    struct file_list list = {arena_array(&cli->arena, cli->operand_count, sizeof *list.paths), 0,
                             cli->operand_count};
    for (size_t i = 0; i < cli->operand_count; i++)
        list.paths[list.n++] = cli->operands[i];
    return list;
}

void cli_write_diags(struct cli *cli)
{
    diag_sort(&cli->diags);
    diag_write(stderr, &cli->diags);
}

int cli_end(struct cli *cli, int status)
{
    bool failed = fflush(stdout) != 0 || ferror(stdout);
    int why = errno;
    if (fclose(stdout) != 0 && !failed) {
        failed = true;
        why = errno;
    }
    if (failed && why != EPIPE) {
        cli_say(cli, "cannot write the output: %s", strerror(why));
        status = CLI_TROUBLE;
    }
    arena_free(&cli->arena);
    return status;
}
