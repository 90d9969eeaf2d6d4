/* Substrates from model files: found, opened, set, and errors in their own places. */
#include "base/file.h"
#include "reading.h"

#define STRIP(more)                                                                                \
    "{\"name\": \"s\", \"kind\": \"strip\", \"side\": \"board\", \"width\": \"0.1 mm\", "          \
    "\"substrate\": \"board\"" more "}"
#define BOARD(json) SAMPLE_HEAD "\"substrates\": {\"board\": {" json "}}, "
#define DESIGN(json) BOARD(json) "\"path\": [" STRIP("") "]}"
#define ONE "\"use\": \"one-stack.json\""
#define SET(json) ONE ", \"set\": {" json "}"

enum { HEIGHT = 2, PERMITTIVITY = 3, ROUGHNESS = 4 }; /* of a strip */

static double value_of(const fl_design *design, size_t index, size_t section, size_t parameter)
{
    double values[40];
    assert_true(design->quantity_count <= COUNT_OF(values));
    fl_design_start(design, values);
    return fl_term_value(&design->cases[index].sections[section].terms[parameter], values);
}

/* Of the file only what the substrate needs becomes part of the design: neither the spare quantity
 * nor its correlation, nor a word on the loss tangent that no section takes. */
static void the_only_entry_is_the_substrate(void **state)
{
    (void)state;
    fl_design *design = sample_good(DESIGN(ONE));
    const fl_quantity *height = sample_quantity(design, "board height", FL_NONE);
    const fl_quantity *resin = sample_quantity(design, "board/resin", FL_NONE);
    assert_int_equal(design->quantity_count, 2);
    assert_non_null(height);
    assert_non_null(resin);
    check_near(127e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "height"); /* rounding */
    check_near(3.2, value_of(design, 0, 0, PERMITTIVITY), 0.0, "permittivity");
    check_near(1e-7, value_of(design, 0, 0, ROUGHNESS), 0.0, "fallback");
    assert_int_equal(height->spreads[0].level, FL_LEVEL_BOARD);
    assert_int_equal(resin->spreads[0].level, FL_LEVEL_LOT);
    assert_string_equal(design->draws[height->spreads[0].draw].name, "board height");
    assert_string_equal(design->draws[resin->spreads[0].draw].name, "resin");
    assert_non_null(strstr(height->place, "designs/one-stack.json:10:28: substrates.laminate."));
    assert_int_equal(design->correlation_count, 0);
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);
}

static const struct {
    const char *set, *name;
    double value;
    size_t parameter;
    bool sized;
    size_t warnings;
} sets[] = {
    {"\"height\": \"100 um\"", NULL, 100e-6, HEIGHT, false, 1},
    {"\"height\": {\"value\": \"130 um\"}", "board height", 130e-6, HEIGHT, false, 0},
    {"\"height\": {\"size\": [\"100 um\", \"200 um\"]}", "board height", 150e-6, HEIGHT, true, 0},
    {"\"height\": {\"from\": \"@outer\", \"times\": 2}", "outer", 80e-6, HEIGHT, false, 0},
    {"\"permittivity\": 3.9", NULL, 3.9, PERMITTIVITY, false, 0}, /* no spread of its own */
    {"\"roughness\": \"0.5 um\"", NULL, 0.5e-6, ROUGHNESS, false, 0},
    {"\"resin\": 3.5", "board/resin", 3.5, PERMITTIVITY, false, 1},
    {"\"resin\": {\"size\": [3, 4]}", "board/resin", 3.5, PERMITTIVITY, true, 0},
    {"\"comment\": 3, \"loss tangent\": 0.01", NULL, 3.2, PERMITTIVITY, false, 1},
    {"\"spare\": 2", NULL, 3.2, PERMITTIVITY, false, 2}, /* dropped, and not used */
    {"\"loss tangent\": {\"value\": 0.01, \"spread\": {\"normal\": \"1 %\"}}", NULL, 3.2,
     PERMITTIVITY, false, 1},
};

