/**
 * The word nearest to a misspelt one. The command has its own, as it uses the public header
 * alone.
 */
#include "command/nearest.h"

#include <string.h>

/* Longest word that is compared; no verb or option comes near. */
enum { LONGEST = 24 };

/** The smaller of two. */
static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/** Insertions, deletions and changes that turn one word into the other, row by row. */
static size_t distance(const char *a, size_t a_length, const char *b, size_t b_length)
{
    size_t row[LONGEST + 1];
    for (size_t j = 0; j <= b_length; j++)
        row[j] = j;
    for (size_t i = 1; i <= a_length; i++) {
        size_t diagonal = row[0];
        row[0] = i;
        for (size_t j = 1; j <= b_length; j++) {
            const size_t changed = diagonal + (a[i - 1] != b[j - 1]);
            diagonal = row[j];
            row[j] = least(changed, least(row[j], row[j - 1]) + 1);
        }
    }
    return row[b_length];
}

/** A third of the letters may differ; with more, a guess misleads. */
const char *fl_nearest_word(const char *wrong, size_t length, const char *const *words,
                            size_t count)
{
    const char *nearest = NULL;
    size_t shortest = length / 3 + 1;
    if (length > LONGEST)
        return NULL;
    for (size_t i = 0; i < count; i++) {
        const size_t away = distance(wrong, length, words[i], strlen(words[i]));
        if (away > shortest || (away == shortest && nearest))
            continue;
        nearest = words[i];
        shortest = away;
    }
    return nearest;
}
