/* The data of a Touchstone file: numbers, gathered to one matrix a frequency. */
#include <math.h>

#include "base/arena.h"
#include "models/touchstone.h"

static const double degree = 0.017453292519943295; /* pi / 180 */

/* Bounds that keep sums and products of data finite. */
static const double largest_value = 1e30;
static const double smallest_frequency = 1e-6;
static const double largest_frequency = 1e18;

enum { NOISE_NUMBERS = 5 }; /* of one noise frequency */

/* ---- making ready ---- */

static size_t block_numbers(size_t ports, fl_touchstone_shape shape)
{
    return 1 + (shape == FL_SHAPE_FULL ? 2 * ports * ports : ports * (ports + 1));
}

static fl_status choose_ports(fl_touchstone_reader *reader)
{
    fl_touchstone *touchstone = reader->touchstone;
    if (touchstone->ports == 0)
        touchstone->ports = reader->named_ports;
    if (touchstone->ports == 0)
        return fl_touchstone_fail(reader, "the number of ports is not known: an extension such as "
                                          "'.s2p' or '[Number of Ports]' was expected");
    const size_t count = reader->option_reference_count;
    if (count > 1 && count != touchstone->ports)
        return fl_touchstone_fail(reader, "the option line has %zu resistances for %zu ports",
                                  count, touchstone->ports);
    if (count > 1 && touchstone->kind != FL_TOUCHSTONE_S)
        return fl_touchstone_fail(reader,
                                  "the option line has %zu resistances: S was expected, "
                                  "found another parameter",
                                  count);
    return FL_OK;
}

/* Of two ports by definition; of a reciprocal network m12 = -m21, which no triangle can say. */
static fl_status check_hybrid(fl_touchstone_reader *reader)
{
    const fl_touchstone *touchstone = reader->touchstone;
    if (touchstone->kind != FL_TOUCHSTONE_H && touchstone->kind != FL_TOUCHSTONE_G)
        return FL_OK;
    if (touchstone->ports != 2)
        return fl_touchstone_fail(reader, "H and G parameters are of 2 ports, found %zu",
                                  touchstone->ports);
    if (reader->shape != FL_SHAPE_FULL)
        return fl_touchstone_fail(reader, "H and G parameters need the matrix format 'Full'");
    return FL_OK;
}

/** [Reference], else what the option line says, else 50 ohm. */
static double reference_of(const fl_touchstone_reader *reader, size_t port)
{
    if (reader->reference_count > 0)
        return reader->reference[port];
    if (reader->option_reference_count > 1)
        return reader->option_reference[port];
    return reader->option_reference_count == 1 ? reader->option_reference[0] : 50.0;
}

fl_status fl_touchstone_begin(fl_touchstone_reader *reader)
{
    fl_touchstone *touchstone = reader->touchstone;
    fl_status status = choose_ports(reader);
    if (status == FL_OK)
        status = check_hybrid(reader);
    if (status != FL_OK)
        return status;
    touchstone->reference = fl_memory_take(touchstone->ports, sizeof *touchstone->reference);
    reader->block_size = block_numbers(touchstone->ports, reader->shape);
    reader->block = fl_memory_take(reader->block_size, sizeof *reader->block);
    if (!touchstone->reference || !reader->block)
        return fl_fail_memory(reader->error);
    for (size_t i = 0; i < touchstone->ports; ++i)
        touchstone->reference[i] = reference_of(reader, i);
    touchstone->normalised = reader->version == 1 && touchstone->kind != FL_TOUCHSTONE_S;
    reader->stage = FL_STAGE_DATA;
    return FL_OK;
}

/* ---- one frequency ---- */

enum { FIRST_ROOM = 16 };

static fl_status make_room(fl_touchstone_reader *reader)
{
    fl_touchstone *t = reader->touchstone;
    const size_t room = t->room ? 2 * t->room : FIRST_ROOM;
    const size_t matrix = t->ports * t->ports * sizeof *t->matrices;
    if (t->count < t->room)
        return FL_OK;
    double *frequencies =
        fl_memory_grow(t->frequencies, t->room * sizeof *frequencies, room, sizeof *frequencies);
    if (!frequencies)
        return fl_fail_memory(reader->error);
    t->frequencies = frequencies;
    size_t *lines = fl_memory_grow(t->lines, t->room * sizeof *lines, room, sizeof *lines);
    if (!lines)
        return fl_fail_memory(reader->error);
    t->lines = lines;
    double(*matrices)[2] = fl_memory_grow(t->matrices, t->room * matrix, room, matrix);
    if (!matrices)
        return fl_fail_memory(reader->error);
    t->matrices = matrices;
    t->room = room;
    return FL_OK;
}