static void set_replaces_values_and_quantities(void **state)
{
    (void)state;
    char text[3000];
    for (size_t i = 0; i < COUNT_OF(sets); i++) {
        snprintf(text, sizeof text,
                 BOARD(SET("%s")) "\"quantities\": {\"outer\": \"40 um\"}, \"path\": [" STRIP(
                     ", \"length\": \"@outer\"") "]}",
                 sets[i].set);
        fl_design *design = sample_good(text);
        const fl_quantity *quantity =
            sets[i].name ? sample_quantity(design, sets[i].name, FL_NONE) : NULL;
        assert_int_equal(quantity != NULL, sets[i].name != NULL);
        check_close(sets[i].value, value_of(design, 0, 0, sets[i].parameter), 1e-15, "%s",
                    sets[i].set); /* rounding */
        assert_int_equal(quantity != NULL && quantity->sized, sets[i].sized);
        if (design->warning_count != sets[i].warnings)
            print_error("%s: %s\n", sets[i].set,
                        design->warning_count ? design->warnings[0] : "no warning");
        assert_int_equal(design->warning_count, sets[i].warnings);
        fl_design_release(design);
    }
}

/* The substrate's value and the quantity have one name; what a case sets is the quantity. */
static void a_set_may_name_a_quantity_like_the_value(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        BOARD(SET("\"height\": \"@board height\"")) "\"quantities\": {\"board height\": "
                                                    "\"90 um\"}, \"path\": [" STRIP(
                                                        "") "], \"cases\": [{\"name\": \"a\"}, "
                                                            "{\"name\": \"b\", \"set\": {\"board "
                                                            "height\": \"70 um\"}}]}");
    check_near(90e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "a"); /* rounding */
    check_near(70e-6, value_of(design, 1, 0, HEIGHT), 1e-19, "b"); /* rounding */
    fl_design_release(design);
}

static void dropped_spreads_are_one_warning(void **state)
{
    (void)state;
    fl_design *design = sample_good(DESIGN(SET("\"height\": \"100 um\", \"resin\": 3")));
    assert_int_equal(design->warning_count, 1);
    assert_non_null(strstr(design->warnings[0],
                           "designs/design.json:1:181: substrates.board.set: plain values drop the "
                           "spread of 'height' and of 1 more"));
    fl_design_release(design);
}

/* A file of several, with a path of its own; its entry comes from a further file and is set on the
 * way. The outer value comes first. */
static void the_entry_of_the_same_name(void **state)
{
    (void)state;
    fl_design *design = sample_good(DESIGN("\"use\": \"two-stacks.json\""));
    check_near(127e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "height"); /* rounding */
    check_near(3.0, value_of(design, 0, 0, PERMITTIVITY), 0.0, "permittivity");
    check_near(4e-7, value_of(design, 0, 0, ROUGHNESS), 1e-22, "roughness"); /* rounding */
    assert_non_null(sample_quantity(design, "board/board/resin", FL_NONE));
    assert_non_null(sample_quantity(design, "board/foil", FL_NONE));
    assert_non_null(sample_quantity(design, "board height", FL_NONE));
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);

    design = sample_good(DESIGN("\"use\": \"two-stacks.json\", \"set\": {\"roughness\": \"0.6 "
                                "um\", \"board/resin\": {\"value\": 2.8}}"));
    check_near(6e-7, value_of(design, 0, 0, ROUGHNESS), 1e-22, "outer roughness"); /* rounding */
    check_near(2.8, value_of(design, 0, 0, PERMITTIVITY), 0.0, "outer resin");
    fl_design_release(design);
}

#define CASES(json) ", \"cases\": [{\"name\": \"a\"}, {\"name\": \"b\", \"set\": {" json "}}]}"

static void a_case_sets_the_values(void **state)
{
    (void)state;
    fl_design *design = sample_good(BOARD(ONE) "\"path\": [" STRIP("") "]" CASES(
        "\"board height\": {\"value\": \"100 um\"}, \"board/resin\": {\"value\": 2.9}"));
    check_near(127e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "height, a"); /* rounding */
    check_near(100e-6, value_of(design, 1, 0, HEIGHT), 1e-19, "height, b"); /* rounding */
    check_near(3.2, value_of(design, 0, 0, PERMITTIVITY), 0.0, "permittivity, a");
    check_near(2.9, value_of(design, 1, 0, PERMITTIVITY), 0.0, "permittivity, b");
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);

    design =
        sample_good(BOARD(ONE) "\"path\": [" STRIP("") "]" CASES("\"board height\": \"1 mm\""));
    assert_int_equal(design->warning_count, 1);
    assert_non_null(strstr(design->warnings[0], "cases[1].set: a plain value drops the spread"));
    fl_design_release(design);
}

static void a_model_has_its_substrate_from_a_file(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        SAMPLE_HEAD "\"path\": [{\"name\": \"package\", \"use\": \"boarded-model.json\", \"set\": "
                    "{\"board height\": {\"value\": \"60 um\"}, \"board/resin\": {\"value\": "
                    "4}}}]}");
    check_near(60e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "height"); /* rounding */
    check_near(4.0, value_of(design, 0, 0, PERMITTIVITY), 0.0, "permittivity");
    assert_non_null(sample_quantity(design, "package/board height", FL_NONE));
    assert_non_null(sample_quantity(design, "package/board/resin", FL_NONE));
    fl_design_release(design);
}

