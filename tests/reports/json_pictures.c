/* The JSON that pictures are drawn from. */
#include "reports/json.h"

#include "reports/made.h"

enum { WIDE = 2 };

/** Pictures of the made result: the first case has all there is, the second the least. */
typedef struct shown {
    fl_result_pictures pictures;
    fl_result_picture cases[MADE_CASES];
    double wide[WIDE], losses[2][MADE_POINTS], way[2][2];
    fl_walk_step steps[2];
    uint64_t counts[3];
    const char *left_out[1], *notes[1], *sections[1];
} shown;

static void show(shown *s, made *m)
{
    made_all(m);
    memset(s, 0, sizeof *s);
    s->wide[1] = 90e9;
    s->losses[0][0] = 12.3456789012;
    s->losses[0][1] = (double)NAN;
    s->losses[1][2] = (double)INFINITY;
    s->way[0][0] = -0.25;
    s->way[1][1] = 0.125;
    s->steps[0] = (fl_walk_step){s->way, 1};
    s->steps[1] = (fl_walk_step){s->way, 2};
    s->counts[1] = 7;
    s->left_out[0] = "stub";
    s->sections[0] = "</script>\"";
    s->notes[0] = "a note";
    const fl_result_losses losses = {s->losses[0], s->losses[1]};
    fl_result_picture *first = &s->cases[0];
    *first = (fl_result_picture){.present = losses,
                                 .uncompensated = losses,
                                 .wide_present = losses,
                                 .wide_uncompensated = losses,
                                 .left_out = s->left_out,
                                 .left_out_count = 1,
                                 .sections = s->sections,
                                 .section_count = 1};
    for (size_t p = 0; p < FL_ENVELOPE_PERCENTS; p++) {
        first->envelope.return_loss_db[p] = s->losses[p == 4];
        first->envelope.insertion_loss_db[p] = s->losses[1];
    }
    for (size_t i = 0; i < FL_WALKS; i++)
        first->walks[i] = (fl_walk){26.5e9 + 1e9 * (double)i, 50.0, s->steps, 2};
    s->cases[1].present = losses;
    s->pictures = (fl_result_pictures){
        .frequencies = m->frequencies,
        .count = MADE_POINTS,
        .wide = s->wide,
        .wide_count = WIDE,
        .wide_notes = s->notes,
        .wide_note_count = 1,
        .port = FL_PORT_BOARD,
        .samples = 2048,
        .cases = s->cases,

        .levels = {.items = {{FL_LEVEL_WAFER, 0.31, 0.4, 0.5},
                             {FL_LEVEL_BOARD, (double)NAN, (double)NAN, (double)NAN}},
                   .count = 2},
        .not_modelled = s->notes,
        .not_modelled_count = 1};
    m->result.bars = (fl_bars){12.0, 0.25, s->counts, 3, 3, 1};
    m->result.pictures = &s->pictures;
}

static cJSON *read(const made *m)
{
    fl_text text;
    fl_text_init(&text);
    fl_report_pictures_json(&text, &m->result);
    assert_false(fl_text_failed(&text));
    check_lacks(text.bytes, "nan");
    check_lacks(text.bytes, "inf");
    cJSON *json = cJSON_Parse(text.bytes);
    assert_non_null(json);
    fl_text_release(&text);
    return json;
}

static void writes_all(void **state)
{
    (void)state;
    made m;
    shown s;
    show(&s, &m);
    cJSON *json = read(&m);
    const made_member members[] = {
        {.path = "frequency Hz/0", .number = 26.5e9},
        {.path = "wide Hz/1", .number = 90e9},
        {.path = "wide notes/0", .text = "a note"},
        {.path = "port", .text = "board"},
        {.path = "samples", .number = 2048.0},
        {.path = "cases/0/present/return loss dB/0", .number = 12.345679},
        {.path = "cases/0/present/return loss dB/1", .null = true},
        {.path = "cases/0/present/insertion loss dB/2", .null = true},
        {.path = "cases/0/uncompensated/return loss dB/0", .number = 12.345679},
        {.path = "cases/0/left out/0", .text = "stub"},
        {.path = "cases/0/envelope/return loss dB/1/0", .number = 12.345679},
        {.path = "cases/0/envelope/return loss dB/99/0", .number = 0.0},
        {.path = "cases/0/envelope/insertion loss dB/50/2", .null = true},
        {.path = "cases/0/wide/present/return loss dB/0", .number = 12.345679},
        {.path = "cases/0/wide/uncompensated/return loss dB/1", .null = true},
        {.path = "cases/0/smith/2/frequency Hz", .number = 28.5e9},
        {.path = "cases/0/smith/0/reference ohm", .number = 50.0},
        {.path = "cases/0/smith/0/steps/0/section", .null = true},
        {.path = "cases/0/smith/0/steps/0/reflection/0/0", .number = -0.25},
        {.path = "cases/0/smith/0/steps/1/section", .text = "</script>\""},
        {.path = "cases/0/smith/0/steps/1/reflection/1/1", .number = 0.125},
        {.path = "histogram/from dB", .number = 12.0},
        {.path = "histogram/step dB", .number = 0.25},
        {.path = "histogram/counts/1", .number = 7.0},
        {.path = "histogram/below", .number = 3.0},
        {.path = "histogram/above", .number = 1.0},
        {.path = "levels/0/level", .text = "wafer"},
        {.path = "levels/0/share of variance", .number = 0.31},
        {.path = "levels/0/total share of variance", .number = 0.4},
        {.path = "levels/0/sigma dB", .number = 0.5},
        {.path = "levels/1/share of variance", .null = true},
        {.path = "not modelled/0", .text = "a note"}};
    made_members(json, members, sizeof members / sizeof members[0]);
    assert_int_equal(cJSON_GetArraySize(made_at(json, "cautions")), 0);
    cJSON_Delete(json);
}

static void writes_what_is_not_there(void **state)
{
    (void)state;
    made m;
    shown s;
    show(&s, &m);
    m.result.bars.count = 0;
    s.pictures.levels.count = 0;
    cJSON *json = read(&m);
    const made_member members[] = {{.path = "cases/1/uncompensated", .null = true},
                                   {.path = "cases/1/envelope", .null = true},
                                   {.path = "cases/1/wide", .null = true},
                                   {.path = "histogram", .null = true},
                                   {.path = "levels", .null = true}};
    made_members(json, members, sizeof members / sizeof members[0]);
    assert_int_equal(cJSON_GetArraySize(made_at(json, "cases/1/smith")), 0);
    assert_int_equal(cJSON_GetArraySize(made_at(json, "cases/1/left out")), 0);
    cJSON_Delete(json);
    m.result.pictures = NULL;
    json = read(&m);
    assert_true(cJSON_IsNull(json));
    cJSON_Delete(json);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(writes_all),
                                       cmocka_unit_test(writes_what_is_not_there)};
    return cmocka_run_group_tests_name("reports/json_pictures", tests, NULL, NULL);
}
