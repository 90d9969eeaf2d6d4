/* Substrates: found, shared, set, sized and refused. */
#include "base/file.h"
#include "reading.h"

#define STRIP(name, side, more)                                                                    \
    "{\"name\": \"" name "\", \"kind\": \"strip\", \"side\": \"" side                              \
    "\", \"width\": \"0.1 mm\"" more "}"
#define ON(name) ", \"substrate\": \"" name "\""
#define BOARD(json) "\"substrates\": {\"board\": {" json "}}"
#define DESIGN(substrates, path) SAMPLE_HEAD substrates ", \"path\": [" path "]}"
#define PLAIN "\"height\": \"127 um\", \"permittivity\": 3.5"
#define SPREAD                                                                                     \
    "\"height\": {\"value\": \"127 um\", \"spread\": {\"normal\": \"5 um\"}}, "                    \
    "\"permittivity\": 3.5"

enum { HEIGHT = 2, PERMITTIVITY = 3, ROUGHNESS = 4 }; /* of a strip */

static double value_of(const fl_design *design, size_t index, size_t section, size_t parameter)
{
    double values[40];
    assert_true(design->quantity_count <= COUNT_OF(values));
    fl_design_start(design, values);
    return fl_term_value(&design->cases[index].sections[section].terms[parameter], values);
}

static void plain_values_and_the_fallback(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        DESIGN(BOARD(PLAIN ", \"loss tangent\": 0.002"), STRIP("s", "board", ON("board"))));
    check_near(127e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "height"); /* rounding */
    check_near(3.5, value_of(design, 0, 0, PERMITTIVITY), 0.0, "permittivity");
    check_near(1e-7, value_of(design, 0, 0, ROUGHNESS), 0.0, "roughness");
    assert_false(design->cases[0].sections[0].terms[ROUGHNESS].given);
    assert_int_equal(design->quantity_count, 0);
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);
}

static void one_quantity_for_all_sections(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        DESIGN(BOARD(SPREAD),
               STRIP("a", "board", ON("board")) ", " STRIP(
                   "b", "board", ON("board")) ", {\"name\": \"c\", \"kind\": "
                                              "\"patch\", \"side\": \"board\"" ON("board") "}"));
    assert_int_equal(design->quantity_count, 1);
    assert_int_equal(design->draw_count, 1);
    const fl_quantity *height = sample_quantity(design, "board height", FL_NONE);
    assert_non_null(height);
    assert_int_equal(height->side, FL_SIDE_BOARD);
    assert_int_equal(height->spreads[0].level, FL_LEVEL_BOARD);
    assert_non_null(strstr(height->place, ": substrates.board.height"));
    for (size_t i = 0; i < 2; i++)
        assert_int_equal(design->cases[0].sections[i].terms[HEIGHT].quantity, 0);
    assert_int_equal(design->cases[0].sections[2].terms[2].quantity, 0);
    fl_design_release(design);

    design = sample_good(DESIGN(BOARD(SPREAD), STRIP("a", "die", ON("board"))));
    assert_int_equal(design->quantities[0].spreads[0].level, FL_LEVEL_DIE);
    fl_design_release(design);
}

static const struct {
    const char *height, *name;
    double value;
    bool sized;
} forms[] = {
    {"{\"value\": \"90 um\"}", "board height", 90e-6, false},
    {"{\"size\": [\"80 um\", \"120 um\"], \"start\": \"90 um\"}", "board height", 90e-6, true},
    {"\"@h\"", "h", 200e-6, false},
    {"{\"from\": \"@h\", \"times\": 0.5}", "h", 200e-6, false},
};

static void every_form(void **state)
{
    (void)state;
    char text[2000];
    for (size_t i = 0; i < COUNT_OF(forms); i++) {
        snprintf(
            text, sizeof text,
            SAMPLE_HEAD "\"quantities\": {\"h\": \"200 um\"}, " BOARD(
                "\"height\": %s, \"permittivity\": 3.5") ", \"path\": [" STRIP("s", "board",
                                                                               ON("board")) "]}",
            forms[i].height);
        fl_design *design = sample_good(text);
        const fl_quantity *quantity = sample_quantity(design, forms[i].name, FL_NONE);
        assert_non_null(quantity);
        check_close(forms[i].value, quantity->value, 1e-15, "%s", text); /* rounding */
        assert_int_equal(quantity->sized, forms[i].sized);
        fl_design_release(design);
    }
}