static void starts_are_written_into_a_set(void **state)
{
    (void)state;
    fl_design *design = sample_good(DESIGN(SET("\"height\": {\"size\": [\"1 um\", \"3 um\"]}, "
                                               "\"resin\": {\"size\": [3, 4]}")));
    double values[] = {1.5e-6, 3.25}, back[2];
    char *made = NULL;
    size_t length = 0;
    fl_error error;
    assert_int_equal(design->quantity_count, 2);
    const bool height_first = design->quantities[0].high < 1.0;
    const double ordered[] = {values[height_first ? 0 : 1], values[height_first ? 1 : 0]};
    check_ok(fl_design_with_starts(&made, &length, design, ordered, &error), error);
    fl_design *again = sample_good(made);
    fl_design_start(again, back);
    for (size_t i = 0; i < 2; i++)
        check_near(ordered[i], back[i], 0.0, "%s", again->quantities[i].name); /* the same bits */
    fl_memory_free(made);
    fl_design_release(again);
    fl_design_release(design);
}

static void an_unused_one_is_warned_of(void **state)
{
    (void)state;
    fl_design *design = sample_good(BOARD(ONE) SAMPLE_PATH "}");
    assert_int_equal(design->warning_count, 1);
    assert_non_null(strstr(design->warnings[0], "substrate 'board' is not used"));
    assert_int_equal(design->quantity_count, 0);
    fl_design_release(design);
}

#define USED(file) ", used by substrate 'board' of " SAMPLE_FOLDER "/" file
#define FROM_BAD(name) SAMPLE_HEAD "\"substrates\": {\"" name "\": {\"use\": \"bad-stack.json\"}}, "
#define ON_BAD(name)                                                                               \
    FROM_BAD(name)                                                                                 \
    "\"path\": [{\"name\": \"s\", \"kind\": \"strip\", \"side\": \"board\", \"width\": "           \
    "\"0.1 mm\", \"substrate\": \"" name "\"}]}"

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {DESIGN("\"use\": 3"), "substrates.board.use", "expected the name of a file"},
    {DESIGN("\"use\": \"none.json\""), "substrates.board.use", "none.json"},
    {DESIGN("\"use\": \"/etc/passwd\""), "substrates.board.use", ""},
    {DESIGN("\"use\": \"../../../README.md\""), "substrates.board.use", ""},
    {DESIGN(ONE ", \"height\": \"1 mm\""), "substrates.board.height",
     "has its values from the file: give 'height' in its \"set\""},
    {DESIGN(ONE ", \"sett\": {}"), "substrates.board.sett", "known key such as 'set'"},
    {DESIGN("\"uze\": \"one-stack.json\""), "substrates.board.uze", "known key such as 'use'"},
    {DESIGN("\"set\": {}"), "substrates.board.set", "found 'set'"},
    {DESIGN(ONE ", \"set\": 3"), "substrates.board.set", "expected an object of values to set"},
    {DESIGN(SET("\"height\": 3")), "substrates.board.set.height", "expected a length"},
    {DESIGN(SET("\"hight\": \"1 mm\"")), "substrates.board.set.hight",
     "there is no value of a substrate or quantity 'hight'; the nearest is 'height'"},
    {DESIGN(SET("\"resn\": 3")), "substrates.board.set.resn", "the nearest is 'resin'"},
    {DESIGN(SET("\"resin\": \"3 um\"")),
     "designs/one-stack.json:10:95: substrates.laminate."
     "permittivity",
     "but 'board/resin' is a length" USED("design.json:1:148")},
    {DESIGN(SET("\"height\": \"-1 mm\"")), "substrates.board.set.height", "must be positive"},
    {DESIGN(SET("\"height\": \"@resin\"")), "substrates.board.set.height",
     "there is no quantity 'resin'"},
    {DESIGN("\"use\": \"frame.json\""), "substrates.board.use", "'frame.json' has no substrates"},
    {DESIGN("\"use\": \"bad-stack.json\""), "substrates.board.use",
     "'bad-stack.json' has 4 substrates and none is named 'board', but one is 'sized'"},
    {DESIGN("\"use\": \"idle-model.json\""), "designs/idle-model.json:1:1",
     "expected a \"path\" or \"substrates\"" USED("design.json:1:148")},
    {DESIGN("\"use\": \"loop-stack.json\""), "designs/loop-stack.json:3:35: substrates.board.use",
     "in a loop: loop-stack.json -> loop-stack.json" USED("design.json:1:148")},
    {FROM_BAD("lots") SAMPLE_PATH "}", "substrates.lots.use", "the nearest is 'lost'"},
    {FROM_BAD("lost") SAMPLE_PATH "}", "designs/bad-stack.json:6:57: substrates.lost.set.resins",
     "the nearest is 'resin', used by substrate 'lost' of "},
    {ON_BAD("sized"), "designs/bad-stack.json:4:25: substrates.sized.height",
     "give the size in the \"set\" of what uses it, used by substrate 'sized' of "},
    {ON_BAD("unnamed"), "designs/bad-stack.json:5:51: substrates.unnamed.permittivity",
     "there is no quantity 'resin', used by substrate 'unnamed' of "},
    {ON_BAD("flat"), "designs/bad-stack.json:7:24: substrates.flat.height",
     "must be positive, found 0 m, used by substrate 'flat' of "},
    {BOARD("\"use\": \"two-stacks.json\"") "\"path\": [{\"name\": \"p\", \"use\": "
                                           "\"one-stack.json\"}]}",
     "path[0].use", "'one-stack.json' has no path: it is a file for \"substrates\""},
    {BOARD(ONE) "\"path\": [" STRIP("") "]" CASES("\"board hight\": \"1 mm\""),
     "cases[1].set.board hight", "the nearest is 'board height'"},
    {SAMPLE_HEAD "\"substrates\": {\"p/board\": {\"height\": \"1 mm\"}}, \"path\": [{\"name\": "
                 "\"p\", \"use\": \"boarded-model.json\"}]}",
     "designs/boarded-model.json:3:27: substrates.board", "two substrates are named 'p/board'"},
};

