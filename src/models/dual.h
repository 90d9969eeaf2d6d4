/**
 * Forward-mode dual numbers: a value and its exact derivatives with respect to the parameters of
 * one section. Models are written once in these; the derivatives come along by the chain rule.
 */
#ifndef FL_MODELS_DUAL_H
#define FL_MODELS_DUAL_H

/** Most parameters of a section kind, and of one that has closed formulas. */
enum { FL_PARTIALS = 14, FL_CLOSED_PARTIALS = 4 };

typedef struct fl_dual {
    double value;
    double partial[FL_CLOSED_PARTIALS]; /* d value / d parameter */
} fl_dual;

fl_dual fl_dual_constant(double value);
fl_dual fl_dual_variable(double value, int parameter);

fl_dual fl_dual_add(fl_dual a, fl_dual b);
fl_dual fl_dual_subtract(fl_dual a, fl_dual b);
fl_dual fl_dual_multiply(fl_dual a, fl_dual b);
fl_dual fl_dual_divide(fl_dual a, fl_dual b);
fl_dual fl_dual_scale(fl_dual a, double factor); /* a * factor */
fl_dual fl_dual_shift(fl_dual a, double offset); /* a + offset */
fl_dual fl_dual_sqrt(fl_dual a);
fl_dual fl_dual_log(fl_dual a);
fl_dual fl_dual_acosh(fl_dual a);

#endif