#define OUTER "\"outer board\": {\"height\": \"60 um\", \"permittivity\": 2.9}"
#define LAID(substrates, more)                                                                     \
    DESIGN("\"substrates\": {" substrates "}",                                                     \
           "{\"name\": \"package\", \"use\": \"laid-model.json\"" more "}")

/* The file's own comes before one of that name in the design. */
static void looked_up_in_the_own_file_then_outwards(void **state)
{
    (void)state;
    fl_design *design =
        sample_good(LAID(OUTER ", \"board\": {\"height\": \"1 mm\", \"permittivity\": 9}", ""));
    check_near(100e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "own height"); /* rounding */
    check_near(3.3, value_of(design, 0, 0, PERMITTIVITY), 0.0, "own permittivity");
    check_near(60e-6, value_of(design, 0, 1, HEIGHT), 1e-19, "outer height"); /* rounding */
    const fl_quantity *height = sample_quantity(design, "package/board height", FL_NONE);
    assert_non_null(height);
    assert_int_equal(height->spreads[0].level, FL_LEVEL_ASSEMBLY);
    assert_int_equal(design->warning_count, 1);
    assert_non_null(strstr(design->warnings[0], ": substrates.board: substrate 'board' is not "
                                                "used"));
    fl_design_release(design);
}

static void a_section_sets_the_values_of_its_model(void **state)
{
    (void)state;
    fl_design *design =
        sample_good(LAID(OUTER, ", \"set\": {\"board height\": {\"size\": [\"50 um\", \"70 um\"]}, "
                                "\"board roughness\": \"0.3 um\"}"));
    const fl_quantity *height = sample_quantity(design, "package/board height", FL_NONE);
    assert_non_null(height);
    assert_true(height->sized);
    check_near(60e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "height"); /* rounding */
    check_near(3e-7, value_of(design, 0, 0, ROUGHNESS), 0.0, "roughness");
    check_near(1e-7, value_of(design, 0, 1, ROUGHNESS), 0.0, "another's roughness");
    fl_design_release(design);
}

#define CASES(json) ", \"cases\": [{\"name\": \"a\"}, {\"name\": \"b\", " json "}]}"
/* A strip on a substrate in two cases, the second with more keys. */
#define VARIANTS(board, side, json)                                                                \
    SAMPLE_HEAD BOARD(board) ", \"path\": [" STRIP("s", side, ON("board")) "]" CASES(json)
#define PER_CASE "\"height\": {\"size\": [\"80 um\", \"120 um\"], \"per case\": true}"

static void a_case_sets_a_value(void **state)
{
    (void)state;
    fl_design *design = sample_good(VARIANTS(SPREAD, "board",
                                             "\"set\": {\"board height\": {\"value\": \"100 um\"}, "
                                             "\"board permittivity\": 2.5}"));
    check_near(127e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "height, a"); /* rounding */
    check_near(100e-6, value_of(design, 1, 0, HEIGHT), 1e-19, "height, b"); /* rounding */
    check_near(3.5, value_of(design, 0, 0, PERMITTIVITY), 0.0, "permittivity, a");
    check_near(2.5, value_of(design, 1, 0, PERMITTIVITY), 0.0, "permittivity, b");
    assert_non_null(sample_quantity(design, "board height", 1));
    fl_design_release(design);
}

static void a_replaced_section_has_another_substrate(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        SAMPLE_HEAD "\"substrates\": {\"board\": {" PLAIN "}, " OUTER
                    "}, \"path\": [" STRIP("s", "board", ON("board")) "]" CASES(
                        "\"replace\": {\"s\": {\"kind\": \"strip\", \"width\": \"0.1 mm\"" ON(
                            "outer board") "}}"));
    check_near(127e-6, value_of(design, 0, 0, HEIGHT), 1e-19, "a"); /* rounding */
    check_near(60e-6, value_of(design, 1, 0, HEIGHT), 1e-19, "b");  /* rounding */
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);
}