static void bad_stacks(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

#define DEEP FL_SCRATCH_DIR "/stack"

/* Files 0.json to depth - 1, each with its substrate from the next. */
static void write_chain(int depth)
{
    char file[300], text[300];
    fl_error error;
    check_ok(fl_folder_make(DEEP, &error), error);
    for (int i = 0; i < depth; i++) {
        snprintf(file, sizeof file, DEEP "/%d.json", i);
        snprintf(text, sizeof text,
                 "{\"fairlead\": 1, \"substrates\": {\"b\": {\"use\": \"%d.json\"}}}", i + 1);
        if (i == depth - 1)
            snprintf(text, sizeof text,
                     "{\"fairlead\": 1, \"substrates\": {\"b\": {\"height\": \"1 mm\", "
                     "\"permittivity\": 2}}}");
        check_ok(fl_file_write(file, text, strlen(text), &error), error);
    }
}

static void at_most_16_deep(void **state)
{
    (void)state;
    const char *text = DESIGN("\"use\": \"0.json\"");
    for (int depth = 16; depth <= 17; depth++) {
        fl_design *design = NULL;
        fl_error error;
        write_chain(depth);
        const fl_design_source source = sample_source(text, strlen(text), DEEP "/design.json");
        const fl_status status = fl_design_resolve(&design, &source, &error);
        assert_int_equal(status, depth == 16 ? FL_OK : FL_BAD_INPUT);
        if (depth == 17)
            assert_non_null(strstr(error.message, "at most 16 deep"));
        fl_design_release(design);
    }
}

static void texts_with_a_wrong_byte(void **state)
{
    (void)state;
    char text[] = DESIGN(SET("\"height\": {\"value\": \"9 um\"}, \"resin\": 3, \"comment\": []"));
    sample_wrong_bytes(text, strlen(SAMPLE_HEAD));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_only_entry_is_the_substrate),
        cmocka_unit_test(set_replaces_values_and_quantities),
        cmocka_unit_test(a_set_may_name_a_quantity_like_the_value),
        cmocka_unit_test(dropped_spreads_are_one_warning),
        cmocka_unit_test(the_entry_of_the_same_name),
        cmocka_unit_test(a_case_sets_the_values),
        cmocka_unit_test(a_model_has_its_substrate_from_a_file),
        cmocka_unit_test(starts_are_written_into_a_set),
        cmocka_unit_test(an_unused_one_is_warned_of),
        cmocka_unit_test(bad_stacks),
        cmocka_unit_test(at_most_16_deep),
        cmocka_unit_test(texts_with_a_wrong_byte),
    };
    return cmocka_run_group_tests_name("design/stack", tests, NULL, NULL);
}
