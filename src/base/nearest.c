/* The word that was probably meant. */
#include <string.h>

#include "base/text.h"

/* Longer words than any key or name of a kind are not compared. */
enum { WORD_ROOM = 64 };

/* ASCII alone: keys and kinds are, and the host's locale must not matter. */
static char lower(char c)
{
    return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

static bool same(char a, char b)
{
    return lower(a) == lower(b);
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Insertions, deletions, changes and swaps of neighbours, one step each. */
static size_t distance(const char *a, size_t a_length, const char *b, size_t b_length)
{
    /* [Damerau1964], restricted: no stretch is changed twice. Three rows are enough, the row in
     * hand, the one above, and for swaps the one above that. */
    size_t rows[3][WORD_ROOM + 1];
    for (size_t j = 0; j <= b_length; j++)
        rows[0][j] = j;
    for (size_t i = 1; i <= a_length; i++) {
        size_t *row = rows[i % 3];
        const size_t *above = rows[(i + 2) % 3];
        const size_t *second = rows[(i + 1) % 3];
        row[0] = i;
        for (size_t j = 1; j <= b_length; j++) {
            row[j] =
                least(least(above[j], row[j - 1]) + 1, above[j - 1] + !same(a[i - 1], b[j - 1]));
            if (i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1]))
                row[j] = least(row[j], second[j - 2] + 1);
        }
    }
    return rows[a_length % 3][b_length];
}

const char *fl_nearest(const char *wrong, const char *const *words, size_t count)
{
    size_t length = strlen(wrong);
    const char *nearest = NULL;
    size_t fewest = WORD_ROOM;
    for (size_t i = 0; i < count; i++) {
        size_t other = strlen(words[i]);
        if (length > WORD_ROOM || other > WORD_ROOM)
            continue;
        size_t steps = distance(wrong, length, words[i], other);
        /* Strictly fewer: of words equally near the first is taken. */
        if (steps < fewest && 3 * steps <= (length > other ? length : other)) {
            fewest = steps;
            nearest = words[i];
        }
    }
    return nearest;
}
