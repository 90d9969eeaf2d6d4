/**
 * Text report of one section alone: its values, a line each, or a table with a row for each
 * frequency or swept value. In a table each column has one unit and as many decimals as its values
 * need, so that they can be compared at a glance.
 */
#include <math.h>
#include <string.h>

#include "reports/pages.h"

/* Significant digits of values; names of values in a table. */
enum { DIGITS = 4, RETURN_LOSS_DECIMALS = 2, MOST_COLUMNS = 3 * FL_PROPERTIES };

static const char RETURN_LOSS[] = "return loss";

/** One column: where its values come from, and how they are written. */
typedef struct value_column {
    const char *title, *unit;
    fl_dimension dimension;
    int power, decimals; /* a value in its unit is value / 10^power */
    size_t width;
} value_column;

typedef struct value_table {
    fl_arena arena;
    const fl_result *result;
    value_column columns[MOST_COLUMNS + 2];
    size_t count;
    bool failed;
} value_table;

/** A value of a row by the name of its column; NAN if the row has none. */
static double value_of(const value_table *table, const value_column *column, size_t row)
{
    const fl_result_section *section = &table->result->sections[row];
    if (column == &table->columns[0])
        return table->result->swept_name ? section->swept : section->frequency;
    if (column->title == RETURN_LOSS)
        return section->return_loss_db;
    for (size_t i = 0; i < section->property_count; i++)
        if (strcmp(section->properties[i].name, column->title) == 0)
            return section->properties[i].value;
    return (double)NAN;
}

/** Largest size and smallest but zero of a column's values; both zero if there are none. */
static void find_sizes(double sizes[2], const value_table *table, const value_column *column)
{
    sizes[0] = sizes[1] = 0.0;
    for (size_t row = 0; row < table->result->section_count; row++) {
        const double size = fabs(value_of(table, column, row));
        if (!isfinite(size) || size == 0.0)
            continue;
        sizes[0] = fmax(sizes[0], size);
        sizes[1] = sizes[1] > 0.0 ? fmin(sizes[1], size) : size;
    }
}

/** The unit is that of the largest value; the smallest still has a digit less than that one. */
static void choose_unit(value_table *table, value_column *column)
{
    char word[FL_WORD_ROOM];
    double sizes[2], number = 0.0;
    find_sizes(sizes, table, column);
    fl_unit_text(word, sizes[0], column->dimension, DIGITS);
    const char *end = fl_number_read(&number, word, 0);
    column->unit = fl_arena_print(&table->arena, "%s", end && *end == ' ' ? end + 1 : "");
    table->failed = table->failed || !column->unit;
    column->decimals = 0;
    column->power = 0;
    if (sizes[0] == 0.0)
        return;
    column->power = (int)lround(log10(sizes[0] / number));
    const int largest = DIGITS - 1 - (int)floor(log10(number) + 1e-9);
    const int smallest = DIGITS - 2 - (int)floor(log10(sizes[1]) - column->power + 1e-9);
    column->decimals = smallest > largest ? smallest : largest;
    column->decimals = column->decimals > largest + DIGITS ? largest + DIGITS : column->decimals;
    column->decimals = column->decimals > 0 ? column->decimals : 0;
    if (column->title == RETURN_LOSS)
        column->decimals = RETURN_LOSS_DECIMALS; /* as everywhere */
}

/** A cell's text; NULL when out of memory. */
static const char *cell_text(value_table *table, const value_column *column, size_t row)
{
    const double value = value_of(table, column, row);
    if (!isfinite(value))
        return "-";
    const double number = value / pow(10.0, column->power);
    if (column == &table->columns[0])
        return fl_arena_print(&table->arena, "%.6g", number);
    return fl_arena_print(&table->arena, "%.*f", column->decimals, number);
}

/** Adds a column, unless there is one of that name. */
static void add_column(value_table *table, const char *title, fl_dimension dimension)
{
    for (size_t i = 0; i < table->count; i++)
        if (strcmp(table->columns[i].title, title) == 0)
            return;
    if (table->count > MOST_COLUMNS)
        return;
    value_column *column = &table->columns[table->count++];
    *column = (value_column){.title = title, .dimension = dimension};
}

/** What is varied, every electrical value that some row has, and the return loss. */
static void list_columns(value_table *table)
{
    const fl_result *result = table->result;
    add_column(table, result->swept_name ? result->swept_name : "frequency",
               result->swept_name ? result->swept_dimension : FL_FREQUENCY);
    for (size_t row = 0; row < result->section_count; row++)
        for (size_t i = 0; i < result->sections[row].property_count; i++)
            add_column(table, result->sections[row].properties[i].name,
                       result->sections[row].properties[i].dimension);
    table->columns[table->count++] = (value_column){.title = RETURN_LOSS, .dimension = FL_DECIBEL};
}

/** Units and widths, once all columns are known. */
static void measure_columns(value_table *table)
{
    for (size_t c = 0; c < table->count; c++) {
        value_column *column = &table->columns[c];
        choose_unit(table, column);
        column->width = fl_columns(column->title);
        for (size_t row = 0; row < table->result->section_count; row++) {
            const char *cell = cell_text(table, column, row);
            table->failed = table->failed || !cell;
            if (cell && strlen(cell) > column->width)
                column->width = strlen(cell);
        }
    }
}

