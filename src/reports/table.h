/**
 * Aligned tables of at most FL_LINE columns. Cells are added row by row; the widths come from the
 * cells, and columns that may shrink give way, their texts cut with an ellipsis.
 */
#ifndef FL_REPORTS_TABLE_H
#define FL_REPORTS_TABLE_H

#include "reports/layout.h"

typedef enum fl_align { FL_LEFT, FL_RIGHT } fl_align;

typedef struct fl_column {
    const char *title;
    fl_align align;
    bool shrinks; /* holds names, which may be cut */
} fl_column;

/** Most columns of a table. */
enum { FL_TABLE_COLUMNS = 12 };

typedef struct fl_table {
    fl_arena arena; /* the cells */
    const fl_column *columns;
    size_t column_count;
    const char **cells; /* [room], row after row; NULL at first */
    size_t cell_count, room;
    bool failed; /* out of memory */
} fl_table;

/** A table without rows; columns [count] are borrowed, count <= FL_TABLE_COLUMNS. */
void fl_table_init(fl_table *table, const fl_column *columns, size_t count);

/** Adds the next cell; the text is copied; NULL is one that memory was too short for. */
void fl_table_add(fl_table *table, const char *cell);

/** Writes titles (if there are any) and rows, two spaces before each, and releases the table; one
 * without rows writes nothing. A failure of memory goes over to the text. */
void fl_table_write(fl_table *table, fl_text *text);

#endif
