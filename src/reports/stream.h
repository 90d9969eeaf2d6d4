/**
 * A JSON writer: values go straight into a text, with commas, line ends and indentation put in.
 * Numbers are written so that they read back the same; what is not finite becomes null.
 */
#ifndef FL_REPORTS_STREAM_H
#define FL_REPORTS_STREAM_H

#include <stdint.h>

#include "base/text.h"

/** Deepest nesting. */
enum { FL_STREAM_DEPTH = 16 };

typedef struct fl_stream {
    fl_text *text; /* borrowed; remembers failures of memory */
    int depth;
    bool keyed;                   /* a key waits for its value */
    bool filled[FL_STREAM_DEPTH]; /* something is in the container at this depth */
    bool flat[FL_STREAM_DEPTH];   /* on one line */
} fl_stream;

void fl_stream_init(fl_stream *stream, fl_text *text);

/** Opens an object '{' or array '['; flat: on one line, with all that is in it. */
void fl_stream_open(fl_stream *stream, char bracket, bool flat);
/** Closes the innermost container with '}' or ']'. */
void fl_stream_close(fl_stream *stream, char bracket);

/** Key of the next value; in objects only. */
void fl_stream_key(fl_stream *stream, const char *key);

void fl_stream_null(fl_stream *stream);
void fl_stream_truth(fl_stream *stream, bool truth);
void fl_stream_number(fl_stream *stream, double number); /* null if not finite */
void fl_stream_integer(fl_stream *stream, uint64_t integer);
void fl_stream_string(fl_stream *stream, const char *string); /* null if NULL */

/** A key with its value. */
void fl_stream_number_at(fl_stream *stream, const char *key, double number);
void fl_stream_integer_at(fl_stream *stream, const char *key, uint64_t integer);
void fl_stream_string_at(fl_stream *stream, const char *key, const char *string);

#endif
