/**
 * Aligned tables. All cells are kept until the table is written, as the widths depend on all of
 * them.
 */
#include "reports/table.h"

#include <string.h>

/* Spaces before each column; narrowest column of names. */
enum { GAP = 2, NARROWEST = 6 };

/** Nothing is allocated until there is a cell. */
void fl_table_init(fl_table *table, const fl_column *columns, size_t count)
{
    *table = (fl_table){.columns = columns, .column_count = count};
    fl_arena_init(&table->arena);
}

/** A failure is kept until the table is written, so that callers need not ask for each cell. */
void fl_table_add(fl_table *table, const char *cell)
{
    if (table->failed)
        return;
    if (table->cell_count == table->room) {
        const size_t room = 2 * table->room + 64;
        const char **grown =
            fl_memory_grow(table->cells, table->room * sizeof *grown, room, sizeof *grown);
        table->failed = !grown;
        if (!grown)
            return;
        table->cells = grown;
        table->room = room;
    }
    const char *copy = cell ? fl_arena_copy(&table->arena, cell, strlen(cell)) : NULL;
    table->failed = !copy;
    table->cells[table->cell_count] = copy;
    table->cell_count += copy ? 1 : 0;
}

/** Narrows the widest of the columns that may shrink by one; false when none can. */
static bool shrink(const fl_table *table, size_t *widths)
{
    size_t widest = table->column_count;
    for (size_t c = 0; c < table->column_count; c++)
        if (table->columns[c].shrinks && widths[c] > NARROWEST &&
            (widest == table->column_count || widths[c] > widths[widest]))
            widest = c;
    if (widest == table->column_count)
        return false;
    widths[widest]--;
    return true;
}

/** Widest cell of each column; then names give way until the row fits. */
static void find_widths(const fl_table *table, size_t *widths)
{
    size_t total = 0;
    for (size_t c = 0; c < table->column_count; c++) {
        widths[c] = fl_columns(table->columns[c].title);
        for (size_t i = c; i < table->cell_count; i += table->column_count) {
            const size_t columns = fl_columns(table->cells[i]);
            widths[c] = columns > widths[c] ? columns : widths[c];
        }
        total += GAP + widths[c];
    }
    while (total > FL_LINE && shrink(table, widths))
        total--;
}

/** One by one: rows are short. */
static void add_spaces(fl_text *text, size_t count)
{
    for (; count > 0; count--)
        fl_text_add_bytes(text, " ", 1);
}

/** Writes a row; spaces stand before a word only, so that no line ends in them. */
static void write_row(const fl_table *table, fl_text *text, const size_t *widths,
                      const char *const *cells)
{
    size_t owed = 0;
    for (size_t c = 0; c < table->column_count; c++) {
        char word[FL_NAME_ROOM];
        fl_shorten(word, cells[c], widths[c] < FL_LINE ? widths[c] : FL_LINE);
        const size_t columns = fl_columns(word);
        const size_t free = columns < widths[c] ? widths[c] - columns : 0;
        const bool right = table->columns[c].align == FL_RIGHT;
        owed += GAP + (right ? free : 0);
        if (columns > 0) {
            add_spaces(text, owed);
            fl_text_add(text, word);
            owed = 0;
        }
        owed += right ? 0 : free;
    }
    fl_text_add(text, "\n");
}

/** Whether any column has a title; a table without does without that line. */
static bool has_titles(const fl_table *table)
{
    for (size_t c = 0; c < table->column_count; c++)
        if (table->columns[c].title[0])
            return true;
    return false;
}

/** Releases in any case: a table is written once. */
void fl_table_write(fl_table *table, fl_text *text)
{
    size_t widths[FL_TABLE_COLUMNS] = {0};
    const char *titles[FL_TABLE_COLUMNS] = {NULL};
    for (size_t c = 0; c < table->column_count; c++)
        titles[c] = table->columns[c].title;
    if (table->failed)
        text->failed = true;
    if (!table->failed) {
        find_widths(table, widths);
        if (table->cell_count > 0 && has_titles(table))
            write_row(table, text, widths, titles);
        for (size_t i = 0; i + table->column_count <= table->cell_count; i += table->column_count)
            write_row(table, text, widths, table->cells + i);
    }
    fl_memory_free(table->cells);
    fl_arena_release(&table->arena);
    *table = (fl_table){0};
}
