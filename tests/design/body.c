/* Bodies: of the design and of model files, each once, and refused. */
#include "reading.h"

#define BODY(json) SAMPLE_HEAD "\"body\": " json ", " SAMPLE_PATH "}"
#define MOULD "\"length\": \"4 mm\", \"width\": \"5 mm\", \"height\": \"0.9 mm\""
#define USES(body)                                                                                 \
    SAMPLE_HEAD body "\"path\": ["                                                                 \
                     "{\"name\": \"one\", \"use\": \"body-model.json\"}, "                         \
                     "{\"name\": \"two\", \"use\": \"body-model.json\"}]}"

static void of_the_design(void **state)
{
    (void)state;
    fl_design *design =
        sample_good(BODY("{" MOULD ", \"permittivity\": 3.7, \"paddle\": \"2.7 mm\", "
                         "\"comment\": \"from the drawing\"}"));
    const fl_body *body = design->bodies;
    assert_non_null(body);
    assert_null(body->next);
    check_near(4e-3, body->length, 1e-18, "length"); /* rounding */
    check_near(5e-3, body->width, 1e-18, "width");
    check_near(0.9e-3, body->height, 1e-18, "height");
    check_near(2.7e-3, body->paddle, 1e-18, "paddle");
    check_near(3.7, body->permittivity, 0.0, "permittivity");
    assert_non_null(strstr(body->place, "design.json:1:"));
    assert_non_null(strstr(body->place, ": body"));
    fl_design_release(design);

    design = sample_good(SAMPLE_HEAD SAMPLE_PATH "}");
    assert_null(design->bodies);
    fl_design_release(design);
}

static void of_model_files(void **state)
{
    (void)state;
    fl_design *design = sample_good(USES(""));
    assert_non_null(design->bodies);
    assert_null(design->bodies->next); /* used twice, one body */
    check_near(3e-3, design->bodies->length, 1e-18, "length");
    check_near(0.0, design->bodies->paddle, 0.0, "no paddle");
    assert_non_null(strstr(design->bodies->place, "designs/body-model.json:3:"));
    fl_design_release(design);

    design = sample_good(USES("\"body\": {" MOULD ", \"permittivity\": 3.7}, "));
    check_near(4e-3, design->bodies->length, 1e-18, "the design's");
    check_near(3e-3, design->bodies->next->length, 1e-18, "the model's");
    assert_null(design->bodies->next->next);
    fl_design_release(design);
}

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {BODY("3"), ": body", "expected a body"},
    {BODY("[]"), ": body", "expected a body"},
    {BODY("{}"), ": body", "'length' is missing"},
    {BODY("{" MOULD "}"), ": body", "'permittivity' is missing"},
    {BODY("{" MOULD ", \"permittivity\": 0.5}"), ": body.permittivity", "at least 1"},
    {BODY("{" MOULD ", \"permittivity\": \"1 mm\"}"), ": body.permittivity",
     "expected a bare number"},
    {BODY("{" MOULD ", \"permittivity\": 3.7, \"paddle\": \"0 mm\"}"), ": body.paddle",
     "must be positive"},
    {BODY("{" MOULD ", \"permittivity\": 3.7, \"paddle\": 2.7}"), ": body.paddle",
     "expected a length"},
    {BODY("{" MOULD ", \"permittivity\": 3.7, \"padle\": \"2 mm\"}"), ": body.padle", "paddle"},
    {BODY(
         "{\"length\": \"-4 mm\", \"width\": \"4 mm\", \"height\": \"1 mm\", \"permittivity\": 3}"),
     ": body.length", "must be positive"}};

static void refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(of_the_design),
                                       cmocka_unit_test(of_model_files), cmocka_unit_test(refused)};
    return cmocka_run_group_tests_name("design/body", tests, NULL, NULL);
}
