/* What a design says of its yield: samples, or lots of wafers; confidence and seed. */
#include <math.h>

#include "base/random.h"
#include "design/reader.h"

/* Whole numbers up to here are exact as a double, and beyond the patience of any user. */
static const double most_samples = 1e12;

/* Lots of a plan where neither they nor samples are given: as few as give an interval. */
enum { USUAL_LOTS = 20 };

/* The most of them where a precision says when to stop. */
enum { MOST_LOTS = 1000 };

/** The keys as read; 0 where one is not given. */
typedef struct target {
    fl_design *design;
    double samples, lots, wafers, dice, precision;
    fl_sampling sampling;
} target;

static const char *const samplings[FL_SAMPLING_COUNT] = {
    [FL_SAMPLING_RANDOM] = "random",
    [FL_SAMPLING_SOBOL] = "scrambled Sobol",
    [FL_SAMPLING_LATIN] = "Latin hypercube",
    [FL_SAMPLING_IMPORTANCE] = "importance",
};

bool fl_sampling_is_even(fl_sampling sampling)
{
    return sampling == FL_SAMPLING_SOBOL || sampling == FL_SAMPLING_LATIN;
}

const char *fl_sampling_name(fl_sampling sampling)
{
    return samplings[sampling];
}

uint64_t fl_sampling_samples(fl_sampling sampling, uint64_t samples)
{
    uint64_t even = 1024;
    if (!fl_sampling_is_even(sampling) || samples > FL_EVEN_SAMPLES)
        return samples;
    while (even < samples)
        even *= 2;
    return even;
}

/* Kept apart from the design until it is known whether a plan gives them. */
static fl_status read_samples(fl_reader *reader, fl_spot spot, void *into)
{
    return fl_whole_read(reader, spot, 1.0, most_samples, &((target *)into)->samples);
}

/* Any whole number will do. */
static fl_status read_seed(fl_reader *reader, fl_spot spot, void *into)
{
    double seed = 0.0;
    /* 2^53: every seed up to it is a double, so that the one written is the one used. */
    const fl_status status = fl_whole_read(reader, spot, 0.0, 9007199254740992.0, &seed);
    ((target *)into)->design->seed = (uint64_t)seed;
    return status;
}

/* Both ends are out of reach: an interval would be a point, or all of 0 to 1. */
static fl_status read_confidence(fl_reader *reader, fl_spot spot, void *into)
{
    double share = 0.0;
    const fl_status status = fl_value_read(reader, spot, FL_PERCENT, &share);
    if (status == FL_OK && !(share > 0.0 && share < 1.0))
        return fl_spot_fail(reader, spot, "a confidence is between 0 %% and 100 %%");
    ((target *)into)->design->confidence = share;
    return status;
}

static fl_status read_lots(fl_reader *reader, fl_spot spot, void *into)
{
    return fl_whole_read(reader, spot, 1.0, FL_WAFER_LIMIT, &((target *)into)->lots);
}

static fl_status read_wafers(fl_reader *reader, fl_spot spot, void *into)
{
    return fl_whole_read(reader, spot, 1.0, FL_WAFER_LIMIT, &((target *)into)->wafers);
}

/* A count of them is kept in 32 bits. */
static fl_status read_dice(fl_reader *reader, fl_spot spot, void *into)
{
    return fl_whole_read(reader, spot, 1.0, 1e9, &((target *)into)->dice);
}

/* Below a millionth there would be no end; from a half on any interval will do. */
static fl_status read_precision(fl_reader *reader, fl_spot spot, void *into)
{
    double share = 0.0;
    const fl_status status = fl_value_read(reader, spot, FL_PERCENT, &share);
    if (status == FL_OK && !(share >= 1e-6 && share < 0.5))
        return fl_spot_fail(reader, spot,
                            "a precision is at least 0.0001 %% and below 50 %%: the half-width of "
                            "the interval");
    ((target *)into)->precision = share;
    return status;
}

static fl_status read_sampling(fl_reader *reader, fl_spot spot, void *into)
{
    size_t index = 0;
    const fl_status status = fl_word_read(reader, spot, samplings, FL_SAMPLING_COUNT, &index);
    ((target *)into)->sampling = (fl_sampling)index;
    return status;
}

/* As many as bring any yield to the precision: the widest interval is that of 1/2, with half-width
 * z / (2 sqrt(n)) and about 1 / n for exactness, at a confidence shared by as many looks as a run
 * may have. */
static double most_needed(const target *found)
{
    const double looks = 40.0, half = found->precision;
    const double z = -fl_normal_quantile(0.5 * (1.0 - found->design->confidence) / looks);
    return fmin(ceil(0.25 * z * z / (half * half) + 3.0 / half), most_samples);
}

