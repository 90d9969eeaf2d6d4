/**
 * What the pictures of a page are drawn from, as one JSON object. Losses are to a millionth of a
 * decibel and reflections to a millionth, which no picture can show, so that a page stays small.
 */
#include <math.h>

#include "reports/json.h"

static const unsigned PERCENTS[FL_ENVELOPE_PERCENTS] = FL_ENVELOPE_LIST;

/** Six decimals; what is not known stays so. */
static double rounded(double value)
{
    return floor(value * 1e6 + 0.5) / 1e6;
}

/** A key with a list of numbers. */
static void write_numbers(fl_stream *json, const char *key, const double *values, size_t count)
{
    fl_stream_key(json, key);
    fl_stream_open(json, '[', true);
    for (size_t i = 0; i < count; i++)
        fl_stream_number(json, rounded(values[i]));
    fl_stream_close(json, ']');
}

/** A key with a list of texts, one a line. */
static void write_texts(fl_stream *json, const char *key, const char *const *texts, size_t count)
{
    fl_stream_key(json, key);
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < count; i++)
        fl_stream_string(json, texts[i]);
    fl_stream_close(json, ']');
}

/** Both losses; null if they were not computed. */
static void write_losses(fl_stream *json, const char *key, const fl_result_losses *losses,
                         size_t count)
{
    fl_stream_key(json, key);
    if (!losses->return_loss_db) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    write_numbers(json, "return loss dB", losses->return_loss_db, count);
    write_numbers(json, "insertion loss dB", losses->insertion_loss_db, count);
    fl_stream_close(json, '}');
}

/** An object whose keys are the percents, as those of a yield: so much of the parts have no more at
 * a frequency. */
static void write_percents(fl_stream *json, const char *key,
                           double *const values[FL_ENVELOPE_PERCENTS], size_t count)
{
    fl_stream_key(json, key);
    fl_stream_open(json, '{', false);
    for (size_t p = 0; p < FL_ENVELOPE_PERCENTS; p++) {
        char percent[FL_NUMBER_ROOM];
        fl_number_text(percent, PERCENTS[p]);
        write_numbers(json, percent, values[p], count);
    }
    fl_stream_close(json, '}');
}

/** Percents of both losses; null where nothing varies. */
static void write_envelope(fl_stream *json, const fl_result_envelope *envelope, size_t count)
{
    fl_stream_key(json, "envelope");
    if (!envelope->return_loss_db[0]) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    write_percents(json, "return loss dB", envelope->return_loss_db, count);
    write_percents(json, "insertion loss dB", envelope->insertion_loss_db, count);
    fl_stream_close(json, '}');
}

/** Far beyond the band; null if the path has no response there. */
static void write_wide(fl_stream *json, const fl_result_picture *picture, size_t count)
{
    fl_stream_key(json, "wide");
    if (!picture->wide_present.return_loss_db) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    write_losses(json, "present", &picture->wide_present, count);
    write_losses(json, "uncompensated", &picture->wide_uncompensated, count);
    fl_stream_close(json, '}');
}

/** One section: its way as pairs of real and imaginary part. The way begins where that of the
 * section before ended, a point that is not written again. */
static void write_step(fl_stream *json, const char *section, const fl_walk_step *step)
{
    fl_stream_open(json, '{', true);
    fl_stream_string_at(json, "section", section);
    fl_stream_key(json, "reflection");
    fl_stream_open(json, '[', true);
    for (size_t i = 0; i < step->count; i++) {
        fl_stream_open(json, '[', true);
        fl_stream_number(json, rounded(step->reflection[i][0]));
        fl_stream_number(json, rounded(step->reflection[i][1]));
        fl_stream_close(json, ']');
    }
    fl_stream_close(json, ']');
    fl_stream_close(json, '}');
}

