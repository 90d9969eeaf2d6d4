/* Touchstone text as a whole: lines, ends, names of files, and files that are no such text. */
#include "check.h"

#include <stdlib.h>

#include "base/file.h"
#include "models/touchstone.h"

static fl_status parse(fl_touchstone *touchstone, const char *text, const char *name,
                       fl_error *error)
{
    return fl_touchstone_parse(touchstone, text, strlen(text), name, error);
}

/* Line ends, blanks and comments change nothing; the wrong number is in line 5 each time. */
static void lines(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "! title\n# RI\n1 0.5 0\n2 0.5 0\n",
        "! title\r\n# RI\r\n1 0.5 0\r\n2 0.5 0\r\n",
        "! title\r# RI\r1 0.5 0\r2 0.5 0\r",
        "! title\n\t# ri ! option\n\t1\t0.5\t0\t\n2 0.5 0!end\n",
        "\xEF\xBB\xBF! \xC2\xB5m\n# RI\n1 0.5 0\n",
        "\r\n# RI\r 1 0.5 0 \r\n",
    };
    static const char *const rests[] = {"", "3 0.5 0", "3 x 0"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; ++i)
        for (size_t rest = 0; rest < 3; ++rest) {
            char text[200];
            char tail[40];
            fl_touchstone touchstone = {0};
            fl_error error = {0};
            snprintf(tail, sizeof tail, "%s%s", i < 4 ? "" : "2 0.5 0\n", rests[rest]);
            snprintf(text, sizeof text, "%s%s", texts[i], tail);
            if (rest == 2) {
                assert_int_equal(parse(&touchstone, text, "a.s1p", &error), FL_BAD_INPUT);
                assert_string_equal(error.place, "a.s1p:5");
                continue;
            }
            check_ok(parse(&touchstone, text, "a.s1p", &error), error);
            assert_int_equal(touchstone.count, 2 + rest);
            check_near(0.5, touchstone.matrices[touchstone.count - 1][0], 0.0, "text %zu", i);
            assert_int_equal(touchstone.lines[0], 3);
            fl_touchstone_release(&touchstone);
        }
}

