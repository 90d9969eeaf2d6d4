/* The design's own text with new starts in their places, all else as the user wrote it; and its way
 * in bytes. */
#include "base/text.h"
#include "design/design.h"

/* As the file would have it: with all digits, so that the value reads back the same. */
static void add_value(fl_text *text, const fl_quantity *quantity, double value)
{
    char word[FL_UNIT_ROOM];
    /* Rounding must not carry a value over the end of its range. */
    value = value < quantity->low ? quantity->low : value;
    value = value > quantity->high ? quantity->high : value;
    if (quantity->dimension == FL_NUMBER) {
        char number[FL_NUMBER_ROOM];
        fl_number_text(number, value);
        fl_text_add(text, number);
        return;
    }
    fl_unit_text(word, value, quantity->dimension, 0);
    fl_text_add(text, "\"");
    fl_text_add(text, word);
    fl_text_add(text, "\"");
}

/* The quantity of a case; where the case has none of this definition, the first will do. */
static size_t find_of_case(const fl_design *design, const fl_start_place *of, size_t only_case)
{
    const size_t begin = design->quantities[of->quantity].begin;
    for (size_t i = of->quantity; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        if (quantity->sized && quantity->begin == begin && quantity->only_case == only_case)
            return i;
    }
    return of->quantity;
}

/* One value, or a list with one for each case. */
static void add_start(fl_text *text, const fl_design *design, const fl_start_place *of,
                      const double *values)
{
    const fl_quantity *first = &design->quantities[of->quantity];
    if (!first->per_case) {
        add_value(text, first, values[of->quantity]);
        return;
    }
    fl_text_add(text, "[");
    for (size_t i = 0; i < design->case_count; i++) {
        fl_text_add(text, i ? ", " : "");
        add_value(text, first, values[find_of_case(design, of, i)]);
    }
    fl_text_add(text, "]");
}

/* Places do not overlap: between them the text goes over byte for byte, comments and layout with
 * it. */
fl_status fl_start_list_fill(char **text, size_t *length, const fl_design *design,
                             const fl_start_list *list, const double *values, fl_error *error)
{
    fl_text made;
    size_t done = 0;
    fl_text_init(&made);
    for (size_t i = 0; i < list->count; i++) {
        const fl_start_place *at = &list->places[i];
        fl_text_add_bytes(&made, design->text + done, at->begin - done);
        fl_text_add(&made, at->fresh ? ", \"start\": " : "");
        add_start(&made, design, at, values);
        done = at->end;
    }
    fl_text_add_bytes(&made, design->text + done, design->length - done);
    if (fl_text_failed(&made)) {
        fl_text_release(&made);
        return fl_fail_memory(error);
    }
    *text = made.bytes;
    *length = made.length;
    return FL_OK;
}

/* The text as it was given: comments and layout are its author's. */
void fl_start_list_pack(fl_text *text, const fl_design *design, const fl_start_list *list)
{
    fl_pack_count(text, design->length);
    fl_text_add_bytes(text, design->text, design->length);
    fl_pack_count(text, list->count);
    for (size_t i = 0; i < list->count; i++) {
        fl_pack_count(text, list->places[i].quantity);
        fl_pack_count(text, list->places[i].begin);
        fl_pack_count(text, list->places[i].end);
        fl_pack_flag(text, list->places[i].fresh);
    }
}

/* A design's text is valid UTF-8 without NUL: the reader saw to it. */
static void unpack_text(fl_unpack *from, fl_design *design)
{
    design->length = fl_unpack_count(from, 1);
    const char *bytes = (const char *)from->at;
    fl_unpack_must(from, fl_text_valid_utf8(bytes, design->length) == design->length);
    if (!fl_unpack_well(from))
        return;
    design->text = fl_arena_copy(from->arena, bytes, design->length);
    from->no_memory = design->text == NULL;
    from->at += design->length;
}

/* In order, and without overlap. */
void fl_start_list_unpack(fl_start_list *list, fl_unpack *from, fl_design *design)
{
    size_t done = 0;
    unpack_text(from, design);
    const size_t count = fl_unpack_count(from, 3 * sizeof(uint32_t));
    fl_start_place *places = fl_unpack_take(from, count, sizeof *places);
    for (size_t i = 0; fl_unpack_well(from) && i < count; i++) {
        places[i].quantity = fl_unpack_index(from, design->quantity_count);
        places[i].begin = fl_unpack_index(from, design->length + 1);
        places[i].end = fl_unpack_index(from, design->length + 1);
        places[i].fresh = fl_unpack_flag(from);
        fl_unpack_must(from, places[i].begin >= done && places[i].end >= places[i].begin);
        done = places[i].end;
    }
    *list = (fl_start_list){places, fl_unpack_well(from) ? count : 0};
}
