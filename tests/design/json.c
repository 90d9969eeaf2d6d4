/* Trees with places: spans, paths, messages and known keys. */
#include "check.h"

#include <locale.h>

#include "base/file.h"
#include "base/text.h"
#include "design/json.h"

typedef struct sample {
    char *text;
    size_t length;
    fl_json json;
} sample;

static void open_sample(sample *opened)
{
    fl_error error;
    *opened = (sample){.text = NULL};
    check_ok(fl_file_read(&opened->text, &opened->length,
                          FL_SOURCE_DIR "/tests/data/json/sample.json", 100000, &error),
             error);
    check_ok(fl_json_parse(&opened->json, opened->text, opened->length, "sample.json", &error),
             error);
}

static void close_sample(sample *opened)
{
    fl_json_release(&opened->json);
    fl_memory_free(opened->text);
}

static const cJSON *get(const cJSON *node, const char *key)
{
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(node, key);
    assert_non_null(found);
    return found;
}

/* The bytes of a node's span, parsed alone, are the node. */
static size_t check_spans(const fl_json *json, const cJSON *node)
{
    size_t begin = 0, end = 0, count = 1;
    assert_true(fl_json_span(json, node, &begin, &end));
    assert_in_range(end, begin + 1, json->length);
    cJSON *alone = cJSON_ParseWithLength(json->text + begin, end - begin);
    if (alone == NULL || !cJSON_Compare(alone, node, true))
        fail_msg("'%.*s' is not the node", (int)(end - begin), json->text + begin);
    cJSON_Delete(alone);
    for (const cJSON *child = node->child; child != NULL; child = child->next)
        count += check_spans(json, child);
    return count;
}

static void test_spans(void **state)
{
    (void)state;
    sample s;
    open_sample(&s);
    assert_int_equal(s.json.note_count, check_spans(&s.json, s.json.root));
    size_t begin = 7, end = 7;
    cJSON foreign = {.type = cJSON_NULL};
    assert_false(fl_json_span(&s.json, &foreign, &begin, &end));
    assert_false(fl_json_span(&s.json, NULL, &begin, &end));
    assert_int_equal(7, begin);
    assert_int_equal(7, end);
    close_sample(&s);
}

static void check_place(const sample *s, const cJSON *node, const char *wanted)
{
    fl_arena arena;
    fl_arena_init(&arena);
    assert_string_equal(wanted, fl_json_place(&arena, &s->json, node));
    fl_arena_release(&arena);
    fl_error error;
    assert_int_equal(FL_BAD_INPUT, fl_json_fail(&error, &s->json, node, "found %d", 3));
    assert_string_equal(wanted, error.place);
    assert_string_equal("found 3", error.message);
}

static void test_places(void **state)
{
    (void)state;
    sample s;
    open_sample(&s);
    const cJSON *root = s.json.root;
    const cJSON *path = get(root, "path");
    const cJSON *stub = cJSON_GetArrayItem(path, 1);
    check_place(&s, root, "sample.json:1:1");
    check_place(&s, get(root, "title"), "sample.json:3:12: title");
    check_place(&s, cJSON_GetArrayItem(get(root, "band"), 1), "sample.json:4:24: band[1]");
    check_place(&s, get(get(stub, "length"), "times"), "sample.json:15:42: path[1].length.times");
    check_place(&s, cJSON_GetArrayItem(get(root, "cases"), 3), "sample.json:17:51: cases[3]");
    const cJSON *spread = get(get(get(root, "quantities"), "die cap"), "spread");
    check_place(&s, get(cJSON_GetArrayItem(spread, 1), "level"),
                "sample.json:10:76: quantities.die cap.spread[1].level");
    check_place(&s, NULL, "sample.json");
    close_sample(&s);
}

static void test_path_cut(void **state)
{
    (void)state;
    sample s;
    open_sample(&s);
    const cJSON *times =
        get(get(cJSON_GetArrayItem(get(s.json.root, "path"), 1), "length"), "times");
    const char *whole = "path[1].length.times";
    char path[64];
    for (size_t room = 1; room < sizeof path; room++) {
        memset(path, 'x', sizeof path);
        fl_json_path(path, room, &s.json, times);
        size_t length = strlen(whole) < room ? strlen(whole) : room - 1;
        assert_memory_equal(whole, path, length);
        assert_int_equal('\0', path[length]);
    }
    fl_json_path(path, sizeof path, &s.json, s.json.root);
    assert_string_equal("", path);
    close_sample(&s);
}

/* Lines and columns far into a text, one long line and many short ones, marks or not. */
static void test_far_places(void **state)
{
    (void)state;
    enum { COUNT = 9000 };
    static const char *const separators[] = {"µ\",\"", "µ\",\n\""};
    for (size_t k = 0; k < 2; k++) {
        fl_text text;
        fl_text_init(&text);
        fl_text_add(&text, "\xEF\xBB\xBF[\"");
        for (int i = 1; i < COUNT; i++)
            fl_text_add(&text, separators[k]);
        fl_text_add(&text, "\"]");
        assert_false(fl_text_failed(&text));
        fl_json json = {0};
        fl_error error;
        check_ok(fl_json_parse(&json, text.bytes, text.length, "far", &error), error);
        unsigned i = 0;
        for (const cJSON *node = json.root->child; node != NULL; node = node->next, i++) {
            char wanted[64];
            snprintf(wanted, sizeof wanted, "far:%u:%u: [%u]", k == 0 ? 1 : i + 1,
                     k == 0 ? 2 + 4 * i : (i == 0 ? 2 : 1), i);
            fl_json_fail(&error, &json, node, "x");
            assert_string_equal(wanted, error.place);
        }
        assert_int_equal(COUNT, i);
        fl_json_release(&json);
        fl_text_release(&text);
    }
}