static void names(void **state)
{
    (void)state;
    static const struct {
        const char *name, *message; /* NULL: well */
    } rows[] = {
        {"a.s1p", NULL},
        {"folder.s2p/a.S1P", NULL},
        {"a.b.s01p", NULL},
        {"a.s0p", "1 to 100 ports were expected, the name ends in '.s0p'"},
        {"a.s101p", "1 to 100 ports were expected, the name ends in '.s101p'"},
        {"a.s99999999999999999999p",
         "1 to 100 ports were expected, the name ends in '.s999999999999999999'"},
        {"a.s1px",
         "the number of ports is not known: an extension such as '.s2p' or '[Number of Ports]' "
         "was expected"},
        {"s1p", "the number of ports is not known: an extension such as '.s2p' or '[Number of "
                "Ports]' was expected"},
        {"a.sp", "the number of ports is not known: an extension such as '.s2p' or '[Number of "
                 "Ports]' was expected"},
        {"a.s2p", "9 numbers were expected for a frequency of 2-port data, found 3"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        const fl_status status = parse(&touchstone, "#\n1 0 0\n2 0 0", rows[i].name, &error);
        assert_int_equal(status, rows[i].message ? FL_BAD_INPUT : FL_OK);
        if (!rows[i].message)
            fl_touchstone_release(&touchstone);
        else if (strcmp(rows[i].name, "a.s2p") != 0)
            assert_string_equal(error.message, rows[i].message);
    }
}

static void long_names_keep_the_line(void **state)
{
    (void)state;
    char name[600];
    char place[256];
    memset(name, 'd', sizeof name);
    memcpy(name + sizeof name - 7, "/a.s1p", 7);
    fl_touchstone_place(place, name, 123456);
    assert_string_equal(place + strlen(place) - 13, "/a.s1p:123456");
    assert_memory_equal(place, "...d", 4);
    fl_touchstone_place(place, "a.s1p", 7);
    assert_string_equal(place, "a.s1p:7");
}

static void refused(void **state)
{
    (void)state;
    static const struct {
        const char *text, *place, *message;
    } rows[] = {
        {"", "a.s1p:1", "data at two frequencies or more were expected, found none"},
        {"! only\n! comments\n", "a.s1p:2",
         "data at two frequencies or more were expected, found none"},
        {"# GHz\n", "a.s1p:1", "data at two frequencies or more were expected, found none"},
        {"#\n1 0 0\n", "a.s1p:2", "data at two frequencies or more were expected, found only one"},
        {"1 0 0\n2 0 0\n", "a.s1p:1",
         "an option line, such as '# GHz S MA R 50', was expected before the data"},
        {"<html>\n", "a.s1p:1",
         "an option line, such as '# GHz S MA R 50', was expected before the data"},
        {"#\n1 0 0\n\xFF\xFE\n", "a.s1p:3",
         "a number was expected, found '?"
         "?'"},
        {"#\n1 0 0\n2 0 0\n{}\n", "a.s1p:4", "a number was expected, found '{}'"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        assert_int_equal(parse(&touchstone, rows[i].text, "a.s1p", &error), FL_BAD_INPUT);
        assert_string_equal(error.message, rows[i].message);
        assert_string_equal(error.place, rows[i].place);
        assert_int_equal(parse(&touchstone, rows[i].text, "a.s1p", NULL), FL_BAD_INPUT);
    }
}

/* ---- the files ---- */

static const char *const files[] = {"full.s4p", "lower.s4p", "upper.s4p", "amplifier.s2p",
                                    "information.ts"};
enum { FILES = sizeof files / sizeof *files };

static void read_file(char **text, size_t *length, const char *name)
{
    char path[400];
    fl_error error = {0};
    snprintf(path, sizeof path, FL_SOURCE_DIR "/tests/data/touchstone/%s", name);
    check_ok(fl_file_read(text, length, path, FL_TOUCHSTONE_LIMIT, &error), error);
}

/* The format's own four-port example, in its three forms: published. */
static void example(void **state)
{
    (void)state;
    static const double magnitude[4][4] = {{0.60, 0.40, 0.42, 0.53},
                                           {0.40, 0.60, 0.53, 0.42},
                                           {0.42, 0.53, 0.60, 0.40},
                                           {0.53, 0.42, 0.40, 0.60}};
    static const double angle[4][4] = {{161.24, -42.20, -66.58, -79.34},
                                       {-42.20, 161.20, -79.34, -66.58},
                                       {-66.58, -79.34, 161.24, -42.20},
                                       {-79.34, -66.58, -42.20, 161.24}};
    static const double reference[4] = {50.0, 75.0, 0.01, 0.01};
    for (size_t file = 0; file < 3; ++file) {
        char *text = NULL;
        size_t length = 0;
        fl_touchstone touchstone = {0};
        fl_error error = {0};
        read_file(&text, &length, files[file]);
        check_ok(fl_touchstone_parse(&touchstone, text, length, files[file], &error), error);
        check_near(5e9, touchstone.frequencies[0], 0.0, "frequency");
        for (size_t entry = 0; entry < 16; ++entry) {
            const double *got = touchstone.matrices[entry];
            const size_t i = entry / 4;
            const size_t j = entry % 4;
            check_close(magnitude[i][j], hypot(got[0], got[1]), 1e-14, "|S%zu%zu| of %s", i + 1,
                        j + 1, files[file]);
            check_close(angle[i][j], atan2(got[1], got[0]) * 180.0 / acos(-1.0), 1e-13,
                        "angle of S%zu%zu of %s", i + 1, j + 1, files[file]);
        }
        for (size_t port = 0; port < 4; ++port)
            check_near(reference[port], touchstone.reference[port], 0.0, "reference of %s",
                       files[file]);
        fl_touchstone_release(&touchstone);
        fl_memory_free(text);
    }
}

/* ---- hostile text ---- */

/** Reads text from a block without a byte to spare: well, or a message with its line. */
static fl_status try_text(const char *text, size_t length, const char *name)
{
    fl_touchstone touchstone = {0};
    fl_error error = {0};
    char *block = malloc(length ? length : 1);
    const size_t stem = strlen(name);
    assert_non_null(block);
    memcpy(block, text, length);
    const fl_status status = fl_touchstone_parse(&touchstone, block, length, name, &error);
    free(block);
    if (status != FL_OK) {
        assert_int_equal(status, FL_BAD_INPUT);
        assert_true(error.message[0] != '\0');
        assert_memory_equal(error.place, name, stem);
        assert_int_equal(error.place[stem], ':');
        return status;
    }
    assert_true(touchstone.count >= 2);
    for (size_t i = 0; i < touchstone.count; ++i)
        assert_true(i == 0 || touchstone.frequencies[i] > touchstone.frequencies[i - 1]);
    for (size_t i = 0; i < touchstone.count * touchstone.ports * touchstone.ports; ++i)
        assert_true(isfinite(touchstone.matrices[i][0]) && isfinite(touchstone.matrices[i][1]));
    fl_touchstone_release(&touchstone);
    return FL_OK;
}

static void truncated(void **state)
{
    (void)state;
    for (size_t file = 0; file < FILES; ++file) {
        char *text = NULL;
        size_t length = 0;
        read_file(&text, &length, files[file]);
        for (size_t cut = 0; cut <= length; ++cut) {
            const fl_status status = try_text(text, cut, files[file]);
            /* Version 2 has an end mark, so that every cut before it shows. */
            if (cut < length - 1 && strstr(text, "ersion] 2.0") != NULL)
                assert_int_equal(status, FL_BAD_INPUT);
        }
        assert_int_equal(try_text(text, length, files[file]), FL_OK);
        fl_memory_free(text);
    }
}

static uint64_t next_random(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return *seed;
}

/** Overwrites, removes or doubles a piece; the bytes are such as mean something to the reader. */
static size_t mutate(char *text, size_t length, size_t room, uint64_t *seed)
{
    static const char bytes[] = "0123456789.-+eE \t\r\n![]#RSYZ\0\xFF";
    const size_t at = next_random(seed) % length;
    size_t size = 1 + next_random(seed) % 12;
    if (size > length - at)
        size = length - at;
    switch (next_random(seed) % 3) {
    case 0:
        text[at] = bytes[next_random(seed) % (sizeof bytes - 1)];
        return length;
    case 1:
        memmove(text + at, text + at + size, length - at - size);
        return length - size;
    default:
        if (length + size > room)
            return length;
        memmove(text + at + size, text + at, length - at);
        return length + size;
    }
}

static void mutated(void **state)
{
    (void)state;
    uint64_t seed = 20260101;
    size_t well = 0;
    for (size_t file = 0; file < FILES; ++file) {
        char *text = NULL;
        size_t length = 0;
        read_file(&text, &length, files[file]);
        for (size_t round = 0; round < 4000; ++round) {
            char changed[4000];
            size_t now = length;
            assert_true(length + 100 < sizeof changed);
            memcpy(changed, text, length);
            for (uint64_t times = 1 + next_random(&seed) % 4; times > 0 && now > 0; --times)
                now = mutate(changed, now, sizeof changed, &seed);
            well += try_text(changed, now, files[file]) == FL_OK;
        }
        fl_memory_free(text);
    }
    /* Some changes hurt nothing, most do: else the test itself is broken. */
    assert_in_range(well, 400, 4000 * FILES - 400);
}

static void binary(void **state)
{
    (void)state;
    uint64_t seed = 7;
    for (size_t round = 0; round < 500; ++round) {
        char text[600];
        const size_t length = 1 + next_random(&seed) % sizeof text;
        for (size_t i = 0; i < length; ++i)
            text[i] = (char)(next_random(&seed) >> 32);
        assert_int_equal(try_text(text, length, "a.s2p"), FL_BAD_INPUT);
    }
    assert_int_equal(try_text("#\n1 0 0\n2 0 0\n\0\n", 15, "a.s1p"), FL_BAD_INPUT);
    assert_int_equal(try_text("#\n1 0 0\n2 0 0 !\0\n", 17, "a.s1p"), FL_BAD_INPUT);
}

static void huge(void **state)
{
    (void)state;
    static const char fills[] = "0[]#!\n\r 1.-e";
    const size_t length = 1u << 20;
    char *text = malloc(length);
    assert_non_null(text);
    for (size_t i = 0; i < sizeof fills - 1; ++i) {
        memset(text, fills[i], length);
        assert_int_equal(try_text(text, length, "a.s100p"), FL_BAD_INPUT);
        memcpy(text, "#\n1 ", 4);
        assert_int_equal(try_text(text, length, "a.s100p"), FL_BAD_INPUT);
    }
    size_t used = (size_t)snprintf(text, length, "# Hz RI\n");
    size_t count = 0;
    while (used + 30 < length)
        used += (size_t)snprintf(text + used, 30, "%zu .5 -.5\n", ++count);
    fl_touchstone touchstone = {0};
    fl_error error = {0};
    check_ok(fl_touchstone_parse(&touchstone, text, used, "a.s1p", &error), error);
    assert_int_equal(touchstone.count, count);
    check_near((double)count, touchstone.frequencies[count - 1], 0.0, "last frequency");
    fl_touchstone_release(&touchstone);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines),
        cmocka_unit_test(names),
        cmocka_unit_test(refused),
        cmocka_unit_test(example),
        cmocka_unit_test(mutated),
        cmocka_unit_test(binary),
        cmocka_unit_test(truncated),
        cmocka_unit_test(huge),
        cmocka_unit_test(long_names_keep_the_line),
    };
    return cmocka_run_group_tests_name("models/touchstone", tests, NULL, NULL);
}