/** Columns from first on that fit a line beside the one of what is varied; one at least. */
static size_t count_fitting(const value_table *table, size_t first)
{
    size_t total = 2 + table->columns[0].width, count = 0;
    while (first + count < table->count && count < FL_TABLE_COLUMNS - 1) {
        total += 2 + table->columns[first + count].width;
        if (count > 0 && total > FL_LINE)
            break;
        count++;
    }
    return count;
}

/** The titles, a row of units, and the values. */
static void write_columns(value_table *table, fl_text *text, size_t first, size_t count)
{
    fl_column columns[FL_TABLE_COLUMNS];
    const value_column *from[FL_TABLE_COLUMNS];
    fl_table lines;
    for (size_t c = 0; c <= count; c++) {
        from[c] = &table->columns[c == 0 ? 0 : first + c - 1];
        columns[c] = (fl_column){from[c]->title, FL_RIGHT, c == 0};
    }
    fl_table_init(&lines, columns, count + 1);
    for (size_t c = 0; c <= count; c++)
        fl_table_add(&lines, from[c]->unit);
    for (size_t row = 0; row < table->result->section_count; row++)
        for (size_t c = 0; c <= count; c++)
            fl_table_add(&lines, cell_text(table, from[c], row));
    fl_table_write(&lines, text);
}

/** What is too wide for a line goes on in a further table. */
static void write_rows(fl_text *text, const fl_result *result)
{
    value_table table = {.result = result};
    fl_arena_init(&table.arena);
    list_columns(&table);
    measure_columns(&table);
    for (size_t first = 1; !table.failed && first < table.count;) {
        const size_t count = count_fitting(&table, first);
        fl_text_add(text, first > 1 ? "\n" : "");
        write_columns(&table, text, first, count);
        first += count;
    }
    text->failed = text->failed || table.failed;
    fl_arena_release(&table.arena);
}

/** One row: a line a value. */
static void write_values(fl_text *text, const fl_result_section *section)
{
    static const fl_column COLUMNS[] = {{"", FL_LEFT, false}, {"", FL_RIGHT, false}};
    char word[FL_WORD_ROOM];
    fl_table table;
    fl_table_init(&table, COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < section->property_count; i++) {
        const fl_property *property = &section->properties[i];
        fl_value_text(word, property->value, property->dimension, DIGITS);
        fl_table_add(&table, property->name);
        fl_table_add(&table, word);
    }
    fl_decibel_text(word, section->return_loss_db);
    fl_table_add(&table, RETURN_LOSS);
    fl_table_add(&table, word);
    fl_table_write(&table, text);
}

/** Adds "name value" to a line of so many columns, or begins a new one; a name and its value are
 * not torn apart. */
static void add_parameter(fl_text *text, const fl_result_parameter *parameter, size_t *used)
{
    char word[FL_WORD_ROOM];
    fl_value_text(word, parameter->value, parameter->dimension, 6);
    const size_t columns = fl_columns(parameter->name) + 1 + fl_columns(word);
    const bool fits = *used + 1 + columns < FL_LINE; /* a comma may follow */
    fl_text_print(text, "%s%s %s", fits ? " " : "\n    ", parameter->name, word);
    *used = fits ? *used + 1 + columns : 4 + columns;
}

/** "Given: count 2, ..." or "By default: ...": what was assumed is as much part of the values as
 * what was said. */
static void write_parameters(fl_text *text, const fl_result *result, bool given)
{
    const char *lead = given ? "  Given:" : "  By default:";
    size_t used = 0;
    for (size_t i = 0; i < result->parameter_count; i++) {
        if (result->parameters[i].given != given)
            continue;
        fl_text_add(text, used > 0 ? "," : lead);
        used += used > 0 ? 1 : strlen(lead);
        add_parameter(text, &result->parameters[i], &used);
    }
    fl_text_add(text, used > 0 ? "\n" : "");
}

/** At one frequency, at several, or swept. */
static void write_head(fl_text *text, const fl_result *result)
{
    char frequency[FL_WORD_ROOM], ends[2][FL_WORD_ROOM];
    const fl_result_section *first = &result->sections[0];
    const fl_result_section *last = &result->sections[result->section_count - 1];
    fl_value_text(frequency, first->frequency, FL_FREQUENCY, 6);
    if (result->swept_name) {
        fl_value_text(ends[0], first->swept, result->swept_dimension, 6);
        fl_value_text(ends[1], last->swept, result->swept_dimension, 6);
        fl_text_print(text, "%s at %s, %s from %s to %s\n", first->kind, frequency,
                      result->swept_name, ends[0], ends[1]);
    } else if (result->section_count > 1) {
        fl_text_print(text, "%s at %zu frequencies\n", first->kind, result->section_count);
    } else {
        fl_text_print(text, "%s at %s\n", first->kind, frequency);
    }
}

void fl_page_model(fl_text *text, const fl_result *result)
{
    if (result->section_count == 0)
        return;
    write_head(text, result);
    if (result->section_count > 1)
        write_rows(text, result);
    else
        write_values(text, &result->sections[0]);
    fl_text_add(text, "\n");
    write_parameters(text, result, true);
    write_parameters(text, result, false);
    fl_text_add(text, "  Return loss is that of the section by itself between 50 ohm.\n");
}
