/** A JSON writer. */
#include "reports/stream.h"

#include <inttypes.h>
#include <math.h>

void fl_stream_init(fl_stream *stream, fl_text *text)
{
    *stream = (fl_stream){.text = text};
}

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

void fl_stream_open(fl_stream *stream, char bracket, bool flat)
{
    separate(stream);
    fl_text_add_bytes(stream->text, &bracket, 1);
    stream->flat[stream->depth + 1] = flat || stream->flat[stream->depth];
    stream->depth++;
    stream->filled[stream->depth] = false;
}

void fl_stream_close(fl_stream *stream, char bracket)
{
    const int depth = stream->depth--;
    if (stream->filled[depth] && !stream->flat[depth])
        start_line(stream);
    fl_text_add_bytes(stream->text, &bracket, 1);
}

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

void fl_stream_key(fl_stream *stream, const char *key)
{
    separate(stream);
    add_quoted(stream->text, key);
    fl_text_add(stream->text, ": ");
    stream->keyed = true;
}

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

void fl_stream_number(fl_stream *stream, double number)
{
    char digits[FL_NUMBER_ROOM] = "null";
    separate(stream);
    if (isfinite(number))
        fl_number_text(digits, number);
    fl_text_add(stream->text, digits);
}

void fl_stream_integer(fl_stream *stream, uint64_t integer)
{
    separate(stream);
    fl_text_print(stream->text, "%" PRIu64, integer);
}

void fl_stream_string(fl_stream *stream, const char *string)
{
    separate(stream);
    if (string)
        add_quoted(stream->text, string);
    else
        fl_text_add(stream->text, "null");
}

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
