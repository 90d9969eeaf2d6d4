/* Warnings of resonances: in the band, near it, away from it. */
#include "check.h"

#include "path/path.h"
#include "sample.h"

/* The lowest of a box 4 mm square is at 27.55 GHz, of a paddle of 2.7 mm at 28.86 GHz. */
static const fl_body box = {.length = 4e-3,
                            .width = 4e-3,
                            .height = 0.9e-3,
                            .permittivity = 3.7,
                            .place = "model.json:3:9: body"};

/* Number of warnings; text gets the first. */
static size_t warned(char text[256], fl_body *bodies, double low, double high)
{
    sample s;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    sample_init(&s, low, high);
    sample_add(&s, "shunt capacitor");
    sample_set(&s, "capacitance", 50e-15);
    s.design.bodies = bodies;
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    const size_t count = fl_groundwork_warning_count(groundwork);
    snprintf(text, 256, "%s", count > 0 ? fl_groundwork_warning(groundwork, 0) : "");
    fl_groundwork_free(groundwork);
    return count;
}

static void test_bands(void **unused)
{
    (void)unused;
    static const struct {
        double low, high;
        const char *text;
    } rows[] = {{26.5e9, 29.5e9,
                 "model.json:3:9: body: the mould, taken as a closed box (mode 1 1 0), resonates "
                 "at 27.6 GHz, in the band; walls are idealised"},
                {24.0e9, 25.2e9,
                 "model.json:3:9: body: the mould, taken as a closed box (mode 1 1 0), resonates "
                 "at 27.6 GHz, near the band; walls are idealised"},
                {30.5e9, 32e9,
                 "model.json:3:9: body: the mould, taken as a closed box (mode 1 1 0), resonates "
                 "at 27.6 GHz, near the band; walls are idealised"},
                {25e9, 45e9,
                 "model.json:3:9: body: the mould, taken as a closed box (mode 1 1 0), resonates "
                 "at 27.6 GHz and 2 more, in the band; walls are idealised"},
                {20.0e9, 24.9e9, ""},
                {31.0e9, 38e9, ""}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[256];
        fl_body body = box;
        assert_int_equal(warned(text, &body, rows[i].low, rows[i].high), rows[i].text[0] ? 1 : 0);
        assert_string_equal(text, rows[i].text);
    }
}

static void test_paddle(void **unused)
{
    (void)unused;
    char text[256];
    fl_body body = box;
    body.paddle = 2.7e-3;
    assert_int_equal(warned(text, &body, 26.5e9, 29.5e9), 2);
    assert_string_equal(text, "model.json:3:9: body: the paddle (half a wave long) resonates at "
                              "28.9 GHz, in the band; walls are idealised");
    body.paddle = 5.4e-3;
    assert_int_equal(warned(text, &body, 26.5e9, 29.5e9), 2);
    assert_string_equal(text, "model.json:3:9: body: the paddle (2 half waves long) resonates at "
                              "28.9 GHz, in the band; walls are idealised");
}

/* Every body, and nothing without one. */
static void test_bodies(void **unused)
{
    (void)unused;
    char text[256];
    fl_body second = box, first = box;
    second.place = "other.json:3:9: body";
    first.next = &second;
    assert_int_equal(warned(text, &first, 26.5e9, 29.5e9), 2);
    assert_int_equal(warned(text, NULL, 26.5e9, 29.5e9), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_bands), cmocka_unit_test(test_paddle),
                                       cmocka_unit_test(test_bodies)};
    return cmocka_run_group_tests_name("path/resonance", tests, NULL, NULL);
}
