/* Time of a yield against samples, frequencies, sections, cases and threads.
 *
 *     build/release/tests/bench/scale [PASSES [SHARE]]
 *
 * A line each: what varies, its value, seconds of the clock and of the processor, and how many
 * frequencies were computed. Seconds are those of the whole study with all that it does once, the
 * best of some passes. SHARE divides the numbers of samples. */
#include "bench/chain.h"
#include "bench/rig.h"

static double clock_now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/** One measurement in the making: passes over all of them are made in turn. */
typedef struct point {
    const char *what;
    int value;
    chain path;
    uint64_t samples;
    int threads;
    double seconds;   /* of the clock */
    double processor; /* of all threads together */
} point;

static void run_point(point *own)
{
    fl_design *design = NULL;
    fl_result *result = NULL;
    fl_options options;
    fl_error error;
    stop_on(chain_design(&design, &own->path, &error), &error);
    fl_options_init(&options);
    options.samples = own->samples;
    options.threads = own->threads;
    const double begin = clock_now(), busy = now();
    stop_on(fl_yield(&result, design, &options, &error), &error);
    own->seconds = fmin(own->seconds, clock_now() - begin);
    own->processor = fmin(own->processor, now() - busy);
    fl_result_free(result);
    fl_design_free(design);
}

static void print_point(const point *own)
{
    fl_design *design = NULL;
    fl_error error;
    rig own_rig;
    stop_on(chain_design(&design, &own->path, &error), &error);
    rig_open(&own_rig, design, fl_vector_widest()->width);
    printf("%s %d seconds %.6f processor %.6f nodes %zu\n", own->what, own->value, own->seconds,
           own->processor, fl_block_node_count(own_rig.block, 0));
    rig_close(&own_rig);
    fl_design_free(design);
}

/* The middle one of each row is the same problem. */
static size_t lay_points(point *points)
{
    static const int steps[] = {1, 2, 4, 8, 16}, threads[] = {1, 2};
    const point base = {.path = {16, 51, 1},
                        .samples = 200000,
                        .threads = 1,
                        .seconds = HUGE_VAL,
                        .processor = HUGE_VAL};
    size_t count = 0;
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        const int step = steps[i];
        for (int row = 0; row < 4; row++)
            points[count + (size_t)row] = base;
        points[count].what = "samples", points[count].samples = 50000u * (unsigned)step;
        points[count].value = (int)points[count].samples;
        points[count + 1].what = "frequencies";
        points[count + 1].value = points[count + 1].path.points = 25 * step + 1;
        points[count + 2].what = "sections";
        points[count + 2].value = points[count + 2].path.sections = 4 * step;
        points[count + 3].what = "cases";
        points[count + 3].value = points[count + 3].path.cases = step;
        count += 4;
    }
    for (size_t i = 0; i < sizeof threads / sizeof *threads; i++) {
        points[count] = base;
        points[count].what = "threads", points[count].samples = 1000000;
        points[count].value = points[count].threads = threads[i];
        count++;
    }
    return count;
}

int main(int count, char **words)
{
    const long passes = count > 1 ? strtol(words[1], NULL, 10) : 3;
    point points[32];
    const size_t all = lay_points(points);
    const unsigned long share = count > 2 ? strtoul(words[2], NULL, 10) : 1;
    for (size_t i = 0; i < all; i++)
        points[i].samples /= share > 0 ? share : 1;
    for (long pass = 0; pass < passes; pass++)
        for (size_t i = 0; i < all; i++)
            run_point(&points[i]);
    for (size_t i = 0; i < all; i++)
        print_point(&points[i]);
    return 0;
}
