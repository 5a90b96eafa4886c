#include "cli.h"

#include "civil.h"
#include "tsv.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <time.h>
#include <unistd.h>

static void out_of_memory(void *context)
{
    static const char message[] = ": out of memory\n";
    const char *name = context;
    bool said = write(STDERR_FILENO, name, strlen(name)) > 0 &&
                write(STDERR_FILENO, message, sizeof message - 1) > 0;
    (void)said;
    _exit(CLI_TROUBLE);
}

static bool is_reader_gone(void)
{
    struct pollfd output = {.fd = STDOUT_FILENO, .events = POLLOUT};
    return poll(&output, 1, 0) == 1 && (output.revents & POLLERR) != 0;
}

/* The error is kept, since some C libraries throw away what they could not write; others tell it
 * only of the last piece. */
static bool flush_output(struct cli *cli)
{
    errno = 0;
    bool flushed = fflush(stdout) == 0 && !ferror(stdout);
    if (!flushed && cli->output_error == 0)
        cli->output_error = errno == 0 && is_reader_gone() ? EPIPE : errno;
    return flushed;
}

FILE *cli_messages(struct cli *cli)
{
    flush_output(cli);
    return stderr;
}

void cli_say(struct cli *cli, const char *format, ...)
{
    FILE *out = cli_messages(cli);
    va_list args;
    va_start(args, format);
    fprintf(out, "%s: ", cli->program->name);
    vfprintf(out, format, args);
    fputc('\n', out);
    va_end(args);
}

void cli_say_later(struct cli *cli, size_t later)
{
    if (later > 0)
        cli_say(cli, "%zu later %s not looked at", later,
                later == 1 ? "entry was" : "entries were");
}

/* A standard stream that was closed is opened the wrong way round: no file of the book can get its
 * number, and using it fails. */
static void hold_streams(void)
{
    static const int MODES[] = {O_WRONLY, O_RDONLY, O_RDONLY};
    for (int fd = 0; fd < 3; fd++)
        if (fcntl(fd, F_GETFD) == -1)
            (void)open("/dev/null", MODES[fd]);
}

/* The options of a program: its own, then the common ones it has. */
struct options {
    struct cli_option *items;
    size_t n;
    bool help, version, table;
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
         {0, "now", "TIME", "what counts as now; else $GYLE_NOW, else the clock", CLI_TEXT,
          &cli->now_text}},
        {CLI_HAS_TSV, {'t', "tsv", NULL, "write TSV with a header row", CLI_FLAG, &cli->tsv}},
        {CLI_HAS_FILES,
         {0, "files-from", "FILE", "take FILEs from this list too, one a line", CLI_TEXT,
          &cli->files_from}},
        {CLI_HAS_FILES,
         {'0', "null", NULL, "the list ends each FILE with a NUL byte", CLI_FLAG, &cli->nul}},
        {0, {'h', "help", NULL, "print this help", CLI_FLAG, &all->help}},
        {0, {'V', "version", NULL, "print the version", CLI_FLAG, &all->version}},
        {0, {0, "options", NULL, NULL, CLI_FLAG, &all->table}},
    };
    all->items = arena_array(&cli->arena, program->option_count + sizeof common / sizeof common[0],
                             sizeof *all->items);
    for (size_t i = 0; i < program->option_count; i++)
        all->items[all->n++] = program->options[i];
    for (size_t i = 0; i < sizeof common / sizeof common[0]; i++)
        if ((common[i].has & program->common) == common[i].has)
            all->items[all->n++] = common[i].option;
}

static const char *option_name(const void *table, size_t i)
{
    const struct cli_option *option = &((const struct options *)table)->items[i];
    return option->help != NULL ? option->name : NULL;
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

static bool refuse(struct cli *cli, const char *before, const char *text, const char *after)
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
        if (option->help == NULL)
            continue;
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

static void print_row(const char *letter, const char *name, const char *arg, const char *help)
{
    const char *fields[] = {letter, name, arg, help};
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        if (i > 0)
            putchar('\t');
        tsv_write(stdout, str_of(fields[i]));
    }
    putchar('\n');
}

static void print_table(const struct cli *cli, const struct options *all)
{
    print_row("letter", "name", "arg", "help");
    for (size_t i = 0; i < all->n; i++) {
        const struct cli_option *option = &all->items[i];
        if (option->help != NULL)
            print_row((char[]){option->letter, '\0'}, option->name, option->arg, option->help);
    }
    print_row("", "", cli->program->operands, cli->program->summary);
}

