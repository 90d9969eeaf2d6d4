/* One section asked for by texts. */
#include "models/request.h"

#include "check.h"

enum { TEXTS = 4 };

typedef struct question {
    const char *kind, *assignments[TEXTS], *frequencies[TEXTS], *sweep;
} question;

static size_t count_texts(const char *const *texts)
{
    size_t count = 0;
    while (count < TEXTS && texts[count] != NULL)
        count++;
    return count;
}

static fl_status read_question(fl_request *request, const question *asked, fl_error *error)
{
    const fl_model_options options = {asked->assignments, count_texts(asked->assignments),
                                      asked->frequencies, count_texts(asked->frequencies),
                                      asked->sweep};
    return fl_request_read(request, asked->kind, &options, error);
}

static void lists_frequencies(void **state)
{
    (void)state;
    static const struct {
        const char *frequencies[TEXTS];
        double hertz[TEXTS];
    } rows[] = {{{NULL}, {28e9}},
                {{"10 GHz"}, {10e9}},
                {{"24GHz,28 GHz"}, {24e9, 28e9}},
                {{"24 GHz, 28 GHz", "500 MHz"}, {24e9, 28e9, 500e6}}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_request request;
        fl_error error;
        question asked = {.kind = "series inductor", .assignments = {"inductance=1 nH"}};
        memcpy(asked.frequencies, rows[i].frequencies, sizeof asked.frequencies);
        check_ok(read_question(&request, &asked, &error), error);
        assert_null(request.swept);
        for (size_t row = 0; row < TEXTS && rows[i].hertz[row] > 0.0; row++) {
            assert_true(row < fl_request_rows(&request));
            check_near(rows[i].hertz[row], fl_request_frequency(&request, row), 0.0, "row %zu",
                       row);
        }
        fl_request_release(&request);
    }
}

