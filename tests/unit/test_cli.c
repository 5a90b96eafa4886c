#include "cli.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* A program with an option of each kind, which shows what it was given. */
static int program(int argc, char **argv)
{
    bool loud = false;
    const char *colour = NULL;
    long depth = -1;
    struct cli_texts pairs = {NULL, 0, 0};
    const struct cli_option options[] = {
        {'l', "loud", NULL, "say more", CLI_FLAG, &loud},
        {'k', "colour", "NAME", "the colour", CLI_TEXT, &colour},
        {0, "depth-of-the-whole-tree", "N", "how deep", CLI_NUMBER, &depth},
        {'p', "pair", "KEY", "may be repeated", CLI_TEXTS, &pairs},
    };
    const struct cli_program about = {
        .name = "gyle-test",
        .operands = "[FILE...]",
        .summary = "Shows what it was given.",
        .exits = "something was found",
        .common = CLI_HAS_BOOK | CLI_HAS_FILES,
        .options = options,
        .option_count = COUNT(options),
    };
    struct cli cli;
    int status;
    if (cli_start(&cli, &about, argc, argv, &status) != 0)
        return status;
    printf("%s%s%s", loud ? "loud " : "", cli.tsv ? "tsv " : "",
           cli_whole_book(&cli) ? "book " : "");
    if (colour != NULL)
        printf("colour=%s ", colour);
    if (depth >= 0)
        printf("depth=%ld ", depth);
    for (size_t i = 0; i < pairs.n; i++)
        printf("pair=%s ", pairs.items[i]);
    for (size_t i = 0; i < cli.operand_count; i++)
        printf("[%s]", cli.operands[i]);
    return cli_end(&cli, CLI_FOUND);
}

struct ran {
    char out[4096], err[4096];
    int status; /* -1: ended by a signal */
};

enum { OPEN, CLOSED, FULL, BROKEN };

static void slurp(FILE *file, char *text, size_t size)
{
    rewind(file);
    size_t n = fread(text, 1, size - 1, file);
    text[n] = '\0';
    fclose(file);
}

static void replace(int stream, int how, FILE *file)
{
    int ends[2];
    if (how == OPEN)
        dup2(fileno(file), stream);
    if (how == CLOSED)
        close(stream);
    if (how == FULL)
        dup2(open("/dev/full", O_WRONLY), stream);
    if (how == BROKEN && pipe(ends) == 0) {
        dup2(ends[1], stream);
        close(ends[0]);
        close(ends[1]);
    }
}

/* Runs the program in a process of its own. line is its arguments, parted by blanks; input its
 * standard input. */
static void run(struct ran *ran, const char *line, struct str input, int out_is, int err_is)
{
    char text[512], *argv[16] = {(char[]){"gyle-test"}};
    int argc = 1;
    FILE *in = tmpfile(), *out = tmpfile(), *err = tmpfile();
    assert_true(in != NULL && out != NULL && err != NULL);
    fwrite(input.p, 1, input.n, in);
    rewind(in);
    snprintf(text, sizeof text, "%s", line);
    for (char *word = strtok(text, " "); word != NULL; word = strtok(NULL, " "))
        argv[argc++] = word;
    argv[argc] = NULL;
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        signal(SIGPIPE, SIG_IGN);
        dup2(fileno(in), STDIN_FILENO);
        replace(STDOUT_FILENO, out_is, out);
        replace(STDERR_FILENO, err_is, err);
        exit(program(argc, argv));
    }
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    ran->status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    fclose(in);
    slurp(out, ran->out, sizeof ran->out);
    slurp(err, ran->err, sizeof ran->err);
}

