/* For clang-tidy alone, which reads one source at a time and so cannot know that a function that
 * reports a failure returns one. Put before every source but those that define such a function. */
#include "base/error.h"
#include "design/json.h"
#include "design/reader.h"
#include "models/touchstone.h"

#define fl_fail(error, status, ...) (fl_fail(error, status, __VA_ARGS__), status)
#define fl_fail_memory(error) (fl_fail_memory(error), FL_NO_MEMORY)
#define fl_fail_within(error, status, prefix) (fl_fail_within(error, status, prefix), status)
#define fl_json_fail(...) (fl_json_fail(__VA_ARGS__), FL_BAD_INPUT)
#define fl_json_fail_at(...) (fl_json_fail_at(__VA_ARGS__), FL_BAD_INPUT)
#define fl_spot_fail(...) (fl_spot_fail(__VA_ARGS__), FL_BAD_INPUT)
#define fl_spot_fail_at(...) (fl_spot_fail_at(__VA_ARGS__), FL_BAD_INPUT)
#define fl_touchstone_fail(...) (fl_touchstone_fail(__VA_ARGS__), FL_BAD_INPUT)
