/* What a finished design answers: present values, terms, and the deviation that spreads come to. */
#include <math.h>

#include "design/design.h"

void fl_design_start(const fl_design *design, double *quantities)
{
    for (size_t i = 0; i < design->quantity_count; i++)
        quantities[i] = design->quantities[i].value;
}

/* No quantity is looked at for a constant: quantities may then be NULL. */
double fl_term_value(const fl_term *term, const double *quantities)
{
    if (term->quantity == FL_NONE)
        return term->plus;
    return term->times * quantities[term->quantity] + term->plus;
}

/* Within 64 bits for any plan that was read. */
uint64_t fl_plan_dice(const fl_plan *plan)
{
    return plan->wafers * plan->dice;
}

/* Share of the variance that a standard normal keeps when cut at -c and c: the integral of x^2 f(x)
 * over that of f(x), f its density. By parts, 1 - 2 c f(c) / erf(c / sqrt 2) [Johnson1994]. Below
 * the switch this cancels; there the exponential is expanded under both integrals, and 14 terms are
 * exact to rounding. */
static double kept_variance(double cut)
{
    if (cut > 0.5) {
        const double density = exp(-0.5 * cut * cut) / sqrt(2.0 * acos(-1.0));
        return 1.0 - 2.0 * cut * density / erf(cut / sqrt(2.0)); /* [Johnson1994] section 13.10.1 */
    }
    const double half = 0.5 * cut * cut;
    double term = 1.0;
    double above = 0.0;
    double below = 0.0;
    for (int k = 0; k < 14; k++) {
        above += term / (2.0 * k + 3.0);
        below += term / (2.0 * k + 1.0);
        term *= -half / (k + 1.0);
    }
    return cut * cut * above / below;
}

/* A uniform's variance is half-width^2 / 3. Amounts relative to a negative nominal have its
 * size. */
static double component_variance(const fl_spread *spread, double nominal)
{
    const double size = fabs(nominal);
    const double amount = spread->amount * (spread->relative ? size : 1.0);
    const double within = spread->within * (spread->within_relative ? size : 1.0);
    if (spread->shape == FL_UNIFORM)
        return amount * amount / 3.0;
    if (spread->within == 0.0 || amount == 0.0)
        return amount * amount;
    return amount * amount * kept_variance(within / amount);
}

double fl_quantity_sigma(const fl_quantity *quantity, double nominal)
{
    double variance = 0.0;
    for (size_t i = 0; i < quantity->spread_count; i++)
        variance += component_variance(&quantity->spreads[i], nominal);
    return sqrt(variance);
}
