/**
 * One section asked for by texts, without a design file: "span=300 um", "28 GHz", "pitch=80
 * um:200 um:7". A design of that one section is written for each row of values, so that it goes
 * through all the checks of one that was read.
 */
#ifndef FL_MODELS_REQUEST_H
#define FL_MODELS_REQUEST_H

#include "base/text.h"
#include "models/models.h"

/** "span=300 um", taken apart. */
typedef struct fl_assignment {
    const char *name, *value;
    const fl_parameter *parameter;
} fl_assignment;

typedef struct fl_request {
    fl_arena arena;
    const fl_kind *kind;
    fl_assignment *parts; /* [count]; the last one is that swept, if one is */
    size_t count;
    double *frequencies; /* [frequency_count], Hz, at least one */
    size_t frequency_count;
    const fl_parameter *swept; /* NULL: none */
    double low, high;          /* SI */
    size_t steps;              /* values of the sweep */
} fl_request;

/** Reads what is asked. Release in any case. */
fl_status fl_request_read(fl_request *request, const char *kind, const fl_model_options *options,
                          fl_error *error);
void fl_request_release(fl_request *request);

/** Rows that are asked for: swept values at the first frequency, or else frequencies. */
size_t fl_request_rows(const fl_request *request);

/** Frequency of a row, Hz. */
double fl_request_frequency(const fl_request *request, size_t row);

/** Value of what is swept in a row, SI; of a request with a sweep only. */
double fl_request_swept(const fl_request *request, size_t row);

/** Room for a row's label. */
enum { FL_LABEL_ROOM = 300 };

/** "28 GHz", or "span 250 um" of a sweep. */
void fl_request_label(char label[FL_LABEL_ROOM], const fl_request *request, size_t row);

/** Writes the design of a row, whose band is narrow about its frequency. */
void fl_request_design(fl_text *text, const fl_request *request, size_t row);

/** Turns an error found in the design of a row into one of what was asked. Returns status. */
fl_status fl_request_fault(fl_error *error, fl_status status, const fl_request *request,
                           size_t row);

#endif