static void add_operand(struct cli *cli, char *operand)
{
    if (cli->operand_count == cli->operand_capacity)
        cli->operands =
            arena_grow(&cli->arena, cli->operands, &cli->operand_capacity, sizeof *cli->operands);
    cli->operands[cli->operand_count++] = operand;
}

static bool has_operand(const struct cli *cli, const char *operand)
{
    for (size_t i = 0; i < cli->operand_count; i++)
        if (strcmp(cli->operands[i], operand) == 0)
            return true;
    return false;
}

/* Adds the paths of the list that --files-from names to the operands. */
static bool read_list(struct cli *cli)
{
    struct source source;
    bool standard_input = strcmp(cli->files_from, "-") == 0;
    if (!file_read(&cli->arena, cli->files_from, &source, &cli->diags)) {
        cli_write_diags(cli);
        return false;
    }
    if (cli->operands == NULL)
        cli->operands = arena_array(&cli->arena, 1, sizeof *cli->operands);
    for (struct str rest = source.text; rest.p != NULL;) {
        struct str path = str_split(&rest, cli->nul ? '\0' : '\n');
        if (memchr(path.p, '\0', path.n) != NULL) {
            cli_say(cli, "a NUL byte in the list of --files-from; add -0 if NUL bytes part it");
            return false;
        }
        if (path.n > 0)
            add_operand(cli, arena_copy(&cli->arena, path.p, path.n));
    }
    if (standard_input && has_operand(cli, "-")) {
        cli_say(cli, "standard input cannot be the list of files and one of them");
        return false;
    }
    return true;
}

/* Behind the dash is nothing, or a number whose first digit is no option: an operand. */
static bool is_bare(const struct options *all, const char *text)
{
    return text[0] == '\0' ||
           (strchr(".0123456789", text[0]) != NULL && find_short(all, text[0]) == NULL);
}

int cli_start(struct cli *cli, const struct cli_program *program, int argc, char **argv,
              int *status)
{
    hold_streams();
    *cli = (struct cli){.program = program};
    arena_init(&cli->arena, out_of_memory, (void *)(uintptr_t)program->name);
    diag_init(&cli->diags, &cli->arena);
    struct options all = {.n = 0};
    collect_options(cli, &all);
    bool good = true, only_operands = false;
    for (int i = 1; i < argc && good; i++) {
        if (only_operands || argv[i][0] != '-' || is_bare(&all, argv[i] + 1))
            add_operand(cli, argv[i]);
        else if (strcmp(argv[i], "--") == 0)
            only_operands = true;
        else if (argv[i][1] == '-')
            good = take_long(cli, &all, argv, argc, &i);
        else
            good = take_short(cli, &all, argv, argc, &i);
    }
    bool asked = all.help || all.version || all.table;
    if (good && !asked && cli->nul && cli->files_from == NULL)
        good = refuse(cli, "--null", " belongs to --files-from", "");
    if (good && !asked && cli->files_from != NULL)
        good = read_list(cli);
    if (good && !asked)
        return 0;
    if (good && all.help)
        print_help(cli, &all);
    else if (good && all.version)
        printf("%s (Gyle) %s\n", program->name, GYLE_VERSION);
    else if (good)
        print_table(cli, &all);
    *status = cli_end(cli, good ? CLI_OK : CLI_TROUBLE);
    return 1;
}

int cli_main(const struct cli_program *program, int argc, char **argv, int (*run)(struct cli *cli))
{
    struct cli cli;
    int status;
    if (cli_start(&cli, program, argc, argv, &status) != 0)
        return status;
    return cli_end(&cli, run(&cli));
}

bool cli_whole_book(const struct cli *cli)
{
    return cli->operands == NULL;
}

/* A variable of the environment; NULL when it is not set or empty. */
static const char *environment(const char *name)
{
    const char *value = getenv(name);
    return value != NULL && value[0] != '\0' ? value : NULL;
}

const char *cli_zone_folder(void)
{
    return environment("TZDIR");
}

const char *cli_named_cellar(const struct cli *cli)
{
    return cli->cellar != NULL ? cli->cellar : environment("GYLE_CELLAR");
}

