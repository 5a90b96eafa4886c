#include "terminal.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/ioctl.h>
#include <unistd.h>

size_t terminal_width(void)
{
    struct winsize size;
    if (!isatty(STDERR_FILENO))
        return 0;
    return ioctl(STDERR_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : 80;
}

bool terminal_takes_colour(void)
{
    const char *no_colour = getenv("NO_COLOR"), *terminal = getenv("TERM");
    return isatty(STDERR_FILENO) && (no_colour == NULL || no_colour[0] == '\0') &&
           !(terminal != NULL && strcmp(terminal, "dumb") == 0) && getenv("INSIDE_EMACS") == NULL;
}

bool terminal_takes_utf8(void)
{
    static const char *const VARIABLES[] = {"LC_ALL", "LC_CTYPE", "LANG"};
    const char *value = NULL;
    for (size_t i = 0; i < sizeof VARIABLES / sizeof VARIABLES[0]; i++)
        if (value == NULL || value[0] == '\0')
            value = getenv(VARIABLES[i]);
    for (; value != NULL && value[0] != '\0'; value++)
        if (strncasecmp(value, "UTF-8", 5) == 0 || strncasecmp(value, "UTF8", 4) == 0)
            return true;
    return false;
}
