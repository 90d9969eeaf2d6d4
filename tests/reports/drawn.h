/** A path built by hand, to be drawn. */
#ifndef FL_TESTS_REPORTS_DRAWN_H
#define FL_TESTS_REPORTS_DRAWN_H

#include "made.h"

enum { DRAWN_PIECES = 16, DRAWN_PARAMETERS = 6 };

/** A section as "name=value" pairs; a name with '!' behind it is sized, "substrate height" is the
 * substrate's. */
typedef struct drawn_row {
    const char *name, *kind;
    fl_side side;
    struct {
        const char *name;
        double value;
        fl_dimension dimension;
        bool sized;
    } parameters[DRAWN_PARAMETERS];
} drawn_row;

typedef struct drawn {
    fl_result result;
    fl_result_case row;
    fl_result_piece pieces[DRAWN_PIECES];
    fl_result_parameter parameters[DRAWN_PIECES][DRAWN_PARAMETERS];
} drawn;

__attribute__((unused)) static void drawn_fill(drawn *to, const drawn_row *rows, size_t count)
{
    memset(to, 0, sizeof *to);
    assert_true(count <= DRAWN_PIECES);
    for (size_t i = 0; i < count; i++) {
        to->pieces[i] = (fl_result_piece){.name = rows[i].name,
                                          .kind = rows[i].kind,
                                          .side = rows[i].side,
                                          .parameters = to->parameters[i]};
        for (size_t p = 0; p < DRAWN_PARAMETERS && rows[i].parameters[p].name; p++)
            to->parameters[i][to->pieces[i].parameter_count++] = (fl_result_parameter){
                .name = rows[i].parameters[p].name,
                .value = rows[i].parameters[p].value,
                .dimension = rows[i].parameters[p].dimension,
                .sized = rows[i].parameters[p].sized,
                .given = true,
                .substrate = strncmp(rows[i].parameters[p].name, "substrate ", 10) == 0};
    }
    to->row = (fl_result_case){.name = "nominal", .pieces = to->pieces, .piece_count = count};
    to->result = (fl_result){.command = "size",
                             .title = "title",
                             .file = "design.json",
                             .cases = &to->row,
                             .case_count = 1};
}

#endif
