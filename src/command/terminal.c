/** The terminal behind standard output: whether there is one, how wide it is, what it can show. */
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "command/verb.h"

enum { USUAL = 80, WIDEST = 1000 };

/** A pipe or a file gets no plot, so that what programs read does not depend on where they run. */
bool fl_is_terminal(void)
{
    return isatty(STDOUT_FILENO);
}

/** COLUMNS goes before what the terminal says, as it is the user's word. */
int fl_terminal_columns(void)
{
    struct winsize size;
    const char *told = getenv("COLUMNS");
    const long columns = told ? strtol(told, NULL, 10) : 0;
    if (columns > 0)
        return columns < WIDEST ? (int)columns : WIDEST;
    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        return size.ws_col;
    return USUAL;
}

/** Whether a locale's name ends in that of UTF-8, in either spelling. */
static bool is_utf8(const char *locale)
{
    const char *code = strrchr(locale, '.');
    const char *known[] = {".utf-8", ".utf8"};
    for (size_t i = 0; code && i < 2; i++)
        if (strncasecmp(code, known[i], strlen(known[i])) == 0)
            return true;
    return false;
}

/** The first of the locale's variables that is set says it, as POSIX has it. */
bool fl_terminal_blocks(void)
{
    static const char *const NAMES[] = {"LC_ALL", "LC_CTYPE", "LANG"};
    const char *terminal = getenv("TERM");
    if (!terminal || !terminal[0] || strcmp(terminal, "dumb") == 0)
        return false;
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++) {
        const char *locale = getenv(NAMES[i]);
        if (locale && locale[0])
            return is_utf8(locale);
    }
    return false;
}
