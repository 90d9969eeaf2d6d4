/** The examples as live models. */
#ifndef FL_TESTS_LIVE_EXAMPLES_H
#define FL_TESTS_LIVE_EXAMPLES_H

#include "check.h"
#include "live/live.h"

/** Sizes in geometry with several cases; measured data; nothing to size. */
static const char *const live_examples[] = {FL_SOURCE_DIR "/examples/retune/retune.json",
                                            FL_SOURCE_DIR "/examples/board/board.json",
                                            FL_SOURCE_DIR "/examples/retune/second-package.json",
                                            FL_SOURCE_DIR "/tests/data/designs/turned.json"};
enum { LIVE_EXAMPLES = sizeof live_examples / sizeof *live_examples };

typedef struct live_example {
    fl_design *design;
    fl_study study;
    double *quantities;
    fl_text bytes;
} live_example;

__attribute__((unused)) static void live_example_open(live_example *own, const char *file)
{
    fl_error error = {0};
    own->design = NULL;
    check_ok(fl_design_read(&own->design, file, FL_SOURCE_DIR "/models", &error), error);
    fl_study_init(&own->study, own->design, own->design->groundwork, NULL);
    own->quantities = fl_memory_take(own->design->quantity_count, sizeof *own->quantities);
    assert_non_null(own->quantities);
    fl_design_start(own->design, own->quantities);
    fl_text_init(&own->bytes);
    check_ok(fl_live_write(&own->bytes, &own->study, own->quantities, &error), error);
}

__attribute__((unused)) static void live_example_close(live_example *own)
{
    fl_text_release(&own->bytes);
    fl_memory_free(own->quantities);
    fl_design_free(own->design);
}

#endif