static void starts_are_written_into_substrates(void **state)
{
    (void)state;
    static const char text[] = VARIANTS(PER_CASE ", \"permittivity\": {\"size\": [2, 4], "
                                                 "\"start\": 3}",
                                        "board", "\"set\": {}");
    fl_design *design = sample_good(text);
    double values[3], back[3];
    char *made = NULL;
    size_t length = 0;
    fl_error error;
    assert_int_equal(design->quantity_count, 3);
    for (size_t i = 0; i < 3; i++)
        values[i] = design->quantities[i].low * (1.1 + 0.1 * (double)i);
    check_ok(fl_design_with_starts(&made, &length, design, values, &error), error);
    assert_non_null(strstr(made, "\"120 um\"], \"start\": [\""));
    fl_design *again = sample_good(made);
    fl_design_start(again, back);
    for (size_t i = 0; i < 3; i++)
        check_near(values[i], back[i], 0.0, "%s", design->quantities[i].name); /* the same bits */
    fl_memory_free(made);
    fl_design_release(again);
    fl_design_release(design);
}

static void what_varies_unused_is_warned_of(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        DESIGN("\"substrates\": {\"board\": {" PLAIN ", \"comment\": {\"size\": 1}, \"loss "
               "tangent\": {\"value\": 0.002, \"spread\": {\"normal\": \"5 %\"}}}, \"comment\": 1, "
               "\"other\": {\"height\": {\"size\": [\"1 um\", \"2 um\"]}}}",
               STRIP("s", "board", ON("board"))));
    assert_int_equal(design->warning_count, 2);
    assert_non_null(strstr(design->warnings[0], ": substrates.board.loss tangent: value of a "
                                                "substrate 'board loss tangent' is not used"));
    assert_non_null(strstr(design->warnings[1], "substrate 'other' is not used"));
    assert_int_equal(design->quantity_count, 0);
    fl_design_release(design);
}

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {DESIGN("\"substrates\": []", SAMPLE_LINE), "substrates", "expected an object of named"},
    {DESIGN("\"substrates\": {\"board\": 3}", SAMPLE_LINE), "substrates.board",
     "expected a substrate {\"height\": ...}"},
    {DESIGN("\"substrates\": {\"\": {}}", SAMPLE_LINE), "substrates.", "may not be empty"},
    {DESIGN(BOARD("\"hight\": \"1 mm\""), SAMPLE_LINE), "substrates.board.hight",
     "expected a known key such as 'height', found 'hight'"},
    {DESIGN(BOARD("\"width\": \"1 mm\""), SAMPLE_LINE), "substrates.board.width", "found 'width'"},
    {DESIGN(BOARD("\"height\": \"1 fF\""), SAMPLE_LINE), "substrates.board.height",
     "expected a length"},
    {DESIGN(BOARD("\"height\": 3"), SAMPLE_LINE), "substrates.board.height", "expected a length"},
    {DESIGN(BOARD("\"height\": \"0 um\", \"permittivity\": 3"), STRIP("s", "board", ON("board"))),
     "substrates.board.height", "'substrate height' must be positive, found 0 m"},
    {DESIGN(BOARD("\"height\": {\"size\": [\"0 um\", \"9 um\"]}, \"permittivity\": 3"),
            STRIP("s", "board", ON("board"))),
     "substrates.board.height", "at the low end of its range"},
    {DESIGN(BOARD("\"height\": \"1 mm\""), STRIP("s", "board", ON("board"))), "substrates.board",
     "'permittivity' is missing: section 's' needs it"},
    {DESIGN(BOARD(PLAIN), STRIP("s", "board", "")), "path[0]", "'substrate' is missing"},
    {DESIGN(BOARD(PLAIN), STRIP("s", "board", ON("bord"))), "path[0].substrate",
     "there is no substrate 'bord'; the nearest is 'board'"},
    {SAMPLE_HEAD "\"path\": [" STRIP("s", "board", ON("board")) "]}", "path[0].substrate",
     "there is no substrate 'board'"},
    {DESIGN("\"substrates\": {\"comment\": {" PLAIN "}}", STRIP("s", "board", ON("comment"))),
     "path[0].substrate", "there is no substrate 'comment'"},
    {DESIGN(BOARD(PLAIN), STRIP("s", "board", ", \"substrate\": 3")), "path[0].substrate",
     "expected a name"},
    {DESIGN(BOARD(PLAIN), STRIP("s", "board", ON("board") ", \"substrate height\": \"1 mm\"")),
     "path[0].substrate height", "'height' is a value of the substrate"},
    {DESIGN(BOARD(PLAIN), STRIP("s", "board", ON("board") ", \"height\": \"1 mm\"")),
     "path[0].height", "expected a known key"},
    {DESIGN(BOARD(PLAIN), "{\"name\": \"s\", \"kind\": \"line\", \"side\": \"board\", "
                          "\"impedance\": \"50 ohm\", \"length\": \"1 mm\"" ON("board") "}"),
     "path[0].substrate", "a section of kind 'line' has no substrate"},
    {DESIGN(BOARD(SPREAD), STRIP("a", "die", ON("board")) ", " STRIP("b", "board", ON("board"))),
     "substrates.board.height", "'board height' is used on several sides"},
    {DESIGN(BOARD(PLAIN),
            STRIP("s", "board", ON("board")) ", {\"name\": \"board\", \"kind\": "
                                             "\"patch\", \"side\": \"board\"" ON("board") "}"),
     "path[1]", "'board height' is a value of a section and of a substrate"},
    {VARIANTS(PLAIN, "board", "\"set\": {\"board hight\": \"1 mm\"}"), "cases[1].set.board hight",
     "the nearest is 'board height'"},
    {VARIANTS(PER_CASE ", \"permittivity\": 3", "die", "\"set\": {}"), "substrates.board.height",
     "a die has one mask"},
    {LAID(OUTER, ", \"set\": {\"board hight\": \"1 mm\"}"), "path[0].set.board hight",
     "the nearest is 'board height'"},
    {LAID(OUTER, ", \"set\": {\"outer board height\": \"1 mm\"}"), "path[0].set.outer board height",
     "there is no quantity or parameter"},
    {LAID("\"a\": {}", ""), "designs/laid-model.json:9:52: path[1].substrate",
     "there is no substrate 'outer board', used by section 'package' of "},
    {DESIGN(BOARD(PLAIN), "{\"name\": \"package\", \"use\": \"bare-model.json\"}"),
     "designs/bare-model.json:3:59: path[0].substrate", "the nearest is 'board'"},
};

static void bad_substrates(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

static void texts_with_a_wrong_byte(void **state)
{
    (void)state;
    char text[] =
        LAID(OUTER ", \"b\": {\"height\": {\"size\": [\"1 um\", \"2 um\"]}}",
             ", \"set\": {\"board height\": \"9 um\"}}, " STRIP("s", "board", ON("outer board")));
    sample_wrong_bytes(text, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_values_and_the_fallback),
        cmocka_unit_test(one_quantity_for_all_sections),
        cmocka_unit_test(every_form),
        cmocka_unit_test(looked_up_in_the_own_file_then_outwards),
        cmocka_unit_test(a_section_sets_the_values_of_its_model),
        cmocka_unit_test(a_case_sets_a_value),
        cmocka_unit_test(a_replaced_section_has_another_substrate),
        cmocka_unit_test(starts_are_written_into_substrates),
        cmocka_unit_test(what_varies_unused_is_warned_of),
        cmocka_unit_test(bad_substrates),
        cmocka_unit_test(texts_with_a_wrong_byte),
    };
    return cmocka_run_group_tests_name("design/substrate", tests, NULL, NULL);
}
