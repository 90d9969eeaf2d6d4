/* The transition from above. */
#include "drawn.h"
#include "xml.h"

#include "reports/drawing.h"

/** One part of a kind at 0.5 units per um, from x = 20 to x = 120. */
static void draw(fl_text *text, const char *kind, fl_part part,
                 const fl_result_parameter *parameters, size_t count)
{
    fl_result_parameter copies[4];
    memcpy(copies, parameters, count * sizeof *parameters);
    const fl_result_piece piece = {
        .name = "x", .kind = kind, .parameters = copies, .parameter_count = count};
    part.piece = &piece;
    part.x = 20.0;
    part.span = 100.0;
    const fl_drawing drawing = {.parts = &part,
                                .count = 1,
                                .width = 240.0,
                                .scale = 5e5,
                                .plan = 100.0,
                                .above = 90.0,
                                .below = 90.0};
    fl_text_init(text);
    fl_drawing_plan(text, &drawing);
    xml_read(text->bytes, text->length);
}

#define LENGTH(NAME, VALUE)                                                                        \
    {                                                                                              \
        .name = (NAME), .value = (VALUE), .dimension = FL_LENGTH, .given = true                    \
    }

static void draws_widths_to_scale(void **state)
{
    (void)state;
    fl_text text;
    const fl_result_parameter none[1] = {LENGTH("length", 200e-6)};
    draw(&text, "taper", (fl_part){.look = FL_LOOK_TRACE, .width = {100e-6, 40e-6}}, none, 1);
    check_has(text.bytes, "d=\"M20 75L120 90L120 110L20 125Z\"");
    fl_text_release(&text);
    draw(&text, "open microstrip stub",
         (fl_part){.look = FL_LOOK_TRACE_STUB, .width = {60e-6, 60e-6}, .reach = 50.0}, none, 1);
    check_has(text.bytes, "x=\"55\" y=\"50\" width=\"30\" height=\"50\"");
    fl_text_release(&text);
}

static void draws_every_wire_at_its_pitch(void **state)
{
    (void)state;
    fl_text text;
    const fl_result_parameter wires[] = {{.name = "count", .value = 3.0},
                                         LENGTH("pitch", 100e-6),
                                         {.name = "returns", .value = 1.0}};
    draw(&text, "bond wires", (fl_part){.look = FL_LOOK_WIRES, .width = {25e-6, 25e-6}}, wires, 3);
    check_has(text.bytes, "class=\"fl-arc\" x1=\"20\" y1=\"50\" x2=\"120\" y2=\"50\"");
    check_has(text.bytes, "class=\"fl-arc\" x1=\"20\" y1=\"100\" x2=\"120\" y2=\"100\"");
    check_has(text.bytes, "class=\"fl-arc\" x1=\"20\" y1=\"150\" x2=\"120\" y2=\"150\"");
    check_has(text.bytes, "class=\"fl-dash\" x1=\"20\" y1=\"200\" x2=\"120\" y2=\"200\"");
    fl_text_release(&text);
}

static void draws_holes_and_grounds(void **state)
{
    (void)state;
    fl_text text;
    const fl_result_parameter via[] = {LENGTH("pad", 120e-6), LENGTH("antipad", 240e-6)};
    draw(&text, "via", (fl_part){.look = FL_LOOK_VIA, .width = {80e-6, 80e-6}}, via, 2);
    check_has(text.bytes, "class=\"fl-metal\" cx=\"70\" cy=\"100\" r=\"20\"");
    check_has(text.bytes, "class=\"fl-outline\" cx=\"70\" cy=\"100\" r=\"30\"");
    check_has(text.bytes, "cx=\"70\" cy=\"100\" r=\"60\"");
    fl_text_release(&text);
    const fl_result_parameter gap[] = {LENGTH("gap", 50e-6)};
    draw(&text, "grounded coplanar", (fl_part){.look = FL_LOOK_TRACE, .width = {60e-6, 60e-6}}, gap,
         1);
    check_has(text.bytes, "class=\"fl-beside\" x=\"20\" y=\"140\" width=\"100\" height=\"50\"");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(draws_widths_to_scale),
        cmocka_unit_test(draws_every_wire_at_its_pitch),
        cmocka_unit_test(draws_holes_and_grounds),
    };
    return cmocka_run_group_tests_name("reports/drawing_plan", tests, NULL, NULL);
}
