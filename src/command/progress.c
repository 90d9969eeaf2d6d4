/**
 * Progress on one line of a terminal, and interrupts. The flag is the only thing a signal handler
 * may touch, and why there is a variable outside all functions.
 */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/verb.h"

/* Width that is cleared; no stage's line is longer. */
enum { WIDTH = 40 };

/* Set by the handler, which may touch nothing else. */
static volatile sig_atomic_t interrupted;

/** What stands on the line. */
static struct shown {
    bool wanted, any;
    char text[WIDTH + 1];
} shown;

/** Sets the flag and nothing more. */
static void note_interrupt(int number)
{
    (void)number;
    interrupted = 1;
}

/** The handler serves once: a second interrupt ends the program. A batch system's wish to end is an
 * interrupt as any other. */
static void catch_interrupts(void)
{
    struct sigaction before;
    struct sigaction action = {.sa_handler = note_interrupt};
    sigemptyset(&action.sa_mask);
    action.sa_flags = (int)SA_RESETHAND;
    if (sigaction(SIGINT, NULL, &before) == 0 && before.sa_handler != SIG_IGN)
        sigaction(SIGINT, &action, NULL);
    if (sigaction(SIGTERM, NULL, &before) == 0 && before.sa_handler != SIG_IGN)
        sigaction(SIGTERM, &action, NULL);
}

/** A terminal that can go back to the start of its line. */
static bool is_terminal(void)
{
    const char *terminal = getenv("TERM");
    return isatty(STDERR_FILENO) && terminal && strcmp(terminal, "dumb") != 0;
}

/** Asked by studies, one thread at a time; writes only when the text has changed. */
static int show_progress(void *payload, const char *stage, double done)
{
    char text[WIDTH + 1];
    (void)payload;
    if (shown.wanted) {
        snprintf(text, sizeof text, "%s %3.0f %%", stage, 100.0 * done);
        if (strcmp(text, shown.text) != 0)
            fprintf(stderr, "\r%-*s", WIDTH, text);
        memcpy(shown.text, text, sizeof text);
        shown.any = true;
    }
    return interrupted != 0;
}

/** Interrupts are caught also where progress is not shown. */
void fl_watch(fl_options *options, bool quiet)
{
    catch_interrupts();
    shown.wanted = !quiet && is_terminal();
    options->progress = show_progress;
}

/** Leaves the line as it was found. */
void fl_watch_end(void)
{
    if (shown.any)
        fprintf(stderr, "\r%*s\r", WIDTH, "");
    shown.any = false;
}
