/* Forward-mode dual numbers: the rules of differentiation, each once. */
#include "models/dual.h"

#include <math.h>

/* f(a) with f'(a) known. */
static fl_dual chain(fl_dual a, double value, double slope)
{
    fl_dual result = {.value = value};
    for (int i = 0; i < FL_CLOSED_PARTIALS; i++)
        result.partial[i] = slope * a.partial[i];
    return result;
}

/* f(a, b) with both partial derivatives known. */
static fl_dual chain_two(fl_dual a, fl_dual b, double value, double slope_a, double slope_b)
{
    fl_dual result = {.value = value};
    for (int i = 0; i < FL_CLOSED_PARTIALS; i++)
        result.partial[i] = slope_a * a.partial[i] + slope_b * b.partial[i];
    return result;
}

/* What no parameter moves. */
fl_dual fl_dual_constant(double value)
{
    return (fl_dual){.value = value};
}

/* A parameter itself. */
fl_dual fl_dual_variable(double value, int parameter)
{
    fl_dual result = {.value = value};
    result.partial[parameter] = 1.0;
    return result;
}

/* d(a + b) = da + db */
fl_dual fl_dual_add(fl_dual a, fl_dual b)
{
    return chain_two(a, b, a.value + b.value, 1.0, 1.0);
}

/* d(a - b) = da - db */
fl_dual fl_dual_subtract(fl_dual a, fl_dual b)
{
    return chain_two(a, b, a.value - b.value, 1.0, -1.0);
}

/* d(a b) = b da + a db */
fl_dual fl_dual_multiply(fl_dual a, fl_dual b)
{
    return chain_two(a, b, a.value * b.value, b.value, a.value);
}

/* d(a / b) = da / b - (a / b) db / b */
fl_dual fl_dual_divide(fl_dual a, fl_dual b)
{
    const double quotient = a.value / b.value;
    return chain_two(a, b, quotient, 1.0 / b.value, -quotient / b.value);
}

/* Both parts are linear. */
fl_dual fl_dual_scale(fl_dual a, double factor)
{
    return chain(a, a.value * factor, factor);
}

/* A constant has no derivatives to add. */
fl_dual fl_dual_shift(fl_dual a, double offset)
{
    a.value += offset;
    return a;
}

/* d sqrt(a) = da / (2 sqrt(a)) */
fl_dual fl_dual_sqrt(fl_dual a)
{
    const double root = sqrt(a.value);
    return chain(a, root, 0.5 / root);
}

/* d ln(a) = da / a */
fl_dual fl_dual_log(fl_dual a)
{
    return chain(a, log(a.value), 1.0 / a.value);
}

/* d acosh(a) = da / sqrt(a^2 - 1) */
fl_dual fl_dual_acosh(fl_dual a)
{
    const double v = a.value;
    return chain(a, acosh(v), 1.0 / sqrt(v * v - 1.0));
}
