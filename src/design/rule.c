/* What a parameter's value may be. */
#include <math.h>

#include "design/design.h"

/* No rule holds for NaN but FL_ANY; values are finite here. */
bool fl_rule_holds(fl_rule rule, double value)
{
    switch (rule) {
    case FL_POSITIVE:
        return value > 0.0;
    case FL_NOT_NEGATIVE:
        return value >= 0.0;
    case FL_AT_LEAST_ONE:
        return value >= 1.0;
    case FL_WHOLE:
        return value >= 1.0 && value == floor(value);
    case FL_WHOLE_OR_NONE:
        return value >= 0.0 && value == floor(value);
    case FL_ANY:
        return true;
    }
    return false;
}

bool fl_rule_whole(fl_rule rule)
{
    return rule == FL_WHOLE || rule == FL_WHOLE_OR_NONE;
}
