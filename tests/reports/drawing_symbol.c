/* Symbols of what has no size. */
#include "drawn.h"
#include "xml.h"

#include "reports/drawing.h"

static void draws_each_element_in_its_room(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *wanted;
        fl_look look;
    } rows[] = {{"series inductor", "A", FL_LOOK_SERIES}, {"series capacitor", "", FL_LOOK_SERIES},
                {"series resistor", "L", FL_LOOK_SERIES}, {"shunt inductor", "A", FL_LOOK_SHUNT},
                {"shunt capacitor", "", FL_LOOK_SHUNT},   {"shunt resistor", "L", FL_LOOK_SHUNT},
                {"ground", "A", FL_LOOK_RETURN}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const fl_result_piece piece = {.name = "x", .kind = rows[i].kind};
        const fl_part part = {.piece = &piece, .look = rows[i].look, .x = 100.0, .span = 36.0};
        fl_text text;
        fl_text_init(&text);
        fl_svg_open(&text, "fl-part");
        fl_symbol_draw(&text, &part, 50.0);
        fl_svg_close(&text);
        assert_true(xml_read(text.bytes, text.length) > 2);
        const char *path = strstr(text.bytes, " d=\"");
        assert_int_equal(rows[i].wanted[0] != '\0', path != NULL);
        if (path)
            assert_non_null(strstr(path, rows[i].wanted));
        assert_int_equal(rows[i].look != FL_LOOK_SERIES, fl_symbol_depth(&part) > 0.0);
        fl_text_release(&text);
    }
}

static void draws_ground_both_ways(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    fl_symbol_ground(&text, (fl_point){10.0, 20.0}, 1.0);
    check_has(text.bytes, "x1=\"4\" y1=\"20\" x2=\"16\" y2=\"20\"");
    check_has(text.bytes, "x1=\"8\" y1=\"26\" x2=\"12\" y2=\"26\"");
    fl_symbol_ground(&text, (fl_point){10.0, 20.0}, -1.0);
    check_has(text.bytes, "x1=\"8\" y1=\"14\" x2=\"12\" y2=\"14\"");
    fl_text_release(&text);
}

static void marks_a_break(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    fl_symbol_break(&text, (fl_point){10.0, 20.0}, 5.0, false);
    check_has(text.bytes, "<line class=\"fl-gap\" x1=\"8.5\" y1=\"28\" x2=\"11.5\" y2=\"12\"/>");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(draws_each_element_in_its_room),
        cmocka_unit_test(draws_ground_both_ways),
        cmocka_unit_test(marks_a_break),
    };
    return cmocka_run_group_tests_name("reports/drawing_symbol", tests, NULL, NULL);
}
