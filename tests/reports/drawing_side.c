/* The transition from the side. */
#include "drawn.h"
#include "xml.h"

#include <math.h>

#include "reports/drawing.h"

static const fl_result_parameter wire[] = {
    {.name = "loop height", .value = 150e-6, .dimension = FL_LENGTH, .given = true},
    {.name = "cover", .value = 3.8, .dimension = FL_NUMBER, .given = true}};

/** A wire of 400 um from a height of 200 um to one of 200 um or 50 um, at 0.5 units per um. */
static void draw(fl_text *text, double land)
{
    fl_result_parameter parameters[2] = {wire[0], wire[1]};
    fl_result_piece piece = {
        .name = "w", .kind = "bond wires", .parameters = parameters, .parameter_count = 2};
    fl_part part = {.piece = &piece,
                    .look = FL_LOOK_WIRES,
                    .length = 400e-6,
                    .level = {200e-6, land},
                    .x = 20.0,
                    .span = 200.0};
    const fl_drawing drawing = {
        .parts = &part, .count = 1, .width = 240.0, .scale = 5e5, .ground = 200.0};
    fl_text_init(text);
    fl_drawing_side(text, &drawing);
}

/** A point of the curve of the third degree that the wire is, y at a share of the way. */
static double curve(const char *svg, double share, double *x)
{
    double p[8];
    const char *at = strstr(svg, "fl-arc\" d=\"M");
    assert_non_null(at);
    assert_int_equal(8, sscanf(at, "fl-arc\" d=\"M%lf %lfC%lf %lf %lf %lf %lf %lf", &p[0], &p[1],
                               &p[2], &p[3], &p[4], &p[5], &p[6], &p[7]));
    const double s = share, r = 1.0 - share;
    *x = r * r * r * p[0] + 3.0 * r * r * s * p[2] + 3.0 * r * s * s * p[4] + s * s * s * p[6];
    return r * r * r * p[1] + 3.0 * r * r * s * p[3] + 3.0 * r * s * s * p[5] + s * s * s * p[7];
}

/* The highest of the curve is 75 units above the die's bond at y = 100; between them the parabola
 * is that of [docs/models.md], bond wires. Coordinates are written to 0.01. */
static void draws_the_parabola_to_scale(void **state)
{
    (void)state;
    static const double lands[] = {200e-6, 50e-6};
    for (size_t i = 0; i < 2; i++) {
        fl_text text;
        double highest = HUGE_VAL, at = 0.0, x = 0.0;
        draw(&text, lands[i]);
        xml_read(text.bytes, text.length);
        for (int k = 0; k <= 1000; k++) {
            const double y = curve(text.bytes, k / 1000.0, &x);
            at = y < highest ? x : at;
            highest = y < highest ? y : highest;
        }
        check_near(25.0, highest, 0.02, "land %g", lands[i]);
        /* Its place divides the span as the roots of rise and fall do. */
        const double fall = 75.0 + (200e-6 - lands[i]) * 5e5;
        check_near(20.0 + 200.0 * sqrt(75.0) / (sqrt(75.0) + sqrt(fall)), at, 0.3, "land %g",
                   lands[i]);
        check_near(100.0, curve(text.bytes, 0.0, &x), 0.01, "die");
        check_near(200.0 - lands[i] * 5e5, curve(text.bytes, 1.0, &x), 0.01, "land");
        fl_text_release(&text);
    }
}

static void shows_loop_height_and_cover(void **state)
{
    (void)state;
    fl_text text;
    draw(&text, 200e-6);
    check_has(text.bytes, ">150 \xC2\xB5m</text>");
    check_has(text.bytes, ">cover \xCE\xB5r 3.8</text>");
    check_has(text.bytes, "class=\"fl-ground\"");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(draws_the_parabola_to_scale),
        cmocka_unit_test(shows_loop_height_and_cover),
    };
    return cmocka_run_group_tests_name("reports/drawing_side", tests, NULL, NULL);
}
