/* The writer of pictures. */
#include "made.h"
#include "xml.h"

#include "reports/svg.h"

static void escapes_what_xml_has_not(void **state)
{
    (void)state;
    static const struct {
        const char *from, *wanted;
    } rows[] = {
        {"plain", "plain"},
        {"</script><b a='1' c=\"2\">&",
         "&lt;/script&gt;&lt;b a=&#39;1&#39; c=&quot;2&quot;&gt;&amp;"},
        {"a\x01z\x1f", "a\xEF\xBF\xBDz\xEF\xBF\xBD"},
        {"tab\tline\n", "tab\tline\n"},
        {"\xEF\xBF\xBE.\xEF\xBF\xBF", "\xEF\xBF\xBD.\xEF\xBF\xBD"},
        {"\xE5\xB0\x81 \xF0\x9F\x98\x80 \xEF\xBC\x81",
         "\xE5\xB0\x81 \xF0\x9F\x98\x80 \xEF\xBC\x81"},
        {"]]>", "]]&gt;"},
        {"", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_text text;
        fl_text_init(&text);
        fl_text_add(&text, "");
        fl_svg_escape(&text, rows[i].from);
        assert_string_equal(rows[i].wanted, text.bytes);
        fl_text_release(&text);
    }
}

static void writes_few_digits(void **state)
{
    (void)state;
    static const struct {
        double from;
        const char *wanted;
    } rows[] = {{0.0, "0"},          {-0.001, "0"},      {1.0 / 3.0, "0.33"},
                {-12.346, "-12.35"}, {100.0, "100"},     {(double)NAN, "0"},
                {HUGE_VAL, "0"},     {0.1 + 0.2, "0.3"}, {1234.5, "1234.5"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_text text;
        fl_text_init(&text);
        fl_svg_number(&text, rows[i].from);
        assert_string_equal(rows[i].wanted, text.bytes);
        fl_text_release(&text);
    }
}

/** A picture of one of everything. */
static void draw_all(fl_text *text, bool alone)
{
    const fl_svg_head head = {100.0, 50.0, "a <title> & \"more\"", "what 'it' is", alone};
    const fl_point bends[2] = {{1.0, 2.0}, {3.0, 4.0}};
    fl_svg_begin(text, &head);
    fl_svg_open(text, "fl-a fl-b");
    fl_svg_line(text, "fl-c", (fl_point){1.0, 2.0}, (fl_point){3.0, 4.5});
    fl_svg_box(text, "fl-d", &(fl_frame){0.0, 0.0, -1.0, 5.0}, 2.0);
    fl_svg_disc(text, "fl-e", bends[0], 3.0);
    fl_svg_path(text, "fl-f");
    fl_svg_move(text, bends[0]);
    fl_svg_to(text, bends[1]);
    fl_svg_curve(text, bends, (fl_point){5.0, 6.0});
    fl_svg_half_circle(text, (fl_point){7.0, 6.0}, 1.0);
    fl_svg_path_end(text, true);
    fl_svg_text(text, "fl-g", bends[1], FL_ANCHOR_END, "</text>");
    fl_svg_close(text);
    fl_svg_end(text);
}

static void is_well_formed(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    draw_all(&text, false);
    assert_int_equal(9, xml_read(text.bytes, text.length));
    check_has(text.bytes, "<line class=\"fl-c\" x1=\"1\" y1=\"2\" x2=\"3\" y2=\"4.5\"/>");
    check_has(text.bytes, "width=\"0\" height=\"5\" rx=\"2\"");
    check_has(text.bytes, "d=\"M1 2L3 4C1 2 3 4 5 6A1 1 0 0 1 7 6Z\"");
    check_has(text.bytes, "<text class=\"fl-g fl-end\" x=\"3\" y=\"4\">&lt;/text&gt;</text>");
    check_has(text.bytes, "viewBox=\"0 0 100 50\" aria-label=\"a &lt;title&gt; ");
    assert_null(strstr(text.bytes, "<style>"));
    fl_text_release(&text);
}

static void stands_alone_with_its_style(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    draw_all(&text, true);
    assert_int_equal(11, xml_read(text.bytes, text.length));
    assert_memory_equal(text.bytes, "<?xml", 5);
    check_has(text.bytes, "<style>");
    check_has(text.bytes, " width=\"100\" height=\"50\" viewBox");
    fl_text_release(&text);
}

static void draws_units(void **state)
{
    (void)state;
    static const struct {
        const char *from, *wanted;
    } rows[] = {{"185 um", "185 \xC2\xB5m"},
                {"50 ohm", "50 \xCE\xA9"},
                {"1.5 kohm", "1.5 k\xCE\xA9"},
                {"94 fF", "94 fF"},
                {"3.8", "3.8"},
                {"2 uohm", "2 \xC2\xB5\xCE\xA9"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char to[FL_WORD_ROOM];
        fl_svg_unit(to, sizeof to, rows[i].from);
        assert_string_equal(rows[i].wanted, to);
    }
}

/* Widths of the letters of DejaVu Sans, a wide one: no estimate may be below them by much. */
static void knows_about_how_wide_words_are(void **state)
{
    (void)state;
    static const struct {
        const char *word;
        double least, most;
    } rows[] = {{"footprint width", 75.0, 110.0}, {"1.05 mm", 40.0, 60.0}, {"", 0.0, 0.0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const double width = fl_svg_width(rows[i].word, 12.0);
        if (width < rows[i].least || width > rows[i].most)
            fail_msg("'%s': %g, wanted %g to %g", rows[i].word, width, rows[i].least, rows[i].most);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(escapes_what_xml_has_not),
        cmocka_unit_test(writes_few_digits),
        cmocka_unit_test(is_well_formed),
        cmocka_unit_test(stands_alone_with_its_style),
        cmocka_unit_test(draws_units),
        cmocka_unit_test(knows_about_how_wide_words_are),
    };
    return cmocka_run_group_tests_name("reports/svg", tests, NULL, NULL);
}