/* Lots alone may be left out: the others are what a maker of wafers says. */
static fl_status read_plan(fl_reader *reader, fl_spot spot, void *into)
{
    static const fl_key keys[] = {{"lots", false, read_lots},
                                  {"wafers", true, read_wafers},
                                  {"dice per wafer", true, read_dice}};
    return fl_object_read(reader, spot, keys, FL_COUNT(keys), into);
}

/* As many whole lots as the samples fill, rounded up. */
static fl_status take_plan(fl_reader *reader, fl_spot spot, const target *found)
{
    fl_design *design = found->design;
    const double dice = found->wafers * found->dice;
    double lots = found->lots > 0.0 ? found->lots : USUAL_LOTS;
    if (found->lots == 0.0 && found->precision > 0.0)
        lots = fmax(
            1.0, fmin(MOST_LOTS, floor(fmin(FL_WAFER_LIMIT / found->wafers, most_samples / dice))));
    if (found->lots > 0.0 && found->samples > 0.0)
        return fl_spot_fail(reader, spot, "expected 'lots' here or 'samples' beside, found both");
    if (found->samples > 0.0)
        lots = ceil(found->samples / dice);
    if (lots * found->wafers > FL_WAFER_LIMIT)
        return fl_spot_fail(reader, spot, "a plan has at most %d wafers, found %.0f lots of %.0f",
                            FL_WAFER_LIMIT, lots, found->wafers);
    if (lots * dice > most_samples)
        return fl_spot_fail(reader, spot, "a plan has at most %.0e dice, found %.3e", most_samples,
                            lots * dice);
    design->plan = (fl_plan){(uint64_t)found->wafers, (uint64_t)found->dice};
    design->samples = (uint64_t)(lots * dice);
    return FL_OK;
}

/* Even points are a whole: half of them are no longer even, and lots are not independent of each
 * other where their draws are evened out. Weighted samples are counted in no wafer and no look. */
static fl_status take_sampling(fl_reader *reader, fl_spot spot, const target *found)
{
    fl_design *design = found->design;
    const char *beside = found->wafers > 0.0 ? "plan" : found->precision > 0.0 ? "precision" : NULL;
    design->sampling = found->sampling;
    if (found->sampling == FL_SAMPLING_RANDOM)
        return FL_OK;
    if (beside != NULL)
        return fl_spot_fail(reader, spot,
                            "sampling '%s' takes no '%s' beside it, only 'random' does",
                            samplings[found->sampling], beside);
    if (fl_sampling_is_even(found->sampling) && found->samples > (double)FL_EVEN_SAMPLES)
        return fl_spot_fail(reader, spot, "sampling '%s' takes at most %.0f samples, found %.0f",
                            samplings[found->sampling], (double)FL_EVEN_SAMPLES, found->samples);
    design->samples = fl_sampling_samples(design->sampling, design->samples);
    return FL_OK;
}

/* Samples and plan depend on each other, so that they are judged when both are read. */
fl_status fl_yield_read(fl_reader *reader, fl_spot spot, void *into)
{
    static const fl_key keys[] = {{"samples", false, read_samples},
                                  {"sampling", false, read_sampling},
                                  {"plan", false, read_plan},
                                  {"precision", false, read_precision},
                                  {"confidence", false, read_confidence},
                                  {"seed", false, read_seed}};
    target found = {.design = into};
    const fl_status status = fl_object_read(reader, spot, keys, FL_COUNT(keys), &found);
    if (status != FL_OK)
        return status;
    found.design->precision = found.precision;
    if (found.wafers > 0.0 && found.sampling == FL_SAMPLING_RANDOM)
        return take_plan(reader, fl_spot_child(spot, "plan"), &found);
    if (found.samples > 0.0)
        found.design->samples = (uint64_t)found.samples;
    else if (found.precision > 0.0)
        found.design->samples = (uint64_t)most_needed(&found);
    return take_sampling(reader, fl_spot_child(spot, "sampling"), &found);
}

/* Wafers that share nothing differ by chance alone, which a plan is not needed for. */
fl_status fl_yield_warn(fl_reader *reader)
{
    const fl_design *design = reader->design;
    if (design->plan.wafers == 0)
        return FL_OK;
    for (size_t i = 0; i < design->draw_count; i++)
        if (design->draws[i].level == FL_LEVEL_LOT || design->draws[i].level == FL_LEVEL_WAFER)
            return FL_OK;
    const fl_spot root = {reader->main, reader->main->json.root};
    return fl_spot_warn(reader, fl_spot_child(fl_spot_child(root, "yield"), "plan"),
                        "no spread has the level 'lot' or 'wafer': wafers differ by chance alone");
}