static void put(fl_touchstone *touchstone, size_t row, size_t column, const double pair[2])
{
    const size_t ports = touchstone->ports;
    double *to = touchstone->matrices[(touchstone->count * ports + row) * ports + column];
    to[0] = pair[0];
    to[1] = pair[1];
}

static void put_triangle(fl_touchstone *touchstone, const double *pair, bool lower)
{
    for (size_t i = 0; i < touchstone->ports; ++i) {
        const size_t first = lower ? 0 : i;
        const size_t last = lower ? i : touchstone->ports - 1;
        for (size_t j = first; j <= last; ++j, pair += 2) {
            put(touchstone, i, j, pair);
            put(touchstone, j, i, pair);
        }
    }
}

static void put_full(fl_touchstone *touchstone, const double *pair, bool by_columns)
{
    for (size_t i = 0; i < touchstone->ports; ++i)
        for (size_t j = 0; j < touchstone->ports; ++j, pair += 2)
            put(touchstone, by_columns ? j : i, by_columns ? i : j, pair);
}

static fl_status close_block(fl_touchstone_reader *reader)
{
    fl_touchstone *touchstone = reader->touchstone;
    const fl_status status = make_room(reader);
    if (status != FL_OK)
        return status;
    touchstone->frequencies[touchstone->count] = reader->block[0];
    touchstone->lines[touchstone->count] = reader->block_line;
    if (reader->shape == FL_SHAPE_FULL)
        put_full(touchstone, reader->block + 1, touchstone->ports == 2 && !reader->order_12_21);
    else
        put_triangle(touchstone, reader->block + 1, reader->shape == FL_SHAPE_LOWER);
    ++touchstone->count;
    reader->filled = 0;
    return FL_OK;
}

static fl_status open_block(fl_touchstone_reader *reader, fl_span word)
{
    const fl_touchstone *touchstone = reader->touchstone;
    char shown[FL_SHOWN_ROOM];
    double frequency = 0.0;
    const fl_status status = fl_touchstone_number(&frequency, reader, word, reader->exponent);
    if (status != FL_OK)
        return status;
    fl_span_show(shown, word);
    if (frequency != 0.0 && !(frequency >= smallest_frequency && frequency <= largest_frequency))
        return fl_touchstone_fail(reader,
                                  "a frequency of 0 or from 1e-6 Hz to 1e18 Hz was "
                                  "expected, found '%s'",
                                  shown);
    if (touchstone->count > 0 && !(frequency > touchstone->frequencies[touchstone->count - 1]))
        return fl_touchstone_fail(reader,
                                  "a frequency above that of line %zu was expected, found "
                                  "'%s'",
                                  touchstone->lines[touchstone->count - 1], shown);
    if (reader->version > 1 && touchstone->count == reader->declared)
        return fl_touchstone_fail(reader, "data at more than the %zu frequencies declared",
                                  reader->declared);
    reader->block[0] = fabs(frequency);
    reader->filled = 1;
    reader->block_line = reader->line;
    reader->split_line = 0;
    return FL_OK;
}

/** Turns the pair just completed into real and imaginary part. */
static fl_status close_pair(fl_touchstone_reader *reader)
{
    double *pair = reader->block + reader->filled - 2;
    if (reader->format != FL_FORMAT_RI) {
        const double magnitude =
            reader->format == FL_FORMAT_DB ? pow(10.0, pair[0] / 20.0) : pair[0];
        const double angle = fmod(pair[1], 360.0) * degree;
        pair[0] = magnitude * cos(angle);
        pair[1] = magnitude * sin(angle);
    }
    if (!(fabs(pair[0]) <= largest_value && fabs(pair[1]) <= largest_value))
        return fl_touchstone_fail(reader, "a value is too large: at most 1e30 was expected");
    return FL_OK;
}

