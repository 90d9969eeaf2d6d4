/* What the resonances of package bodies lie near to. */
#include <stdio.h>

#include "path/groundwork.h"

/* So much over a band's ends is near it: real walls shift the resonances about as much. */
static const double margin = 0.1;

/* One warning for all resonances of a sort near a band. */
static fl_status warn(fl_groundwork *groundwork, const fl_body *body, const fl_band *band,
                      const fl_resonances *found, const char *what, fl_error *error)
{
    char frequency[FL_UNIT_ROOM], more[48] = "";
    const bool within = found->lowest >= band->low && found->lowest <= band->high;
    fl_unit_text(frequency, found->lowest, FL_FREQUENCY, 3);
    if (found->count > 1)
        (void)snprintf(more, sizeof more, " and %zu more", found->count - 1);
    return fl_groundwork_warn(groundwork,
                              fl_arena_print(&groundwork->arena,
                                             "%s: %s resonates at %s%s, %s the band; walls are "
                                             "idealised",
                                             body->place, what, frequency, more,
                                             within ? "in" : "near"),
                              error);
}

static fl_status warn_of_body(fl_groundwork *groundwork, const fl_body *body, const fl_band *band,
                              fl_error *error)
{
    fl_resonances found;
    char what[96];
    fl_status status = FL_OK;
    const double low = band->low * (1.0 - margin), high = band->high * (1.0 + margin);
    fl_body_paddle(&found, body, low, high);
    if (found.count > 0) {
        (void)snprintf(what, sizeof what, "the paddle (%d half waves long)", found.order[0]);
        status = warn(groundwork, body, band, &found,
                      found.order[0] == 1 ? "the paddle (half a wave long)" : what, error);
    }
    fl_body_box(&found, body, low, high);
    if (status != FL_OK || found.count == 0)
        return status;
    (void)snprintf(what, sizeof what, "the mould, taken as a closed box (mode %d %d %d),",
                   found.order[0], found.order[1], found.order[2]);
    return warn(groundwork, body, band, &found, what, error);
}

fl_status fl_resonances_warn(fl_groundwork *groundwork, fl_error *error)
{
    const fl_design *design = groundwork->design;
    fl_status status = FL_OK;
    for (const fl_body *body = design->bodies; body != NULL; body = body->next)
        for (size_t i = 0; status == FL_OK && i < design->band_count; i++)
            status = warn_of_body(groundwork, body, &design->bands[i], error);
    return status;
}
