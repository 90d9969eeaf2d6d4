/* Labels and their leaders. */
#include "drawn.h"

#include <math.h>

#include "reports/drawing.h"

enum { MOST = 60 };

/** A number from 0 to 1 that depends on its place alone. */
static double draw(unsigned *seed)
{
    *seed = *seed * 1664525U + 1013904223U;
    return (double)(*seed >> 8) / (double)(1U << 24);
}

/** Parts of random sizes, names and values, laid out. */
static void lay_out(fl_drawing *drawing, fl_result_piece *pieces, unsigned seed)
{
    static fl_result_parameter parameters[3] = {
        {.name = "width", .value = 185e-6, .dimension = FL_LENGTH, .given = true, .sized = true},
        {.name = "length", .value = 1.05e-3, .dimension = FL_LENGTH, .given = true},
        {.name = "spacing", .value = 0.3e-3, .dimension = FL_LENGTH, .given = true}};
    static const char *const names[] = {"a", "package/inner lead", MADE_LONG, MADE_WIDE_LONG};
    fl_arena_init(&drawing->arena);
    drawing->count = 1 + (size_t)(draw(&seed) * (MOST - 1));
    drawing->width = 320.0 + 900.0 * draw(&seed);
    drawing->parts = fl_arena_take(&drawing->arena, drawing->count, sizeof *drawing->parts);
    double x = 10.0;
    for (size_t i = 0; i < drawing->count; i++) {
        pieces[i] = (fl_result_piece){.name = names[(size_t)(4.0 * draw(&seed))],
                                      .kind = "microstrip",
                                      .parameters = parameters,
                                      .parameter_count = (size_t)(4.0 * draw(&seed))};
        const double span = draw(&seed) * (drawing->width - 20.0) / (double)drawing->count;
        drawing->parts[i] = (fl_part){
            .piece = &pieces[i], .look = FL_LOOK_TRACE, .x = x, .span = span, .sized = true};
        x += span;
    }
    drawing->plan = 100.0;
    drawing->below = 30.0;
    assert_true(fl_drawing_label(drawing, 130.0));
}

/** Whether a vertical line goes through a label's letters. */
static bool goes_through(const fl_label *label, double x, double top, double bottom)
{
    return x > label->x + 2.0 && x < label->x + label->width && bottom > label->y + 1.0 &&
           top < label->y + label->height;
}

static void check_pair(const fl_drawing *drawing, size_t i, size_t j)
{
    const fl_label *a = &drawing->labels[i], *b = &drawing->labels[j];
    const bool apart = a->x + a->width <= b->x || b->x + b->width <= a->x ||
                       a->y + a->height <= b->y || b->y + b->height <= a->y;
    if (!apart)
        fail_msg("labels %zu and %zu of %zu overlap at width %g", i, j, drawing->count,
                 drawing->width);
    if (i < j && (a->x >= b->x || a->from_x > b->from_x))
        fail_msg("leaders %zu and %zu of %zu cross at width %g", i, j, drawing->count,
                 drawing->width);
    if (goes_through(b, a->x, 130.0, a->y + a->height))
        fail_msg("leader %zu goes through label %zu of %zu", i, j, drawing->count);
}

static void labels_do_not_overlap(void **state)
{
    (void)state;
    static fl_result_piece pieces[MOST];
    for (unsigned seed = 1; seed <= 300; seed++) {
        fl_drawing drawing = {.width = 0.0};
        lay_out(&drawing, pieces, seed);
        for (size_t i = 0; i < drawing.count; i++) {
            const fl_label *label = &drawing.labels[i];
            for (size_t j = 0; j < drawing.count; j++)
                if (i != j)
                    check_pair(&drawing, i, j);
            if (label->x < 0.0 || label->x + label->width > drawing.width)
                fail_msg("label %zu of %zu is outside: %g to %g of %g", i, drawing.count, label->x,
                         label->x + label->width, drawing.width);
            assert_true(label->y >= 130.0 && label->y + label->height <= drawing.labels_end);
        }
        fl_arena_release(&drawing.arena);
    }
}

static void shows_names_and_values(void **state)
{
    (void)state;
    static fl_result_piece pieces[MOST];
    fl_text text;
    fl_drawing drawing = {.width = 0.0};
    lay_out(&drawing, pieces, 5);
    fl_text_init(&text);
    fl_drawing_labels(&text, &drawing);
    size_t sized = 0, shown = 0;
    for (size_t i = 0; i < drawing.count; i++)
        sized += pieces[i].parameter_count > 0;
    for (const char *at = text.bytes; (at = strstr(at, ">width 185 \xC2\xB5m<")); at++)
        shown++;
    assert_true(sized > 0);
    assert_int_equal(sized, shown);
    fl_text_release(&text);
    fl_arena_release(&drawing.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(labels_do_not_overlap),
        cmocka_unit_test(shows_names_and_values),
    };
    return cmocka_run_group_tests_name("reports/drawing_label", tests, NULL, NULL);
}
