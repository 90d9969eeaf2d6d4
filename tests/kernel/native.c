/* Writes the live model of a design and what the kernel, compiled for this machine, says of it:
 * native DESIGN BYTES NUMBERS SAVED. tests/kernel/same.js compares the browser's kernel with it. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/file.h"
#include "design/design.h"
#include "fairlead.h"
#include "live/kernel.h"
#include "live/live.h"

enum { PLACES = 3, SAMPLES = 1000 };

static void end(const char *what, const fl_error *error)
{
    fprintf(stderr, "%s: %s: %s\n", what, error ? error->place : "", error ? error->message : "");
    exit(1);
}

static void put(FILE *file, const char *key, const double *numbers, size_t count)
{
    fprintf(file, "\"%s\": [", key);
    for (size_t i = 0; i < count; i++)
        fprintf(file, "%s%.17g", i ? ", " : "", numbers[i]);
    fprintf(file, "],\n");
}

/* Sizes go to a place of their range, the first place being where they stand. */
static void move(fl_kernel *kernel, int place)
{
    for (size_t i = 0; place > 0 && i < fl_kernel_sizes(kernel); i++) {
        const double low = fl_kernel_size_number(kernel, i, 1);
        const double high = fl_kernel_size_number(kernel, i, 2);
        const double share = (double)((7 * i + 3 * (size_t)place) % 10 + 1) / 11.0;
        fl_kernel_set(kernel, (size_t)fl_kernel_size_number(kernel, i, 0),
                      low + share * (high - low));
    }
}

static void put_case(FILE *file, fl_kernel *kernel, size_t index)
{
    char key[64];
    const size_t count = fl_kernel_look_at_band(kernel);
    snprintf(key, sizeof key, "respond %zu", index);
    const int well = fl_kernel_respond(kernel, index);
    put(file, key, fl_kernel_results(kernel), well ? 3 * count : 0);
    const double frequency = fl_kernel_requirement_number(kernel, 0, 3);
    const size_t steps = fl_kernel_smith(kernel, index, frequency);
    for (size_t i = 0; i < steps; i++) {
        snprintf(key, sizeof key, "smith %zu %zu", index, i);
        put(file, key, fl_kernel_step_points(kernel, i), 2 * fl_kernel_step_length(kernel, i));
    }
}

static void put_place(FILE *file, fl_kernel *kernel, int place)
{
    const size_t cases = fl_kernel_cases(kernel);
    move(kernel, place);
    fprintf(file, "{");
    for (size_t i = 0; i < fl_kernel_sizes(kernel); i++) {
        char key[64];
        const double value = fl_kernel_value(kernel, (size_t)fl_kernel_size_number(kernel, i, 0));
        snprintf(key, sizeof key, "size %zu", i);
        put(file, key, &value, 1);
    }
    for (size_t i = 0; i < cases; i++)
        put_case(file, kernel, i);
    const int margin = fl_kernel_margin(kernel);
    put(file, "margin", fl_kernel_results(kernel), margin ? 1 + 5 * cases : 0);
    const int yield = fl_kernel_samples(kernel) > 0 && fl_kernel_yield(kernel, SAMPLES);
    put(file, "yield", fl_kernel_results(kernel), yield ? 7 + cases : 0);
    fprintf(file, "\"place\": %d}%s\n", place, place + 1 < PLACES ? "," : "");
}

static void put_all(fl_kernel *kernel, const char *numbers, const char *saved)
{
    fl_error error = {0};
    FILE *file = fopen(numbers, "w");
    if (!file)
        end(numbers, NULL);
    fprintf(file, "[");
    for (int place = 0; place < PLACES; place++)
        put_place(file, kernel, place);
    fprintf(file, "]\n");
    if (fclose(file) != 0)
        end(numbers, NULL);
    const char *text = fl_kernel_save(kernel);
    if (!text || fl_file_write(saved, text, fl_kernel_saved_length(kernel), &error) != FL_OK)
        end(saved, &error);
}

int main(int count, char **arguments)
{
    fl_error error = {0};
    fl_design *design = NULL;
    fl_study study;
    fl_text bytes;
    if (count != 5) {
        fprintf(stderr, "native DESIGN BYTES NUMBERS SAVED\n");
        return 2;
    }
    if (fl_design_read(&design, arguments[1], FL_SOURCE_DIR "/models", &error) != FL_OK)
        end(arguments[1], &error);
    fl_study_init(&study, design, design->groundwork, NULL);
    double *quantities = calloc(design->quantity_count + 1, sizeof *quantities);
    if (!quantities)
        end("memory", NULL);
    fl_design_start(design, quantities);
    fl_text_init(&bytes);
    if (fl_live_write(&bytes, &study, quantities, &error) != FL_OK ||
        fl_file_write(arguments[2], bytes.bytes, bytes.length, &error) != FL_OK)
        end(arguments[2], &error);
    fl_kernel *kernel = fl_kernel_open(bytes.bytes, bytes.length);
    if (!kernel || fl_kernel_problem(kernel))
        end(arguments[2], NULL);
    put_all(kernel, arguments[3], arguments[4]);
    fl_kernel_close(kernel);
    fl_text_release(&bytes);
    free(quantities);
    fl_design_free(design);
    return 0;
}
