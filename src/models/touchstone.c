/* Touchstone text line by line: comments, line ends, and which part of the file a line is in. */
#include "models/touchstone.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/file.h"

void fl_touchstone_place(char place[256], const char *file, size_t line)
{
    /* Of a long path the end is kept, so that the line is not lost. */
    const size_t most = 224;
    const size_t length = strlen(file);
    const bool whole = length <= most;
    snprintf(place, 256, "%s%s:%zu", whole ? "" : "...", whole ? file : file + (length - most),
             line);
}

fl_status fl_touchstone_fail(fl_touchstone_reader *reader, const char *format, ...)
{
    char place[256];
    char message[384];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    fl_touchstone_place(place, reader->file, reader->line);
    return fl_fail(reader->error, FL_BAD_INPUT, place, "%s", message);
}

/** Takes the next line, without its end, off the front of the text. */
static fl_span next_line(fl_span *rest)
{
    fl_span line = {rest->begin, rest->begin};
    while (line.end < rest->end && *line.end != '\n' && *line.end != '\r')
        ++line.end;
    rest->begin = line.end;
    if (rest->begin < rest->end && *rest->begin == '\r')
        ++rest->begin;
    if (rest->begin < rest->end && *rest->begin == '\n' &&
        (rest->begin == line.end || rest->begin[-1] == '\r'))
        ++rest->begin;
    return line;
}

static fl_span without_comment(fl_span line)
{
    const char *mark = memchr(line.begin, '!', (size_t)(line.end - line.begin));
    if (mark)
        line.end = mark;
    return line;
}

static fl_status read_numbers(fl_touchstone_reader *reader, fl_span line)
{
    if (reader->reference_open)
        return fl_touchstone_reference(reader, line);
    if (reader->stage == FL_STAGE_HEAD) {
        if (reader->version > 1)
            return fl_touchstone_fail(reader, "numbers stand before '[Network Data]'");
        if (!reader->has_option)
            return fl_touchstone_fail(reader, "an option line, such as '# GHz S MA R 50', was "
                                              "expected before the data");
        const fl_status status = fl_touchstone_begin(reader);
        if (status != FL_OK)
            return status;
    }
    if (reader->stage == FL_STAGE_NOISE && reader->version > 1)
        return FL_OK;
    return fl_touchstone_data(reader, line);
}

static fl_status read_line(fl_touchstone_reader *reader, fl_span line)
{
    if (memchr(line.begin, '\0', (size_t)(line.end - line.begin)))
        return fl_touchstone_fail(reader, "plain text was expected, found a byte of value 0");
    line = fl_span_trimmed(without_comment(line));
    if (fl_span_empty(line))
        return FL_OK;
    if (reader->stage == FL_STAGE_INFORMATION)
        return *line.begin == '[' ? fl_touchstone_keyword(reader, line) : FL_OK;
    if (reader->stage == FL_STAGE_END)
        return fl_touchstone_fail(reader, "nothing was expected after '[End]'");
    if (*line.begin == '#')
        return fl_touchstone_option(reader, (fl_span){line.begin + 1, line.end});
    if (*line.begin == '[')
        return fl_touchstone_keyword(reader, line);
    return read_numbers(reader, line);
}

static fl_status read_end(fl_touchstone_reader *reader)
{
    if (reader->stage == FL_STAGE_INFORMATION)
        return fl_touchstone_fail(reader, "the file ends without '[End Information]'");
    const fl_status status = fl_touchstone_whole(reader);
    if (status != FL_OK)
        return status;
    if (reader->version > 1 && reader->stage != FL_STAGE_END)
        return fl_touchstone_fail(reader, "the file ends without '[End]'");
    const size_t count = reader->touchstone->count;
    if (count < 2)
        return fl_touchstone_fail(reader,
                                  "data at two frequencies or more were expected, "
                                  "found %s",
                                  count ? "only one" : "none");
    return FL_OK;
}

static fl_status read_text(fl_touchstone_reader *reader, fl_span rest)
{
    /* A byte-order mark is no part of the text. */
    if (rest.end - rest.begin >= 3 && memcmp(rest.begin, "\xEF\xBB\xBF", 3) == 0)
        rest.begin += 3;
    do {
        ++reader->line;
        const fl_status status = read_line(reader, next_line(&rest));
        if (status != FL_OK)
            return status;
    } while (rest.begin < rest.end);
    return read_end(reader);
}

/** Number of ports that an extension .sNp names; 0 if it is another one; too many: FL_BAD_INPUT. */
static fl_status name_ports(fl_touchstone_reader *reader)
{
    const char *name = fl_path_name(reader->file);
    const char *dot = strrchr(name, '.');
    if (!dot || (dot[1] != 's' && dot[1] != 'S'))
        return FL_OK;
    const char *p = dot + 2;
    size_t ports = 0;
    for (; *p >= '0' && *p <= '9'; ++p)
        ports = ports > FL_TOUCHSTONE_PORTS ? ports : ports * 10 + (size_t)(*p - '0');
    if (p == dot + 2 || (*p != 'p' && *p != 'P') || p[1] != '\0')
        return FL_OK;
    reader->named_ports = ports;
    if (ports >= 1 && ports <= FL_TOUCHSTONE_PORTS)
        return FL_OK;
    return fl_touchstone_fail(reader, "1 to %d ports were expected, the name ends in '%.20s'",
                              FL_TOUCHSTONE_PORTS, dot);
}

fl_status fl_touchstone_parse(fl_touchstone *touchstone, const char *text, size_t length,
                              const char *file, fl_error *error)
{
    fl_touchstone read = {0};
    fl_touchstone_reader reader = {
        .touchstone = &read,
        .file = file,
        .line = 1,
        .error = error,
        .version = 1,
        .exponent = 9,
    };
    fl_status status = name_ports(&reader);
    if (status != FL_OK)
        goto cleanup;
    reader.line = 0;
    status = read_text(&reader, (fl_span){text, text + length});
    if (status != FL_OK)
        goto cleanup;
    *touchstone = read;
    read = (fl_touchstone){0};
cleanup:
    fl_memory_free(reader.block);
    fl_touchstone_release(&read);
    return status;
}

void fl_touchstone_release(fl_touchstone *touchstone)
{
    fl_memory_free(touchstone->reference);
    fl_memory_free(touchstone->frequencies);
    fl_memory_free(touchstone->lines);
    fl_memory_free(touchstone->matrices);
    *touchstone = (fl_touchstone){0};
}
