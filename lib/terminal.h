/*
 * What the terminal behind a stream can show. Beside cli this alone asks the environment.
 */
#ifndef GYLE_TERMINAL_H
#define GYLE_TERMINAL_H

#include <stdbool.h>
#include <stddef.h>

/* The columns of the terminal that standard error is, 80 where it does not say; 0: it is none. */
size_t terminal_width(void);

/* May standard error be coloured? Not when it is no terminal, nor with NO_COLOR or TERM=dumb, nor in
 * Emacs, which shows the codes as text. */
bool terminal_takes_colour(void);

/* Does the terminal say that it takes UTF-8? By the first of LC_ALL, LC_CTYPE and LANG that is set.
 */
bool terminal_takes_utf8(void);

#endif