static const struct {
    const char *title, *line;
    struct str input;
    const char *out, *err; /* err without the program's name before it */
    int status;
} CALLS[] = {
    {"nothing", "", STR_ROW(""), "book ", "", 1},
    {"letters together", "-lt", STR_ROW(""), "loud tsv book ", "", 1},
    {"the argument behind its letter", "-lkred", STR_ROW(""), "loud book colour=red ", "", 1},
    {"the argument by itself", "-k red x", STR_ROW(""), "colour=red [x]", "", 1},
    {"a letter last without argument", "-lk", STR_ROW(""), "",
     "--colour needs an argument (see gyle-test -h)", 2},
    {"a long one with =", "--colour=red=", STR_ROW(""), "book colour=red= ", "", 1},
    {"a long one with an empty argument", "--colour=", STR_ROW(""), "book colour= ", "", 1},
    {"a long one without argument", "--colour", STR_ROW(""), "",
     "--colour needs an argument (see gyle-test -h)", 2},
    {"a flag with an argument", "--loud=1", STR_ROW(""), "",
     "--loud takes no argument (see gyle-test -h)", 2},
    {"an option taken as the argument", "-k -l", STR_ROW(""), "book colour=-l ", "", 1},
    {"each time it is given", "-p a --pair=b", STR_ROW(""), "book pair=a pair=b ", "", 1},
    {"a number", "--depth-of-the-whole-tree 12", STR_ROW(""), "book depth=12 ", "", 1},
    {"a number that is none", "--depth-of-the-whole-tree 12x", STR_ROW(""), "",
     "--depth-of-the-whole-tree: \"12x\" is not a whole number", 2},
    {"an empty number", "--depth-of-the-whole-tree=", STR_ROW(""), "",
     "--depth-of-the-whole-tree: \"\" is not a whole number", 2},
    {"a number below 0", "--depth-of-the-whole-tree=-1", STR_ROW(""), "",
     "--depth-of-the-whole-tree: \"-1\" is not a whole number", 2},
    {"a number too large", "--depth-of-the-whole-tree=99999999999999999999", STR_ROW(""), "",
     "--depth-of-the-whole-tree: \"99999999999999999999\" is not a whole number", 2},
    {"options behind operands", "a -l b", STR_ROW(""), "loud [a][b]", "", 1},
    {"operands only", "-- -l --loud --", STR_ROW(""), "[-l][--loud][--]", "", 1},
    {"standard input is an operand", "-", STR_ROW(""), "[-]", "", 1},
    {"unknown letter", "-x", STR_ROW(""), "", "unknown option -x (see gyle-test -h)", 2},
    {"unknown letter among known ones", "-lxt", STR_ROW(""), "",
     "unknown option -x (see gyle-test -h)", 2},
    {"a near name", "--lout", STR_ROW(""), "", "unknown option --lout; did you mean --loud?", 2},
    {"a near name with an argument", "--color=red", STR_ROW(""), "",
     "unknown option --color; did you mean --colour?", 2},
    {"a far name", "--windows", STR_ROW(""), "", "unknown option --windows (see gyle-test -h)", 2},
    {"--options is not offered", "--option", STR_ROW(""), "",
     "unknown option --option (see gyle-test -h)", 2},
    {"a name with a control character", "--\x1b[31m", STR_ROW(""), "",
     "unknown option --\\x1B[31m (see gyle-test -h)", 2},
    {"a letter with a high byte", "-\xff", STR_ROW(""), "",
     "unknown option -\\xFF (see gyle-test -h)", 2},
    {"the first mistake counts", "-h -x", STR_ROW(""), "", "unknown option -x (see gyle-test -h)",
     2},
    {"version", "-V", STR_ROW(""), "gyle-test (Gyle) " GYLE_VERSION "\n", "", 0},
    {"a list", "--files-from - a", STR_ROW("b c\nd\n"), "[a][b c][d]", "", 1},
    {"a list without a last line end", "--files-from -", STR_ROW("b\nc"), "[b][c]", "", 1},
    {"a list with empty lines", "--files-from=-", STR_ROW("\n\nb\n\n"), "[b]", "", 1},
    {"a path that begins with a dash", "--files-from -", STR_ROW("-l\n"), "[-l]", "", 1},
    {"an empty list is not the whole book", "--files-from -", STR_ROW(""), "", "", 1},
    {"NUL bytes", "-0 --files-from -", STR_ROW("a\nb\0c\0"), "[a\nb][c]", "", 1},
    {"NUL bytes without -0", "--files-from -", STR_ROW("a\0b\0"), "",
     "a NUL byte in the list of --files-from; add -0 if NUL bytes part it", 2},
    {"-0 without a list", "-0 a", STR_ROW(""), "",
     "--null belongs to --files-from (see gyle-test -h)", 2},
    {"standard input twice", "--files-from - -", STR_ROW("a\n"), "",
     "standard input cannot be the list of files and one of them", 2},
    {"standard input in its own list", "--files-from -", STR_ROW("-\n"), "",
     "standard input cannot be the list of files and one of them", 2},
    {"the table of options", "--options", STR_ROW(""),
     "letter\tname\targ\thelp\n"
     "l\tloud\t\tsay more\n"
     "k\tcolour\tNAME\tthe colour\n"
     "\tdepth-of-the-whole-tree\tN\thow deep\n"
     "p\tpair\tKEY\tmay be repeated\n"
     "c\tcellar\tFILE\tthe cellar file; else the nearest cellar.yaml, going up\n"
     "\tnow\tTIME\twhat counts as now; else $GYLE_NOW, else the clock\n"
     "t\ttsv\t\twrite TSV with a header row\n"
     "\tfiles-from\tFILE\ttake FILEs from this list too, one a line\n"
     "0\tnull\t\tthe list ends each FILE with a NUL byte\n"
     "h\thelp\t\tprint this help\n"
     "V\tversion\t\tprint the version\n"
     "\t\t[FILE...]\tShows what it was given.\n",
     "", 0},
};

