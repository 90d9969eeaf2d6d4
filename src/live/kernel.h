/**
 * What a page may call of a live model, in numbers and addresses alone: src/page/live.js is the
 * other side. A kernel holds one live model and its last results; a result is good until the next
 * call that makes one. Functions that can fail give 0 then.
 */
#ifndef FL_LIVE_KERNEL_H
#define FL_LIVE_KERNEL_H

#include <stddef.h>

typedef struct fl_kernel fl_kernel;

/** Room for bytes that the page brings, and its end. */
void *fl_kernel_take(size_t length);
void fl_kernel_give(void *room);

/** Opens a live model; NULL when out of memory. Ask fl_kernel_problem next. */
fl_kernel *fl_kernel_open(const char *bytes, size_t length);
void fl_kernel_close(fl_kernel *kernel);

/** What is wrong with the bytes, or with the last thing asked; NULL: nothing. */
const char *fl_kernel_problem(const fl_kernel *kernel);

/** Sizes: texts name, case or NULL, unit, side; numbers index, low, high, grid, value. */
size_t fl_kernel_sizes(const fl_kernel *kernel);
const char *fl_kernel_size_text(const fl_kernel *kernel, size_t size, int which);
double fl_kernel_size_number(const fl_kernel *kernel, size_t size, int which);

size_t fl_kernel_cases(const fl_kernel *kernel);
const char *fl_kernel_case(const fl_kernel *kernel, size_t index);

/** Requirements: texts what is asked, port; numbers at least, limit, weight, band, implied. */
size_t fl_kernel_requirements(const fl_kernel *kernel);
const char *fl_kernel_requirement_text(const fl_kernel *kernel, size_t index, int which);
double fl_kernel_requirement_number(const fl_kernel *kernel, size_t index, int which);

/** Samples of a quick yield; 0: nothing has a spread. */
size_t fl_kernel_samples(const fl_kernel *kernel);

/** Port of the return loss that fl_kernel_respond tells. */
const char *fl_kernel_port(const fl_kernel *kernel);

double fl_kernel_value(const fl_kernel *kernel, size_t index);
double fl_kernel_set(fl_kernel *kernel, size_t index, double value);
void fl_kernel_reset(fl_kernel *kernel);

/** Frequencies for fl_kernel_respond: the design's own, and how many; or room for some. */
size_t fl_kernel_look_at_band(fl_kernel *kernel);
double *fl_kernel_look_at(fl_kernel *kernel, size_t count);

/** Numbers of the last result. */
const double *fl_kernel_results(const fl_kernel *kernel);

/** Frequencies, return loss, insertion loss. */
int fl_kernel_respond(fl_kernel *kernel, size_t case_index);

/** The case of the smallest margin; then of each case: margin, whether all are met, requirement,
 * frequency, value. */
int fl_kernel_margin(fl_kernel *kernel);

/** Follows the impedance from the die to the board at a frequency; the number of steps: the die
 * port alone, then every section. Of each its section's name and its reflections [length][2],
 * against fl_kernel_reference, ohm. */
size_t fl_kernel_smith(fl_kernel *kernel, size_t case_index, double frequency);
const char *fl_kernel_step_section(const fl_kernel *kernel, size_t step);
size_t fl_kernel_step_length(const fl_kernel *kernel, size_t step);
const double *fl_kernel_step_points(const fl_kernel *kernel, size_t step);
double fl_kernel_reference(const fl_kernel *kernel);

/** Samples, passed, not physical, outside, estimate, low, high; then passed of each case. */
int fl_kernel_yield(fl_kernel *kernel, double samples);

/** The design file with the present values, its length in fl_kernel_saved_length. */
const char *fl_kernel_save(fl_kernel *kernel);
size_t fl_kernel_saved_length(const fl_kernel *kernel);

#endif