static void test_long_names(void **state)
{
    (void)state;
    char file[1000];
    memset(file, 'd', sizeof file - 1);
    memcpy(file + sizeof file - 6, ".json", 6);
    fl_error error;
    fl_json json = {0};
    assert_int_equal(FL_BAD_INPUT, fl_json_parse(&json, "[\n x", 4, file, &error));
    assert_non_null(strstr(error.place, "d.json:2:2"));
    check_ok(fl_json_parse(&json, "[\n 1]", 5, file, &error), error);
    fl_json_fail(&error, &json, json.root->child, "%s", file);
    assert_non_null(strstr(error.place, "d.json:2:2: [0]"));
    assert_string_equal("...", error.message + sizeof error.message - 4);
    fl_json_release(&json);
}

static void test_fail_at(void **state)
{
    (void)state;
    sample s;
    open_sample(&s);
    const cJSON *band = get(s.json.root, "band");
    fl_error error;
    fl_fail(&error, FL_IO, "die.s2p", "cannot be opened");
    assert_int_equal(FL_IO, fl_json_fail_at(&error, &s.json, band, FL_IO));
    assert_string_equal("sample.json:4:11: band: die.s2p", error.place);
    assert_string_equal("cannot be opened", error.message);
    fl_fail_memory(&error);
    assert_int_equal(FL_NO_MEMORY, fl_json_fail_at(&error, &s.json, band, FL_NO_MEMORY));
    assert_string_equal("", error.place);
    assert_int_equal(FL_IO, fl_json_fail_at(NULL, &s.json, band, FL_IO));
    assert_int_equal(FL_BAD_INPUT, fl_json_fail(NULL, &s.json, band, "x"));
    close_sample(&s);
}

static void test_keys(void **state)
{
    (void)state;
    static const char *const keys[] = {"length", "width", "gap"};
    static const struct {
        const char *text, *place, *message; /* NULL: accepted */
    } rows[] = {
        {"{\"gap\": 1, \"comment\": [1, {\"any\": 2}], \"width\": 3}", NULL, NULL},
        {"{}", NULL, NULL},
        {"{\"gap\": 1, \"lenght\": 2}", "k:1:22: lenght",
         "expected a known key such as 'length', found 'lenght'"},
        {"{\"Gap\": 1}", "k:1:9: Gap", "expected a known key such as 'gap', found 'Gap'"},
        {"{\"\": 1}", "k:1:6", "expected a known key, found ''"},
        {"{\"nothing like it\": 1}", "k:1:21: nothing like it",
         "expected a known key, found 'nothing like it'"},
        {"[1]", "k:1:1", "expected an object in braces"},
        {"\"gap\"", "k:1:1", "expected an object in braces"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_json json = {0};
        fl_error error = {.message = ""};
        check_ok(fl_json_parse(&json, rows[i].text, strlen(rows[i].text), "k", &error), error);
        fl_status status = fl_json_keys(&json, json.root, keys, 3, &error);
        if (rows[i].message == NULL) {
            check_ok(status, error);
        } else {
            assert_int_equal(FL_BAD_INPUT, status);
            assert_string_equal(rows[i].message, error.message);
            assert_string_equal(rows[i].place, error.place);
        }
        fl_json_release(&json);
    }
}

/* The tree holds what the text says, in a comma locale too where there is one. */
static void test_values(void **state)
{
    (void)state;
    for (int comma = 0; comma < 2; comma++) {
        if (comma && setlocale(LC_ALL, "de_DE.UTF-8") == NULL)
            break;
        sample s;
        open_sample(&s);
        const cJSON *stub = cJSON_GetArrayItem(get(s.json.root, "path"), 1);
        check_near(2.9, get(stub, "permittivity")->valuedouble, 0.0, "permittivity");
        assert_string_equal("28 GHz driver, 25 µm wires µ 😀",
                            get(s.json.root, "title")->valuestring);
        close_sample(&s);
    }
    setlocale(LC_ALL, "C");
}

static void test_release(void **state)
{
    (void)state;
    fl_json json = {0};
    fl_json_release(&json);
    fl_error error;
    check_ok(fl_json_parse(&json, "{}", 2, "r", &error), error);
    fl_json_release(&json);
    assert_null(json.root);
    fl_json_release(&json);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_spans),      cmocka_unit_test(test_places),
        cmocka_unit_test(test_path_cut),   cmocka_unit_test(test_far_places),
        cmocka_unit_test(test_long_names), cmocka_unit_test(test_fail_at),
        cmocka_unit_test(test_keys),       cmocka_unit_test(test_values),
        cmocka_unit_test(test_release),
    };
    return cmocka_run_group_tests_name("design/json", tests, NULL, NULL);
}
