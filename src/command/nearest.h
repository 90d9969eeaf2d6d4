/** The word nearest to a misspelt one. */
#ifndef FL_COMMAND_NEAREST_H
#define FL_COMMAND_NEAREST_H

#include <stddef.h>

/** The entry of words [count] nearest to wrong [length] by edit distance; NULL if none is near. */
const char *fl_nearest_word(const char *wrong, size_t length, const char *const *words,
                            size_t count);

#endif