static fl_status add_value(fl_touchstone_reader *reader, fl_span word)
{
    fl_status status = fl_touchstone_number(&reader->block[reader->filled], reader, word, 0);
    if (status != FL_OK)
        return status;
    ++reader->filled;
    if (reader->filled % 2 == 1)
        status = close_pair(reader);
    if (status == FL_OK && reader->filled == reader->block_size)
        status = close_block(reader);
    return status;
}

/* ---- lines ---- */

static size_t count_words(fl_span line)
{
    size_t count = 0;
    for (fl_span word = fl_span_word(&line); !fl_span_empty(word); word = fl_span_word(&line))
        ++count;
    return count;
}

/** More numbers behind the last one of a frequency: points at the line that is likely wrong. */
static fl_status fail_mid_line(fl_touchstone_reader *reader, fl_span line)
{
    const size_t here = reader->line;
    if (reader->block_line == here)
        return fl_touchstone_fail(reader,
                                  "%zu numbers were expected for a frequency of %zu-port "
                                  "data, found %zu",
                                  reader->block_size, reader->touchstone->ports, count_words(line));
    reader->line = reader->split_line ? reader->split_line : reader->block_line;
    return fl_touchstone_fail(reader,
                              "the %zu numbers of the frequency at line %zu end inside line "
                              "%zu: a number is missing or one too many",
                              reader->block_size, reader->block_line, here);
}

/** In version 1 noise data begin where the frequency drops; a line of them has five numbers. */
static fl_status noise_begins(bool *begins, fl_touchstone_reader *reader, fl_span line)
{
    const fl_touchstone *touchstone = reader->touchstone;
    double frequency = 0.0;
    if (reader->version > 1 || touchstone->ports != 2 || touchstone->count == 0 ||
        count_words(line) != NOISE_NUMBERS)
        return FL_OK;
    const fl_status status =
        fl_touchstone_number(&frequency, reader, fl_span_word(&line), reader->exponent);
    *begins = status == FL_OK && frequency <= touchstone->frequencies[touchstone->count - 1];
    return status;
}

/** A line of noise data: looked at, but not kept. */
static fl_status pass_noise(fl_touchstone_reader *reader, fl_span line)
{
    const size_t count = count_words(line);
    if (count != NOISE_NUMBERS)
        return fl_touchstone_fail(reader, "%d numbers of noise data were expected, found %zu",
                                  NOISE_NUMBERS, count);
    fl_status status = FL_OK;
    for (size_t i = 0; i < count && status == FL_OK; ++i) {
        double ignored = 0.0;
        status = fl_touchstone_number(&ignored, reader, fl_span_word(&line), 0);
    }
    return status;
}

fl_status fl_touchstone_data(fl_touchstone_reader *reader, fl_span line)
{
    fl_span rest = line;
    fl_status status = FL_OK;
    bool noise = reader->stage == FL_STAGE_NOISE;
    if (!noise && reader->filled == 0)
        status = noise_begins(&noise, reader, line);
    if (status != FL_OK)
        return status;
    if (noise) {
        reader->stage = FL_STAGE_NOISE;
        return pass_noise(reader, line);
    }
    for (fl_span word = fl_span_word(&rest); !fl_span_empty(word); word = fl_span_word(&rest)) {
        if (reader->filled == 0 && word.begin != line.begin)
            return fail_mid_line(reader, line);
        status = reader->filled == 0 ? open_block(reader, word) : add_value(reader, word);
        if (status != FL_OK)
            return status;
    }
    if (reader->filled > 0 && reader->filled % 2 == 0 && reader->split_line == 0)
        reader->split_line = reader->line;
    return FL_OK;
}

fl_status fl_touchstone_whole(fl_touchstone_reader *reader)
{
    const size_t count = reader->touchstone->count;
    if (reader->filled > 0) {
        reader->line = reader->split_line ? reader->split_line : reader->block_line;
        return fl_touchstone_fail(reader,
                                  "%zu numbers were expected for the frequency at line "
                                  "%zu, found %zu",
                                  reader->block_size, reader->block_line, reader->filled);
    }
    if (reader->version > 1 && reader->stage == FL_STAGE_DATA && count != reader->declared)
        return fl_touchstone_fail(reader, "data at %zu frequencies were declared, found %zu",
                                  reader->declared, count);
    return FL_OK;
}
