/**
 * A JSON writer. The library that reads JSON prints numbers that do not read back the same, so
 * results are not written with it.
 */
#include "reports/stream.h"

#include <inttypes.h>
#include <math.h>

void fl_stream_init(fl_stream *stream, fl_text *text)
{
    *stream = (fl_stream){.text = text};
}

/** Two spaces a level. */
static void start_line(fl_stream *stream)
{
    fl_text_add(stream->text, "\n");
    for (int i = 0; i < stream->depth; i++)
        fl_text_add(stream->text, "  ");
}

/** What stands before a key, or before a value without one. */
static void separate(fl_stream *stream)
{
    const int depth = stream->depth;
    if (stream->keyed) {
        stream->keyed = false;
        return;
    }
    if (stream->filled[depth])
        fl_text_add(stream->text, stream->flat[depth] ? ", " : ",");
    if (depth > 0 && !stream->flat[depth])
        start_line(stream);
    stream->filled[depth] = true;
}

/** A container in a flat one is flat: its parent's line would be broken otherwise. */
void fl_stream_open(fl_stream *stream, char bracket, bool flat)
{
    separate(stream);
    fl_text_add_bytes(stream->text, &bracket, 1);
    stream->flat[stream->depth + 1] = flat || stream->flat[stream->depth];
    stream->depth++;
    stream->filled[stream->depth] = false;
}

/** An empty container closes where it was opened. */
void fl_stream_close(fl_stream *stream, char bracket)
{
    const int depth = stream->depth--;
    if (stream->filled[depth] && !stream->flat[depth])
        start_line(stream);
    fl_text_add_bytes(stream->text, &bracket, 1);
}

/** Escapes what RFC 8259 demands, and DEL, which terminals take for a command. UTF-8 goes through
 * as it is. */
static void add_quoted(fl_text *text, const char *string)
{
    fl_text_add(text, "\"");
    for (const char *c = string; *c; c++) {
        if (*c == '"' || *c == '\\')
            fl_text_add(text, "\\");
        if ((unsigned char)*c < 0x20 || *c == 0x7F)
            fl_text_print(text, "\\u%04x", (unsigned)(unsigned char)*c);
        else
            fl_text_add_bytes(text, c, 1);
    }
    fl_text_add(text, "\"");
}

/** The value that follows must not be separated from its key. */
void fl_stream_key(fl_stream *stream, const char *key)
{
    separate(stream);
    add_quoted(stream->text, key);
    fl_text_add(stream->text, ": ");
    stream->keyed = true;
}

/* What is not known has its place all the same. */
void fl_stream_null(fl_stream *stream)
{
    separate(stream);
    fl_text_add(stream->text, "null");
}

void fl_stream_truth(fl_stream *stream, bool truth)
{
    separate(stream);
    fl_text_add(stream->text, truth ? "true" : "false");
}

/** The shortest decimal that reads back as the same number: no digit is lost or made up. */
void fl_stream_number(fl_stream *stream, double number)
{
    char digits[FL_NUMBER_ROOM] = "null";
    separate(stream);
    if (isfinite(number))
        fl_number_text(digits, number);
    fl_text_add(stream->text, digits);
}

/** Whole, beyond the 53 bits of a double too: a seed may have 63. */
void fl_stream_integer(fl_stream *stream, uint64_t integer)
{
    separate(stream);
    fl_text_print(stream->text, "%" PRIu64, integer);
}

/* UTF-8, or null for no text. */
void fl_stream_string(fl_stream *stream, const char *string)
{
    separate(stream);
    if (string)
        add_quoted(stream->text, string);
    else
        fl_text_add(stream->text, "null");
}

/* A key with its value, for the most frequent of all lines. */
void fl_stream_number_at(fl_stream *stream, const char *key, double number)
{
    fl_stream_key(stream, key);
    fl_stream_number(stream, number);
}

void fl_stream_integer_at(fl_stream *stream, const char *key, uint64_t integer)
{
    fl_stream_key(stream, key);
    fl_stream_integer(stream, integer);
}

void fl_stream_string_at(fl_stream *stream, const char *key, const char *string)
{
    fl_stream_key(stream, key);
    fl_stream_string(stream, string);
}
