/* The pictures' style sheet. */
#include "made.h"

#include <math.h>

/** Value of a variable from a place on, as red, green, blue. */
static void colour_of(double rgb[3], const char *style, const char *name)
{
    char key[32];
    unsigned red, green, blue;
    snprintf(key, sizeof key, "%s:#", name);
    const char *at = strstr(style, key);
    if (!at)
        fail_msg("no colour '%s'", name);
    assert_int_equal(3, sscanf(at + strlen(key), "%2x%2x%2x", &red, &green, &blue));
    rgb[0] = red / 255.0;
    rgb[1] = green / 255.0;
    rgb[2] = blue / 255.0;
}

/* Relative luminance and contrast of the Web Content Accessibility Guidelines 2.1. */
static double luminance(const double rgb[3])
{
    static const double weights[3] = {0.2126, 0.7152, 0.0722};
    double sum = 0.0;
    for (size_t i = 0; i < 3; i++)
        sum +=
            weights[i] * (rgb[i] <= 0.03928 ? rgb[i] / 12.92 : pow((rgb[i] + 0.055) / 1.055, 2.4));
    return sum;
}

static double contrast(const char *style, const char *front, const char *back)
{
    double a[3], b[3];
    colour_of(a, style, front);
    colour_of(b, style, back);
    const double la = luminance(a), lb = luminance(b);
    return (fmax(la, lb) + 0.05) / (fmin(la, lb) + 0.05);
}

/* Letters need 4.5 to 1, lines of a picture 3 to 1 (WCAG 2.1, 1.4.3 and 1.4.11). */
static void can_be_read_in_light_and_dark(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double least;
    } rows[] = {
        {"--ink", 7.0}, {"--muted", 4.5}, {"--sized", 4.5}, {"--limit", 4.5}, {"--ghost", 3.0}};
    fl_text text;
    fl_text_init(&text);
    fl_report_svg_style(&text);
    const char *dark = strstr(text.bytes, "prefers-color-scheme:dark");
    assert_non_null(dark);
    for (size_t i = 0; i < 2 * (sizeof rows / sizeof rows[0]); i++) {
        const char *style = i % 2 ? dark : text.bytes;
        const double got = contrast(style, rows[i / 2].name, "--paper");
        if (!(got >= rows[i / 2].least))
            fail_msg("%s, %s: contrast %g, wanted %g", rows[i / 2].name, i % 2 ? "dark" : "light",
                     got, rows[i / 2].least);
    }
    fl_text_release(&text);
}

static void has_every_colour_twice(void **state)
{
    (void)state;
    static const char *const names[] = {"--ink",   "--muted", "--paper", "--line", "--sized",
                                        "--limit", "--band1", "--band2", "--ghost"};
    double rgb[3];
    fl_text text;
    fl_text_init(&text);
    fl_report_svg_style(&text);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        colour_of(rgb, text.bytes, names[i]);
        colour_of(rgb, strstr(text.bytes, "dark"), names[i]);
    }
    /* It stands in XML and in HTML as it is. */
    assert_null(strpbrk(text.bytes, "<>&"));
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(can_be_read_in_light_and_dark),
        cmocka_unit_test(has_every_colour_twice),
    };
    return cmocka_run_group_tests_name("reports/svg_style", tests, NULL, NULL);
}
