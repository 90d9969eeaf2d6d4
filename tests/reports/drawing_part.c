/* From sections to parts that can be drawn. */
#include "drawn.h"

#include "reports/drawing.h"

#define UM(value) ((value)*1e-6)

/* A die on its paddle, wires down to a lead, a board. */
static const drawn_row framed[] = {
    {"line",
     "microstrip",
     FL_SIDE_DIE,
     {{"width", UM(10), FL_LENGTH, true},
      {"length", UM(350), FL_LENGTH, false},
      {"substrate height", UM(100), FL_LENGTH, false}}},
    {"cap", "shunt capacitor", FL_SIDE_DIE, {{"capacitance", 90e-15, FL_CAPACITANCE, false}}},
    {"wires",
     "bond wires",
     FL_SIDE_PACKAGE,
     {{"span", UM(600), FL_LENGTH, false},
      {"diameter", UM(25), FL_LENGTH, false},
      {"loop height", UM(140), FL_LENGTH, false},
      {"die height", UM(120), FL_LENGTH, false},
      {"land height", UM(100), FL_LENGTH, false}}},
    {"lead",
     "lead",
     FL_SIDE_PACKAGE,
     {{"length", UM(400), FL_LENGTH, false},
      {"width", UM(250), FL_LENGTH, false},
      {"thickness", UM(250), FL_LENGTH, false},
      {"standoff", UM(127), FL_LENGTH, false}}},
    {"taper",
     "taper",
     FL_SIDE_BOARD,
     {{"die width", UM(250), FL_LENGTH, false},
      {"board width", UM(300), FL_LENGTH, false},
      {"length", UM(200), FL_LENGTH, false},
      {"substrate height", UM(127), FL_LENGTH, false}}}};

/* A die face down on a bump, a via, a ball. */
static const drawn_row flipped[] = {
    {"pad",
     "pad",
     FL_SIDE_DIE,
     {{"width", UM(80), FL_LENGTH, false},
      {"length", UM(80), FL_LENGTH, false},
      {"substrate height", UM(9), FL_LENGTH, false}}},
    {"bump",
     "bump",
     FL_SIDE_PACKAGE,
     {{"diameter", UM(80), FL_LENGTH, false},
      {"height", UM(60), FL_LENGTH, false},
      {"pad", UM(90), FL_LENGTH, false}}},
    {"via",
     "via",
     FL_SIDE_PACKAGE,
     {{"drill", UM(100), FL_LENGTH, false}, {"substrate height", UM(200), FL_LENGTH, false}}},
    {"ball",
     "bump",
     FL_SIDE_PACKAGE,
     {{"diameter", UM(250), FL_LENGTH, false}, {"height", UM(180), FL_LENGTH, false}}},
    {"line",
     "microstrip",
     FL_SIDE_BOARD,
     {{"width", UM(250), FL_LENGTH, false},
      {"length", UM(900), FL_LENGTH, false},
      {"substrate height", UM(127), FL_LENGTH, false}}}};

/** What is wanted of a part, um. */
typedef struct wanted {
    fl_look look;
    double length, width[2], level[2], base;
    bool flipped, sized;
} wanted;

static void check_parts(const drawn_row *rows, const wanted *parts, size_t count)
{
    drawn path;
    fl_part parts_made[DRAWN_PIECES];
    drawn_fill(&path, rows, count);
    memset(parts_made, 0, sizeof parts_made);
    fl_drawing drawing = {.result = &path.result,
                          .row = &path.row,
                          .parts = parts_made,
                          .count = count,
                          .width = 560.0};
    fl_drawing_measure(&drawing);
    for (size_t i = 0; i < count; i++) {
        const fl_part *part = &parts_made[i];
        const double got[] = {part->length,   part->width[0], part->width[1],
                              part->level[0], part->level[1], part->base};
        const double want[] = {parts[i].length,   parts[i].width[0], parts[i].width[1],
                               parts[i].level[0], parts[i].level[1], parts[i].base};
        for (size_t v = 0; v < sizeof got / sizeof got[0]; v++)
            check_near(want[v], 1e6 * got[v], 1e-9, "%s, value %zu", rows[i].name, v);
        assert_int_equal(parts[i].look, part->look);
        assert_int_equal(parts[i].flipped, part->flipped);
        assert_int_equal(parts[i].sized, part->sized);
    }
}

/* Lead: 127 + 250. Wire: 120 - 100 higher at the die. */
static void measures_a_die_on_a_paddle(void **state)
{
    (void)state;
    static const wanted parts[] = {{FL_LOOK_TRACE, 350, {10, 10}, {397, 397}, 100, false, true},
                                   {FL_LOOK_SHUNT, 0, {0, 0}, {397, 397}, 100, false, false},
                                   {FL_LOOK_WIRES, 600, {25, 25}, {397, 377}, 0, false, false},
                                   {FL_LOOK_LEAD, 400, {250, 250}, {377, 377}, 0, false, false},
                                   {FL_LOOK_TRACE, 200, {250, 300}, {127, 127}, 127, false, false}};
    check_parts(framed, parts, sizeof parts / sizeof parts[0]);
}

/* 127 + 180 + 200 + 60. */
static void measures_a_die_face_down(void **state)
{
    (void)state;
    static const wanted parts[] = {{FL_LOOK_TRACE, 80, {80, 80}, {567, 567}, 9, true, false},
                                   {FL_LOOK_BUMP, 90, {80, 80}, {567, 507}, 0, false, false},
                                   {FL_LOOK_VIA, 100, {100, 100}, {507, 307}, 200, false, false},
                                   {FL_LOOK_BUMP, 250, {250, 250}, {307, 127}, 0, false, false},
                                   {FL_LOOK_TRACE, 900, {250, 250}, {127, 127}, 127, false, false}};
    check_parts(flipped, parts, sizeof parts / sizeof parts[0]);
}

/** Every kind there is has a look; only what comes from a file is a box. */
static void knows_every_kind(void **state)
{
    (void)state;
    for (size_t i = 0; fl_kind_name(i); i++) {
        fl_result_piece piece = {.name = "x", .kind = fl_kind_name(i)};
        fl_result_case row = {.pieces = &piece, .piece_count = 1};
        fl_part part = {.piece = NULL};
        fl_drawing drawing = {.row = &row, .parts = &part, .count = 1};
        fl_drawing_measure(&drawing);
        if ((part.look == FL_LOOK_BOX) != (fl_kind_takes_file(i) != 0))
            fail_msg("'%s' has look %d", piece.kind, (int)part.look);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(measures_a_die_on_a_paddle),
        cmocka_unit_test(measures_a_die_face_down),
        cmocka_unit_test(knows_every_kind),
    };
    return cmocka_run_group_tests_name("reports/drawing_part", tests, NULL, NULL);
}
