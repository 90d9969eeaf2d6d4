/** Parts of the JSON report that have a file of their own; each writes the value of its key. */
#ifndef FL_REPORTS_JSON_H
#define FL_REPORTS_JSON_H

#include "reports/reports.h"
#include "reports/stream.h"

/** Sections with their electrical values; null if the result has none. */
void fl_json_sections(fl_stream *json, const fl_result *result);

/** What a model was given or took by default; null if the result is of no model. */
void fl_json_parameters(fl_stream *json, const fl_result *result);

/** Parameter that a model was swept over; null if none was. */
void fl_json_swept(fl_stream *json, const fl_result *result);

/** All quantities with their spreads; null if the result has none. */
void fl_json_quantities(fl_stream *json, const fl_result *result);

/** Sensitivities, largest effect first; null if not computed. */
void fl_json_sensitivity(fl_stream *json, const fl_result *result);

/** Yield of all cases together; null if not computed. */
void fl_json_yield(fl_stream *json, const fl_result *result);

/** "die" or "board" for a return loss, null for anything else. */
void fl_json_port(fl_stream *json, fl_asked asked, int port);

#endif