bool cli_open_book(struct cli *cli, struct book *book)
{
    const char *given = cli_named_cellar(cli);
    const char *near = cli->near, *looked = "";
    if (near == NULL && cli->operand_count > 0)
        near = cli->operands[0];
    const char *path = book_find(&cli->arena, given, near, &looked);
    if (path == NULL && given != NULL)
        cli_say(cli, "no cellar file %s", str_shown(&cli->arena, str_of(given)));
    else if (path == NULL)
        cli_say(cli, "no cellar.yaml in %s; name it with -c FILE",
                str_shown(&cli->arena, str_of(looked)));
    if (path == NULL)
        return false;
    if (book_open(book, &cli->arena, &cli->diags, path, cli_zone_folder()))
        return true;
    cli_write_diags(cli);
    return false;
}

bool cli_now(struct cli *cli, const struct book *book, int64_t *now)
{
    const char *text = cli->now_text != NULL ? cli->now_text : environment("GYLE_NOW");
    if (text == NULL) {
        *now = (int64_t)time(NULL);
        return true;
    }
    return cli_moment(cli, book, cli->now_text != NULL ? "--now" : "GYLE_NOW", text, now);
}

bool cli_moment(struct cli *cli, const struct book *book, const char *option, const char *text,
                int64_t *at)
{
    enum civil_status status = civil_parse_time_or_date(text, strlen(text), book->cellar->zone, at);
    if (status == CIVIL_OK || status == CIVIL_FOLD)
        return true;
    cli_say(cli, "%s \"%s\": %s", option, str_shown(&cli->arena, str_of(text)),
            civil_status_text(status));
    return false;
}

bool cli_has_tank(struct cli *cli, const struct cellar *cellar, const char *option, struct str name)
{
    if (cellar_tank(cellar, name) != NULL)
        return true;
    const char *nearest = cellar_nearest_tank(cellar, &cli->arena, name);
    cli_say(cli, "%s: no tank \"%s\" in the cellar file%s", option, str_shown(&cli->arena, name),
            str_meant(&cli->arena, nearest, ""));
    return false;
}

bool cli_has_tanks(struct cli *cli, const struct cellar *cellar, const struct cli_texts *tanks)
{
    bool all = true;
    for (size_t i = 0; i < tanks->n; i++)
        all &= cli_has_tank(cli, cellar, "--tank", str_of(tanks->items[i]));
    return all;
}

struct file_list cli_named_files(const struct cli *cli)
{
    return (struct file_list){(const char **)cli->operands, cli->operand_count, cli->operand_count};
}

struct file_list cli_files(struct cli *cli, struct book *book)
{
    return cli_whole_book(cli) ? book_batches(book) : cli_named_files(cli);
}

bool cli_baselines(struct cli *cli, const struct book *book, const char *path,
                   struct baselines *baselines, struct history *history)
{
    struct source source;
    size_t line = 0;
    const char *why_not = "";
    *baselines = (struct baselines){.arena = &cli->arena};
    if (!file_read(&cli->arena, path, &source, &cli->diags)) {
        cli_write_diags(cli);
        return false;
    }
    if (!baselines_read(baselines, source.text, book->cellar, &line, &why_not)) {
        cli_say(cli, "%s:%zu: %s", str_shown(&cli->arena, str_of(path)), line, why_not);
        return false;
    }
    baselines_into_history(baselines, history);
    return true;
}

int cli_judged(const struct book *book, size_t left_out, bool found)
{
    if (left_out > 0 || book->cellar_errors > 0)
        return CLI_TROUBLE;
    return found ? CLI_FOUND : CLI_OK;
}

void cli_write_diags(struct cli *cli)
{
    diag_sort(&cli->diags);
    diag_write(cli_messages(cli), &cli->diags);
}

/* What could not be read may have held anything. */
static bool was_unreadable(const struct diags *diags)
{
    for (size_t i = 0; i < diags->n; i++)
        if (diags->items[i].rule == RULE_UNREADABLE)
            return true;
    return false;
}

int cli_end(struct cli *cli, int status)
{
    bool failed = !flush_output(cli);
    errno = 0;
    if (fclose(stdout) != 0) {
        failed = true;
        if (cli->output_error == 0)
            cli->output_error = errno;
    }
    int why = cli->output_error;
    if (failed && why != EPIPE) {
        fprintf(stderr, "%s: cannot write the output%s%s\n", cli->program->name,
                why != 0 ? ": " : "", why != 0 ? strerror(why) : "");
        status = CLI_TROUBLE;
    }
    if (ferror(stderr) || was_unreadable(&cli->diags))
        status = CLI_TROUBLE;
    arena_free(&cli->arena);
    return status;
}
