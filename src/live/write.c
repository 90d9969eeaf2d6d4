/* Writing of a live model. */
#include <string.h>

#include "base/checksum.h"
#include "live/parts.h"

/* Rooms for the kinds in use. */
enum { KINDS = 64 };

/* Behind the head: seed, kinds, design, groundwork, text. Each part checks itself when it is read
 * with what was read before. */
static void pack_all(fl_text *text, const fl_study *study, const fl_groundwork *fitted,
                     const fl_start_list *starts, const double *quantities)
{
    const fl_kind *kinds[KINDS];
    const size_t count = fl_design_kinds(study->design, kinds, KINDS);
    fl_pack_whole(text, study->seed);
    fl_pack_count(text, count);
    for (size_t i = 0; i < count; i++)
        fl_kind_pack(text, kinds[i]);
    fl_design_pack(text, study->design, quantities, kinds, count);
    fl_groundwork_pack(text, fitted);
    fl_start_list_pack(text, study->design, starts);
}

static fl_status add(fl_text *bytes, const fl_text *body, fl_error *error)
{
    const size_t before = bytes->length;
    if (!fl_text_failed(body)) {
        fl_text_add(bytes, FL_LIVE_MARK);
        fl_pack_count(bytes, FL_LIVE_VERSION);
        fl_pack_whole(bytes, fl_checksum(FL_CHECKSUM_START, body->bytes, body->length));
        fl_text_add_bytes(bytes, body->bytes, body->length);
    }
    if (!fl_text_failed(body) && !fl_text_failed(bytes))
        return FL_OK;
    bytes->length = before;
    return fl_fail_memory(error);
}

/* Fits reach over all that a slider and production may do together: wider than those of a study,
 * which has either. */
fl_status fl_live_write(fl_text *bytes, const fl_study *study, const double *quantities,
                        fl_error *error)
{
    const fl_vary vary = {true, true, quantities, study->threads};
    fl_groundwork *fitted = NULL;
    fl_start_list starts = {NULL, 0};
    fl_arena arena;
    fl_text body;
    fl_arena_init(&arena);
    fl_text_init(&body);
    fl_status status = fl_groundwork_fit(&fitted, study->groundwork, &vary, error);
    if (status == FL_OK)
        status = fl_start_list_find(&starts, &arena, study->design, error);
    if (status != FL_OK)
        goto cleanup;
    pack_all(&body, study, fitted, &starts, quantities);
    status = add(bytes, &body, error);
cleanup:
    fl_text_release(&body);
    fl_groundwork_free(fitted);
    fl_arena_release(&arena);
    return status;
}