static void test_calls(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(CALLS); i++) {
        struct ran ran;
        char err[1024] = "";
        if (CALLS[i].err[0] != '\0')
            snprintf(err, sizeof err, "gyle-test: %s\n", CALLS[i].err);
        run(&ran, CALLS[i].line, CALLS[i].input, OPEN, OPEN);
        if (strcmp(ran.out, CALLS[i].out) != 0 || strcmp(ran.err, err) != 0 ||
            ran.status != CALLS[i].status)
            fail_msg("%s: \"%s\" and \"%s\", status %d", CALLS[i].title, ran.out, ran.err,
                     ran.status);
    }
}

static void test_help(void **state)
{
    (void)state;
    struct ran ran;
    run(&ran, "--help", STR(""), OPEN, OPEN);
    assert_int_equal(ran.status, 0);
    assert_string_equal(ran.err, "");
    assert_string_equal(
        ran.out, "gyle-test: Shows what it was given.\n"
                 "\n"
                 "Use: gyle-test [OPTION...] [FILE...]\n"
                 "\n"
                 "  -l, --loud            say more\n"
                 "  -k, --colour NAME     the colour\n"
                 "      --depth-of-the-whole-tree N\n"
                 "                        how deep\n"
                 "  -p, --pair KEY        may be repeated\n"
                 "  -c, --cellar FILE     the cellar file; else the nearest cellar.yaml, going up\n"
                 "      --now TIME        what counts as now; else $GYLE_NOW, else the clock\n"
                 "  -t, --tsv             write TSV with a header row\n"
                 "      --files-from FILE take FILEs from this list too, one a line\n"
                 "  -0, --null            the list ends each FILE with a NUL byte\n"
                 "  -h, --help            print this help\n"
                 "  -V, --version         print the version\n"
                 "\n"
                 "Exit status: 0 nothing wrong, 1 something was found, 2 trouble.\n");
}

static void test_list_that_is_not_there(void **state)
{
    (void)state;
    struct ran ran;
    run(&ran, "--files-from no/such/list", STR(""), OPEN, OPEN);
    assert_int_equal(ran.status, 2);
    assert_string_equal(ran.out, "");
    assert_non_null(strstr(ran.err, "no/such/list"));
}

/* What becomes of the two output streams, and of what is written there. */
static const struct {
    const char *title, *line;
    int out_is, err_is;
    int status;
    const char *err; /* what standard error must hold; NULL: not looked at */
} STREAMS[] = {
    {"full", "", FULL, OPEN, 2, "gyle-test: cannot write the output: No space left on device\n"},
    {"full, help", "-h", FULL, OPEN, 2,
     "gyle-test: cannot write the output: No space left on device\n"},
    {"full, version", "-V", FULL, OPEN, 2,
     "gyle-test: cannot write the output: No space left on device\n"},
    {"full, table", "--options", FULL, OPEN, 2,
     "gyle-test: cannot write the output: No space left on device\n"},
    {"full, but nothing to write there", "-x", FULL, OPEN, 2,
     "gyle-test: unknown option -x (see gyle-test -h)\n"},
    {"closed", "", CLOSED, OPEN, 2, "gyle-test: cannot write the output: Bad file descriptor\n"},
    {"closed, but nothing to write there", "--files-from -", CLOSED, OPEN, 1, ""},
    {"its reader went away", "", BROKEN, OPEN, 1, ""},
    {"errors full", "-x", OPEN, FULL, 2, NULL},
    {"errors closed, none to write", "", OPEN, CLOSED, 1, NULL},
    {"both closed", "", CLOSED, CLOSED, 2, NULL},
};

static void test_streams(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(STREAMS); i++) {
        struct ran ran;
        run(&ran, STREAMS[i].line, STR(""), STREAMS[i].out_is, STREAMS[i].err_is);
        if (ran.status != STREAMS[i].status ||
            (STREAMS[i].err != NULL && strcmp(ran.err, STREAMS[i].err) != 0))
            fail_msg("%s: status %d, \"%s\"", STREAMS[i].title, ran.status, ran.err);
    }
}

/* A file that a program opens must not come to stand where its output goes. */
static void test_closed_stream_is_not_reused(void **state)
{
    (void)state;
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        static const struct cli_program about = {
            .name = "gyle-test", .operands = "", .summary = "", .exits = ""};
        struct cli cli;
        int status;
        close(STDIN_FILENO);
        close(STDOUT_FILENO);
        close(STDERR_FILENO);
        cli_start(&cli, &about, 1, (char *[]){(char[]){"gyle-test"}, NULL}, &status);
        _exit(open("/dev/null", O_RDWR) > STDERR_FILENO ? 0 : 1);
    }
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_calls),
        cmocka_unit_test(test_help),
        cmocka_unit_test(test_list_that_is_not_there),
        cmocka_unit_test(test_streams),
        cmocka_unit_test(test_closed_stream_is_not_reused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