static void sweeps_evenly(void **state)
{
    (void)state;
    static const struct {
        const char *sweep;
        size_t rows;
        double values[3], tolerance;
        const char *label;
    } rows[] = {{"inductance=1 nH:2 nH:3", 3, {1e-9, 1.5e-9, 2e-9}, 1e-24, "inductance 1.5 nH"},
                {"inductance=2nH:1nH:3", 3, {2e-9, 1.5e-9, 1e-9}, 1e-24, "inductance 1.5 nH"},
                {"quality factor=10:1e2:2", 2, {10.0, 100.0}, 0.0, "quality factor 100"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_request request;
        fl_error error;
        char label[FL_LABEL_ROOM];
        const question asked = {.kind = "series inductor",
                                .assignments = {i == 2 ? "inductance=1 nH" : NULL},
                                .frequencies = {"10 GHz,20 GHz"},
                                .sweep = rows[i].sweep};
        check_ok(read_question(&request, &asked, &error), error);
        assert_int_equal(fl_request_rows(&request), rows[i].rows);
        for (size_t row = 0; row < rows[i].rows; row++) {
            check_near(rows[i].values[row], fl_request_swept(&request, row), rows[i].tolerance,
                       "value %zu", row);
            check_near(10e9, fl_request_frequency(&request, row), 0.0, "first frequency");
        }
        fl_request_label(label, &request, 1);
        assert_string_equal(label, rows[i].label);
        fl_request_release(&request);
    }
}

/* The text is that of a design, with the values of the substrate apart. */
static void writes_a_design(void **state)
{
    (void)state;
    fl_request request;
    fl_error error;
    fl_text text;
    const question asked = {
        .kind = "microstrip",
        .assignments = {"width=0.2 mm", "substrate height=127 um", "substrate permittivity=+3.5"},
        .frequencies = {"10 GHz"},
        .sweep = "length=1 mm:2 mm:2"};
    check_ok(read_question(&request, &asked, &error), error);
    fl_text_init(&text);
    fl_request_design(&text, &request, 1);
    assert_string_equal(text.bytes,
                        "{\"fairlead\": 1, \"band\": [\"9990234375 Hz\", \"10009765625 Hz\"],\n"
                        "\"ports\": {\"die\": {\"impedance\": \"50 ohm\"}, \"board\": "
                        "{\"impedance\": \"50 ohm\"}},\n"
                        "\"substrates\": {\"substrate\": {\"comment\": \"\",\n"
                        "\"height\": \"127 um\",\n\"permittivity\": 3.5}},\n"
                        "\"path\": [{\"name\": \"microstrip\", \"kind\": \"microstrip\", "
                        "\"side\": \"package\", \"substrate\": \"substrate\",\n"
                        "\"width\": \"0.2 mm\",\n\"length\": \"2 mm\"}]}\n");
    fl_text_release(&text);
    fl_request_release(&request);
}

static void refuses(void **state)
{
    (void)state;
#define INDUCTOR .kind = "series inductor", .assignments = { "inductance=1 nH" }
    static const struct {
        question asked;
        const char *place, *message;
    } rows[] = {
        {{.kind = "series inductr"}, "", "did you mean 'series inductor'"},
        {{.kind = "zzz"}, "", "unknown kind 'zzz'"},
        {{.kind = "measured"}, "measured", "from a file"},
        {{.kind = "line", .assignments = {"length"}}, "", "expected 'parameter=value'"},
        {{.kind = "line", .assignments = {"lenght=1 mm"}}, "line", "did you mean 'length'"},
        {{.kind = "line", .assignments = {"length=1 mm", "length=2 mm"}}, "line", "twice"},
        {{.kind = "microstrip"}, "microstrip", "'substrate height' is missing"},
        {{INDUCTOR, .frequencies = {"28 mm"}}, "frequency", "28 mm"},
        {{INDUCTOR, .frequencies = {"0 GHz"}}, "frequency", "more than zero"},
        {{INDUCTOR, .frequencies = {"1 GHz,,2 GHz"}}, "frequency", "found ''"},
        {{INDUCTOR, .frequencies = {"1 GHz,"}}, "frequency", "found ''"},
        {{INDUCTOR, .frequencies = {""}}, "frequency", "found ''"},
        {{INDUCTOR, .sweep = "inductance=1 nH:2 nH:3"}, "series inductor", "twice"},
        {{INDUCTOR, .sweep = "resistance"}, "", "expected 'parameter=low:high:count'"},
        {{INDUCTOR, .sweep = "resistanc=1:2:3"}, "series inductor", "did you mean 'resistance'"},
        {{INDUCTOR, .sweep = "resistance=1 ohm:2 ohm"}, "resistance", "expected 'low:high:count'"},
        {{INDUCTOR, .sweep = "resistance=1 ohm"}, "resistance", "expected 'low:high:count'"},
        {{INDUCTOR, .sweep = "resistance=1 ohm:2 ohm:3:4"}, "resistance", "'low:high:count'"},
        {{INDUCTOR, .sweep = "resistance=1:2:3"}, "resistance", "expected a resistance"},
        {{INDUCTOR, .sweep = "resistance=1 ohm:2 nH:3"}, "resistance", "found '2 nH'"},
        {{INDUCTOR, .sweep = "resistance=1 ohm:1 ohm:3"}, "resistance", "two different ends"},
        {{INDUCTOR, .sweep = "resistance=1 ohm:2 ohm:1"}, "resistance", "from 2 to 1000"},
        {{INDUCTOR, .sweep = "resistance=1 ohm:2 ohm:1001"}, "resistance", "found '1001'"},
        {{INDUCTOR, .sweep = "resistance=1 ohm:2 ohm:2.5"}, "resistance", "a whole number"},
        {{INDUCTOR, .sweep = "resistance=1 ohm:2 ohm:"}, "resistance", "found ''"},
        {{INDUCTOR, .sweep = "resistance=1 ohm:2 ohm:3x"}, "resistance", "found '3x'"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_request request;
        fl_error error = {0};
        const fl_status status = read_question(&request, &rows[i].asked, &error);
        const bool well = status == FL_BAD_INPUT && strcmp(error.place, rows[i].place) == 0 &&
                          strstr(error.message, rows[i].message);
        if (!well)
            print_error("row %zu: status %d, '%s': '%s'\n", i, (int)status, error.place,
                        error.message);
        assert_true(well);
        fl_request_release(&request);
        assert_int_equal(read_question(&request, &rows[i].asked, NULL), FL_BAD_INPUT);
        fl_request_release(&request);
    }
}

static void takes_at_most_100_frequencies(void **state)
{
    (void)state;
    char list[1000] = "";
    for (int i = 0; i < 100; i++)
        memcpy(list + 5 * i, "1GHz,", 6);
    for (int more = 0; more < 2; more++) {
        fl_request request;
        fl_error error = {0};
        list[499] = more ? ',' : '\0';
        memcpy(list + 500, "2GHz", 5);
        const question asked = {INDUCTOR, .frequencies = {list}};
        assert_int_equal(read_question(&request, &asked, &error), more ? FL_BAD_INPUT : FL_OK);
        fl_request_release(&request);
    }
}

/* What is wrong in the design that was written is told in the words that were asked. */
static void names_faults(void **state)
{
    (void)state;
    static const struct {
        const char *place, *message, *sweep, *new_place, *new_message;
    } rows[] = {
        {"model:3:9: path[0].span", "wrong", NULL, "span", "wrong"},
        {"model:3:9: substrates.substrate.height", "wrong", NULL, "substrate height", "wrong"},
        {"model:3:9: path[0]", "'bond wires': wrong", NULL, "bond wires", "wrong"},
        {"model:1:24: band[0]", "wrong", NULL, "frequency", "wrong"},
        {"model:3:9: path[0].span", "wrong", "pitch=50 um:70 um:3", "span",
         "wrong (at pitch 60 um)"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_request request;
        fl_error error = {0};
        const question asked = {.kind = "bond wires", .sweep = rows[i].sweep};
        check_ok(read_question(&request, &asked, &error), error);
        snprintf(error.place, sizeof error.place, "%s", rows[i].place);
        snprintf(error.message, sizeof error.message, "%s", rows[i].message);
        assert_int_equal(
            fl_request_fault(&error, FL_BAD_INPUT, &request, 1 % fl_request_rows(&request)),
            FL_BAD_INPUT);
        assert_string_equal(error.place, rows[i].new_place);
        assert_string_equal(error.message, rows[i].new_message);
        assert_int_equal(fl_request_fault(&error, FL_NO_MEMORY, &request, 0), FL_NO_MEMORY);
        assert_string_equal(error.message, rows[i].new_message);
        assert_int_equal(fl_request_fault(NULL, FL_BAD_INPUT, &request, 0), FL_BAD_INPUT);
        fl_request_release(&request);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(lists_frequencies),
                                       cmocka_unit_test(sweeps_evenly),
                                       cmocka_unit_test(writes_a_design),
                                       cmocka_unit_test(refuses),
                                       cmocka_unit_test(takes_at_most_100_frequencies),
                                       cmocka_unit_test(names_faults)};
    return cmocka_run_group_tests_name("models/request", tests, NULL, NULL);
}
