/* Scale, breaks and places of the parts. */
#include "drawn.h"

#include <math.h>

#include "reports/drawing.h"

static const fl_result_piece NOTHING = {.name = "x"};

/** Lines of these lengths and one width, m, one behind the other. */
static void place(fl_drawing *drawing, const double *lengths, size_t count, double width)
{
    fl_arena_init(&drawing->arena);
    drawing->count = count;
    drawing->width = width;
    drawing->parts = fl_arena_take(&drawing->arena, count, sizeof *drawing->parts);
    for (size_t i = 0; i < count; i++)
        drawing->parts[i] = (fl_part){.look = lengths[i] > 0.0 ? FL_LOOK_TRACE : FL_LOOK_SHUNT,
                                      .length = lengths[i],
                                      .piece = &NOTHING};
    fl_drawing_place(drawing);
}

static void has_one_scale(void **state)
{
    (void)state;
    static const struct {
        double lengths[5];
        size_t count;
        bool broken[5];
    } rows[] = {
        {{350e-6, 0.0, 160e-6, 600e-6, 1050e-6}, 5, {false}},
        /* Over four times the rest. */
        {{100e-6, 100e-6, 1e-3}, 3, {false, false, true}},
        {{100e-6, 100e-6, 0.7e-3}, 3, {false}},
        /* A small one does not break all others. */
        {{1e-6, 1e-3, 1e-3, 1e-3}, 4, {false}},
        {{10e-6, 10e-6, 1.0, 2.0}, 4, {false, false, true, true}},
        {{3.0}, 1, {false}},
        {{0.0}, 1, {false}},
        {{1e-9, 1e9}, 2, {false, true}},
    };
    static const double widths[] = {320.0, 560.0, 2000.0};
    for (size_t i = 0; i < 3 * (sizeof rows / sizeof rows[0]); i++) {
        fl_drawing drawing = {.width = 0.0};
        const double width = widths[i % 3];
        place(&drawing, rows[i / 3].lengths, rows[i / 3].count, width);
        double end = 0.0;
        for (size_t p = 0; p < drawing.count; p++) {
            const fl_part *part = &drawing.parts[p];
            assert_int_equal(rows[i / 3].broken[p], part->broken);
            if (part->length > 0.0 && !part->broken)
                check_close(part->length * drawing.scale, part->span, 1e-12, "row %zu, part %zu",
                            i / 3, p);
            if (part->broken)
                assert_true(part->span < part->length * drawing.scale);
            if (p > 0)
                check_near(end, part->x, 1e-9, "row %zu, part %zu", i / 3, p);
            end = part->x + part->span;
            assert_true(part->x >= 0.0 && end <= width && part->span >= 0.0);
        }
        fl_arena_release(&drawing.arena);
    }
}

/** A bar of 1, 2 or 5 that is neither too short to be read nor too long. */
static void has_a_bar_of_a_round_length(void **state)
{
    (void)state;
    for (double scale = 1e-3; scale < 1e9; scale *= 1.7) {
        const fl_drawing drawing = {.scale = scale};
        const double bar = fl_drawing_bar(&drawing);
        const double mantissa = bar / pow(10.0, floor(log10(bar) + 1e-9));
        if (!(bar * scale <= 90.0 && bar * scale >= 35.0))
            fail_msg("scale %g: a bar of %g units", scale, bar * scale);
        if (fabs(mantissa - 1.0) > 1e-9 && fabs(mantissa - 2.0) > 1e-9 &&
            fabs(mantissa - 5.0) > 1e-9)
            fail_msg("scale %g: a bar of %g m", scale, bar);
    }
}

static void limits_heights(void **state)
{
    (void)state;
    fl_part part = {.look = FL_LOOK_TRACE, .length = 1e-6, .piece = &NOTHING, .level = {1.0, 1.0}};
    fl_drawing drawing = {.parts = &part, .count = 1, .width = 500.0, .has_side = true};
    fl_arena_init(&drawing.arena);
    fl_drawing_place(&drawing);
    check_close(200.0, drawing.scale, 1e-12, "four tenths of the width");
    check_close(1.0, fl_drawing_top(&drawing), 0.0, "top");
    drawing.ground = 300.0;
    check_close(100.0, fl_drawing_y(&drawing, 1.0), 1e-12, "y");
    fl_arena_release(&drawing.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(has_one_scale),
        cmocka_unit_test(has_a_bar_of_a_round_length),
        cmocka_unit_test(limits_heights),
    };
    return cmocka_run_group_tests_name("reports/drawing_scale", tests, NULL, NULL);
}
