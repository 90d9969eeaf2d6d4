/**
 * The strict scan of a JSON text, private to the JSON layer.
 */
#ifndef FL_DESIGN_JSON_CHECK_H
#define FL_DESIGN_JSON_CHECK_H

#include <stddef.h>
#include <stdint.h>

#include "design/json.h"

/** One value: where it stands, and its node once the tree is built. */
typedef struct fl_json_note {
    const cJSON *node;
    const cJSON *parent;
    uint32_t begin; /* offset of its first byte */
    uint32_t end;   /* behind its last byte */
    uint32_t index; /* among its siblings */
} fl_json_note;

/**
 * Scans json->text, from json->start on, and fills json->notes in the order of the text.
 *
 * @param[out] at the offset at fault, on FL_BAD_INPUT.
 * @return FL_OK; FL_BAD_INPUT, the message without a place; FL_NO_MEMORY.
 */
fl_status fl_json_check(fl_json *json, size_t *at, fl_error *error);

#endif
