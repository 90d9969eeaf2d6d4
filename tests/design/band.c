/* Bands. */
#include "reading.h"

#define BAND(json) "{\"fairlead\": 1, \"band\": " json ", " SAMPLE_PORTS SAMPLE_PATH "}"

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {BAND("\"28 GHz\""), "band", "expected two frequencies"},
    {BAND("[]"), "band", "expected two frequencies"},
    {BAND("[\"1 GHz\"]"), "band", "expected two frequencies"},
    {BAND("[\"1 GHz\", \"2 GHz\", \"3 GHz\"]"), "band", "expected two frequencies"},
    {BAND("[\"2 GHz\", \"1 GHz\"]"), "band", "must be below"},
    {BAND("[\"2 GHz\", \"2 GHz\"]"), "band", "must be below"},
    {BAND("[\"0 GHz\", \"2 GHz\"]"), "band[0]", "must be positive, found 0 Hz"},
    {BAND("[\"-1 GHz\", \"2 GHz\"]"), "band[0]", "must be positive"},
    {BAND("[\"1 GHz\", \"2 mm\"]"), "band[1]", "expected a frequency"},
    {BAND("[1, 2]"), "band[0]", "expected a frequency with its unit"},
};

static void bad_bands(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

static void a_band(void **state)
{
    (void)state;
    fl_design *design = sample_good(BAND("[\"26.5 GHz\", \"29500 MHz\"]"));
    assert_int_equal(design->band_count, 1);
    check_near(26.5e9, design->bands[0].low, 0.0, "low");
    check_near(29.5e9, design->bands[0].high, 0.0, "high");
    fl_design_release(design);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_bands),
        cmocka_unit_test(a_band),
    };
    return cmocka_run_group_tests_name("design/band", tests, NULL, NULL);
}
