/*
 * What every filter does alike: options from a table, help and version, the moment that counts as
 * now, the book and its files, and an end that notices output that could not be written.
 *
 * Every program also has --options, which no help names: it writes the option table as TSV (letter,
 * name, arg, help), the operands last, in a row without a name. The completion of shells is made
 * from it.
 */
#ifndef GYLE_CLI_H
#define GYLE_CLI_H

#include "arena.h"
#include "baseline.h"
#include "book.h"
#include "diag.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

enum { CLI_OK = 0, CLI_FOUND = 1, CLI_TROUBLE = 2 };

enum cli_value {
    CLI_FLAG,   /* bool *: the option was given */
    CLI_TEXT,   /* const char **: its argument */
    CLI_NUMBER, /* long *: its argument, a whole number from 0 */
    CLI_TEXTS   /* struct cli_texts *: the arguments of each time it was given */
};

struct cli_texts {
    const char **items;
    size_t n, capacity;
};

struct cli_option {
    char letter;      /* 0: none */
    const char *name; /* without the dashes */
    const char *arg;  /* what the help calls its argument, NULL for CLI_FLAG */
    const char *help; /* one line; NULL: named nowhere */
    enum cli_value value;
    void *to;
};

/* The options that filters share; a filter names those it has. */
enum cli_common {
    CLI_HAS_CELLAR = 1, /* -c FILE */
    CLI_HAS_NOW = 2,    /* --now TIME */
    CLI_HAS_TSV = 4,    /* -t */
    CLI_HAS_BOOK = 7,
    CLI_HAS_FILES = 8 /* --files-from FILE, -0: operands are files */
};

struct cli_program {
    const char *name;     /* "gyle-validate" */
    const char *operands; /* "[FILE...]" */
    const char *summary;  /* one sentence */
    const char *exits;    /* what exit 1 means */
    unsigned common;      /* enum cli_common */
    const struct cli_option *options;
    size_t option_count;
};

struct cli {
    const struct cli_program *program;
    struct arena arena; /* for as long as the program runs */
    struct diags diags;
    bool tsv;
    const char *cellar, *now_text, *files_from;
    const char *near; /* a path near which the book is looked for; NULL: the first operand */
    bool nul;         /* the list of files_from is parted by NUL bytes */
    char **operands;  /* those of the command line, then of the list; NULL: no file named */
    size_t operand_count, operand_capacity;
    int output_error; /* errno of the first flush of standard output that failed */
};

/* Reads the options. 0 to go on; else the program is over, with *status as its exit status (help
 * and version were printed, or what is wrong with the call). */
int cli_start(struct cli *cli, const struct cli_program *program, int argc, char **argv,
              int *status);

/* main() of a filter: reads the options, runs it, and ends with the exit status it gives. */
int cli_main(const struct cli_program *program, int argc, char **argv, int (*run)(struct cli *cli));

/* True when no file was named, so that the whole book is meant. An empty list of --files-from names
 * files, though none: then nothing is reported. */
bool cli_whole_book(const struct cli *cli);

/* Standard error, behind all that was written to standard output so far: where both go to one file
 * their order there is that of a terminal, whatever buffers the C library has. */
FILE *cli_messages(struct cli *cli);

/* One line on standard error that begins with the program's name. Parts that come from the user
 * must be escaped by the caller (str_shown()). */
void cli_say(struct cli *cli, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Says how many entries after now were not looked at; of none nothing. */
void cli_say_later(struct cli *cli, size_t later);

/* The folder of zone files that the user chose by $TZDIR; NULL: that of the system. */
const char *cli_zone_folder(void);

/* The cellar file that was named, by -c or $GYLE_CELLAR; NULL: it is looked for. */
const char *cli_named_cellar(const struct cli *cli);

/* Finds and opens the book of the operands. False: what is wrong was said; the exit status is
 * CLI_TROUBLE. */
bool cli_open_book(struct cli *cli, struct book *book);

/* Now: --now, else $GYLE_NOW, else the clock. False: what is wrong was said. */
bool cli_now(struct cli *cli, const struct book *book, int64_t *now);

/* A moment or a day that an option was given, in the cellar's zone; false: what is wrong was said.
 */
bool cli_moment(struct cli *cli, const struct book *book, const char *option, const char *text,
                int64_t *at);

/* Whether the cellar has that tank; if not, it was said, with the nearest name. */
bool cli_has_tank(struct cli *cli, const struct cellar *cellar, const char *option,
                  struct str name);

/* The same of all that were asked for by --tank. */
bool cli_has_tanks(struct cli *cli, const struct cellar *cellar, const struct cli_texts *tanks);

/* The files that were named; paths = NULL: none, so that the whole book is meant. */
struct file_list cli_named_files(const struct cli *cli);

/* The files to report on: the operands; all of the book's batches when the whole book is meant. */
struct file_list cli_files(struct cli *cli, struct book *book);

/* What gyle-baseline -t wrote into the file at path, also as the history of one batch of each beer.
 * False: what is wrong was said. */
bool cli_baselines(struct cli *cli, const struct book *book, const char *path,
                   struct baselines *baselines, struct history *history);

/* The exit status of a judgement of a book: CLI_TROUBLE when so many files, or a part of its cellar
 * file, had to be left out; else whether something was found. */
int cli_judged(const struct book *book, size_t left_out, bool found);

/* Writes the findings to standard error, sorted. */
void cli_write_diags(struct cli *cli);

/* Ends the program: output is flushed, memory given back. Returns the exit status: status, or
 * CLI_TROUBLE when a file or folder among the findings could not be read, or standard output or
 * standard error not be written. A reader that went away is no trouble. */
int cli_end(struct cli *cli, int status);

#endif
