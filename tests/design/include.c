/* Model files: names, sides, and errors in their own places. */
#include "base/checksum.h"
#include "base/file.h"
#include "base/text.h"
#include "reading.h"

#define USE(json) SAMPLE_HEAD "\"path\": [{\"name\": \"package\", " json "}]}"

static void names_and_sides(void **state)
{
    (void)state;
    fl_design *design = sample_good(USE("\"use\": \"frame.json\""));
    const fl_case *nominal = &design->cases[0];
    assert_int_equal(nominal->section_count, 2);
    assert_string_equal(nominal->sections[0].name, "package/lead");
    assert_string_equal(nominal->sections[1].name, "package/land/land");
    assert_int_equal(nominal->sections[0].side, FL_SIDE_PACKAGE);
    assert_int_equal(nominal->sections[1].side, FL_SIDE_BOARD); /* of the section that uses it */
    assert_non_null(strstr(nominal->sections[0].place, "designs/frame.json:8:5: path[0]"));
    assert_non_null(sample_quantity(design, "package/mould permittivity", FL_NONE));
    assert_non_null(sample_quantity(design, "package/land/land cap", FL_NONE));
    assert_non_null(sample_quantity(design, "package/lead length", FL_NONE));
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);

    design = sample_good(USE("\"use\": \"frame.json\", \"side\": \"die\""));
    assert_int_equal(design->cases[0].sections[0].side, FL_SIDE_DIE);
    assert_int_equal(design->cases[0].sections[1].side, FL_SIDE_BOARD);
    fl_design_release(design);
}

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {USE("\"use\": 3"), "path[0].use", "expected the name of a file"},
    {USE("\"use\": \"none.json\""), "path[0].use", "none.json"},
    {USE("\"use\": \"\""), "path[0].use", ""},
    {USE("\"use\": \"/etc/passwd\""), "path[0].use", ""},
    {USE("\"use\": \"../../../README.md\""), "path[0].use", ""},
    {USE("\"use\": \"frame.json\", \"optional\": true"), "path[0].optional", "as a whole"},
    {USE("\"use\": \"frame.json\", \"length\": \"1 mm\""), "path[0].length", "length"},
    {USE("\"use\": \"broken-model.json\""), "designs/broken-model.json:3:27: path[0].capacitance",
     "expected a capacitance"},
    {USE("\"use\": \"empty-model.json\""), "designs/empty-model.json:1:25: path",
     "the path has no sections"},
    {USE("\"use\": \"banded-model.json\""), "designs/banded-model.json:1:25: band", "band"},
    {USE("\"use\": \"sized-model.json\""), "designs/sized-model.json:3:25: quantities.cap",
     "give the size in the \"set\""},
    {USE("\"use\": \"broken-model.json\""), "path[0].capacitance",
     ", used by section 'package' of " SAMPLE_FOLDER "/design.json:1:133"},
    {USE("\"use\": \"loop-a.json\""), "designs/loop-b.json:1:47: path[0].use",
     "in a loop: loop-a.json -> loop-b.json -> loop-a.json"},
};

static void bad_includes(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

/* The same file twice, also with a correlation in it. */
/* The sample's band is 26 to 30 GHz. */
static void a_band_is_left(void **state)
{
    (void)state;
    fl_design *design = sample_good(USE("\"use\": \"narrow-band.json\""));
    assert_int_equal(design->warning_count, 1);
    assert_non_null(strstr(design->warnings[0], "path[0].use"));
    assert_non_null(strstr(design->warnings[0], "hold from 0.1 to 27.5 GHz"));
    fl_design_release(design);
    design = sample_good("{\"fairlead\": 1, \"band\": [\"26 GHz\", \"27.5 GHz\"], " SAMPLE_PORTS
                         "\"path\": [{\"name\": \"package\", \"use\": \"narrow-band.json\"}]}");
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);
}

static void a_file_may_be_used_twice(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        SAMPLE_HEAD "\"path\": [{\"name\": \"a\", \"use\": \"correlated-model.json\"}, {\"name\": "
                    "\"b\", \"use\": \"correlated-model.json\", \"side\": \"board\"}]}");
    assert_int_equal(design->quantity_count, 4);
    assert_int_equal(design->group_count, 2);
    assert_int_equal(design->draw_count, 4); /* two groups at two levels */
    assert_int_equal(design->correlation_count, 1);
    fl_design_release(design);
}

#define DEEP FL_SCRATCH_DIR "/include"

static void write_chain(int depth)
{
    char file[300], text[300];
    fl_error error;
    check_ok(fl_folder_make(DEEP, &error), error);
    for (int i = 0; i < depth; i++) {
        snprintf(file, sizeof file, DEEP "/%d.json", i);
        if (i == depth - 1)
            snprintf(text, sizeof text,
                     "{\"fairlead\": 1, \"path\": [{\"name\": \"c\", \"kind\": \"shunt "
                     "capacitor\", \"capacitance\": \"1 fF\"}]}");
        else
            snprintf(text, sizeof text,
                     "{\"fairlead\": 1, \"path\": [{\"name\": \"s\", \"use\": \"%d.json\"}]}",
                     i + 1);
        check_ok(fl_file_write(file, text, strlen(text), &error), error);
    }
}

static void at_most_16_deep(void **state)
{
    (void)state;
    const char *text = USE("\"use\": \"0.json\"");
    for (int depth = 16; depth <= 17; depth++) {
        fl_design *design = NULL;
        fl_error error;
        write_chain(depth);
        const fl_design_source source = sample_source(text, strlen(text), DEEP "/design.json");
        const fl_status status = fl_design_resolve(&design, &source, &error);
        if (depth == 16) {
            check_ok(status, error);
            assert_int_equal(design->cases[0].section_count, 1);
            fl_design_release(design);
        } else {
            assert_int_equal(status, FL_BAD_INPUT);
            assert_non_null(strstr(error.message, "at most 16 deep"));
            assert_non_null(strstr(error.place, "15.json:1:"));
        }
    }
}

/* The sum goes over the design and the files it uses, each once. */
static void checksum_of_files(void **state)
{
    (void)state;
    const char *plain = SAMPLE_HEAD SAMPLE_PATH "}", *longer = SAMPLE_HEAD SAMPLE_PATH " }";
    fl_design *one = sample_good(plain), *two = sample_good(longer), *three = sample_good(plain);
    assert_true(one->checksum == fl_checksum(FL_CHECKSUM_START, plain, strlen(plain)));
    assert_true(one->checksum != two->checksum && one->checksum == three->checksum);
    fl_design_release(one);
    fl_design_release(two);
    fl_design_release(three);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_and_sides),   cmocka_unit_test(bad_includes),
        cmocka_unit_test(a_band_is_left),    cmocka_unit_test(a_file_may_be_used_twice),
        cmocka_unit_test(checksum_of_files), cmocka_unit_test(at_most_16_deep),
    };
    return cmocka_run_group_tests_name("design/include", tests, NULL, NULL);
}
