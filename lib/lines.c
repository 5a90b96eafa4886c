#include "lines.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

void lines_begin(struct lines *lines, int descriptor)
{
    lines->descriptor = descriptor;
    lines->number = lines->start = lines->end = 0;
    lines->at_end = lines->passing = false;
}

/* Moves what is left to the front and reads more behind it. False: an error. */
static bool fill(struct lines *lines)
{
    memmove(lines->buffer, lines->buffer + lines->start, lines->end - lines->start);
    lines->end -= lines->start;
    lines->start = 0;
    ssize_t n;
    do
        n = read(lines->descriptor, lines->buffer + lines->end, LINES_LONGEST - lines->end);
    while (n < 0 && errno == EINTR);
    if (n < 0)
        return false;
    lines->at_end = n == 0;
    lines->end += (size_t)n;
    return true;
}

/* Takes n bytes and, unless it is the end of a line without one, the LF behind them. */
static struct str take(struct lines *lines, size_t n)
{
    struct str text = {lines->buffer + lines->start, n};
    lines->start += n < lines->end - lines->start ? n + 1 : n;
    if (text.n > 0 && text.p[text.n - 1] == '\r')
        text.n--;
    return text;
}

enum lines_status lines_next(struct lines *lines, struct str *text)
{
    for (;;) {
        size_t there = lines->end - lines->start;
        const char *from = lines->buffer + lines->start;
        const char *lf = there == 0 ? NULL : memchr(from, '\n', there);
        bool whole = lf != NULL || (lines->at_end && there > 0);
        if (whole || there == LINES_LONGEST) {
            bool passing = lines->passing;
            *text = take(lines, lf != NULL ? (size_t)(lf - from) : there);
            lines->passing = !whole;
            if (passing)
                continue;
            lines->number++;
            return whole ? LINES_OK : LINES_TOO_LONG;
        }
        if (lines->at_end)
            return LINES_END;
        if (!fill(lines))
            return LINES_FAILED;
    }
}
