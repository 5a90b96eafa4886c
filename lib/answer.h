/*
 * Questions to convert.h, one after another: all of a command line, or a line each of a stream, so
 * that questions and answers stay side by side.
 */
#ifndef GYLE_ANSWER_H
#define GYLE_ANSWER_H

#include "convert.h"
#include "lines.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>

enum answer_status {
    ANSWER_OK,
    ANSWER_REFUSED,   /* a value was; the others are answered */
    ANSWER_MISUSED,   /* operands that are no question, or meet_set() said no */
    ANSWER_UNREADABLE /* the stream; errno tells why */
};

struct answer {
    struct convert convert; /* its arena is reset between lines; answer_begin() sets tell */
    /* Called once, before the first set: the moment to give convert the units and the altitude of
     * the house. False: there is no answer. */
    bool (*meet_set)(void *context);
    /* Told what convert tells, and where that begins: line and column from 1, line 0 for
     * operands. */
    void (*tell)(void *context, enum figures_remark_level level, size_t line, size_t column,
                 struct str part, const char *message);
    void *context;
    struct str text; /* the line in hand */
    size_t line;
    bool met;
};

/* Writes the header of TSV; the answer must stay where it is. */
void answer_begin(struct answer *answer);

/* Answers operands: all are one set, or any number of values; "38" "F" is one value. */
enum answer_status answer_operands(struct answer *answer, char **operands, size_t n);

/* Answers each line to the end. A line that holds nothing, or a value that cannot be
 * told in the unit asked for, is answered by an empty line. */
enum answer_status answer_lines(struct answer *answer, struct lines *lines);

#endif