/** The impedance on its way from the die to the board, a walk a frequency. */
static void write_walks(fl_stream *json, const fl_result_picture *picture)
{
    fl_stream_key(json, "smith");
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < FL_WALKS; i++) {
        const fl_walk *walk = &picture->walks[i];
        if (walk->step_count == 0)
            continue;
        fl_stream_open(json, '{', false);
        fl_stream_number_at(json, "frequency Hz", walk->frequency);
        fl_stream_number_at(json, "reference ohm", walk->reference);
        fl_stream_key(json, "steps");
        fl_stream_open(json, '[', false);
        for (size_t k = 0; k < walk->step_count; k++)
            write_step(json, k > 0 ? picture->sections[k - 1] : NULL, &walk->steps[k]);
        fl_stream_close(json, ']');
        fl_stream_close(json, '}');
    }
    fl_stream_close(json, ']');
}

/** All that is drawn of one case. */
static void write_case(fl_stream *json, const fl_result *result, size_t index)
{
    const fl_result_pictures *pictures = result->pictures;
    const fl_result_picture *picture = &pictures->cases[index];
    fl_stream_open(json, '{', false);
    fl_stream_string_at(json, "name", result->cases[index].name);
    write_losses(json, "present", &picture->present, pictures->count);
    write_losses(json, "uncompensated", &picture->uncompensated, pictures->count);
    write_texts(json, "left out", picture->left_out, picture->left_out_count);
    write_envelope(json, &picture->envelope, pictures->count);
    write_wide(json, picture, pictures->wide_count);
    write_walks(json, picture);
    fl_stream_close(json, '}');
}

/** Of the worst return loss; null without a yield. */
static void write_histogram(fl_stream *json, const fl_bars *bars)
{
    fl_stream_key(json, "histogram");
    if (bars->count == 0) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '{', false);
    fl_stream_number_at(json, "from dB", bars->from_db);
    fl_stream_number_at(json, "step dB", bars->step_db);
    fl_stream_key(json, "counts");
    fl_stream_open(json, '[', true);
    for (size_t i = 0; i < bars->count; i++)
        fl_stream_integer(json, bars->counts[i]);
    fl_stream_close(json, ']');
    fl_stream_integer_at(json, "below", bars->below);
    fl_stream_integer_at(json, "above", bars->above);
    fl_stream_close(json, '}');
}

/** What varies from lot to lot, from wafer to wafer, and so on; null if nothing does. */
static void write_levels(fl_stream *json, const fl_result_pictures *pictures)
{
    fl_stream_key(json, "levels");
    if (pictures->levels.count == 0) {
        fl_stream_null(json);
        return;
    }
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < pictures->levels.count; i++) {
        const fl_level_share *level = &pictures->levels.items[i];
        fl_stream_open(json, '{', true);
        fl_stream_string_at(json, "level", fl_level_name(level->level));
        fl_stream_number_at(json, "share of variance", level->share);
        fl_stream_number_at(json, "total share of variance", level->total_share);
        fl_stream_number_at(json, "sigma dB", level->sigma_db);
        fl_stream_close(json, '}');
    }
    fl_stream_close(json, ']');
}

/** The keys in the order of the page. */
static void write_pictures(fl_stream *json, const fl_result *result)
{
    const fl_result_pictures *pictures = result->pictures;
    fl_stream_open(json, '{', false);
    write_numbers(json, "frequency Hz", pictures->frequencies, pictures->count);
    write_numbers(json, "wide Hz", pictures->wide, pictures->wide_count);
    write_texts(json, "wide notes", pictures->wide_notes, pictures->wide_note_count);
    fl_stream_string_at(json, "port", pictures->port == FL_PORT_DIE ? "die" : "board");
    fl_stream_integer_at(json, "samples", pictures->samples);
    fl_stream_key(json, "cases");
    fl_stream_open(json, '[', false);
    for (size_t i = 0; i < result->case_count; i++)
        write_case(json, result, i);
    fl_stream_close(json, ']');
    write_histogram(json, &result->bars);
    write_levels(json, pictures);
    write_texts(json, "not modelled", pictures->not_modelled, pictures->not_modelled_count);
    write_texts(json, "cautions", pictures->cautions, pictures->caution_count);
    fl_stream_close(json, '}');
}

/** Nothing is left to the caller but where the text goes. */
void fl_report_pictures_json(fl_text *text, const fl_result *result)
{
    fl_stream json;
    fl_stream_init(&json, text);
    if (result->pictures)
        write_pictures(&json, result);
    else
        fl_stream_null(&json);
}
