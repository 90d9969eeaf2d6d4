/* Checks of a cross-section, and what is found before meshing: media, symmetry, scales. */
#include <math.h>
#include <stdio.h>

#include "models/cross_mesh.h"

/* Share of the size of the cross-section below which lengths count as equal. */
static const double equal_share = 1e-9;

/* The outermost elements end this many sizes away. Charges fall with the distance squared, so what
 * is cut off is 1e-2 of them at most, and it acts on what is near with 1e-4 or less. */
static const double reach_sizes = 100.0;

fl_status fl_fail_proportion(fl_error *error)
{
    return fl_fail(error, FL_BAD_INPUT, "conductors",
                   "dimensions whose proportions can be solved, found some too far apart");
}

static fl_status refuse(fl_error *error, const char *what, size_t index, const char *message)
{
    char place[64];
    (void)snprintf(place, sizeof place, "%s[%zu]", what, index);
    return fl_fail(error, FL_BAD_INPUT, place, "%s", message);
}

static bool positive(double value)
{
    return isfinite(value) && value > 0.0;
}

static bool not_negative(double value)
{
    return isfinite(value) && value >= 0.0;
}

static fl_status check_layers(const fl_cross *cross, fl_error *error)
{
    double bottom = 0.0;
    if (cross->layer_count > FL_CROSS_LAYERS)
        return fl_fail(error, FL_BAD_INPUT, "layers", "at most %d layers, found %zu",
                       (int)FL_CROSS_LAYERS, cross->layer_count);
    for (size_t i = 0; i < cross->layer_count; ++i) {
        const fl_cross_layer *layer = &cross->layers[i];
        if (!isfinite(layer->top) || !(layer->top > bottom))
            return refuse(error, "layers", i, "'top' must be above that of the layer below");
        if (!isfinite(layer->permittivity) || !(layer->permittivity >= 1.0))
            return refuse(error, "layers", i, "'permittivity' must be at least 1");
        if (!not_negative(layer->loss_tangent))
            return refuse(error, "layers", i, "'loss tangent' must not be negative");
        bottom = layer->top;
    }
    return FL_OK;
}

/* What is wrong with one conductor, or NULL. */
static const char *conductor_fault(const fl_cross *cross, const fl_cross_conductor *c)
{
    if (!(c->right > c->left))
        return "'right' must be greater than 'left'";
    if ((isinf(c->left) || isinf(c->right)) && c->signal != 0)
        return "only a ground may be endless";
    if (isinf(c->left) && isinf(c->right))
        return "a plane across the whole section is the ground plane or the lid";
    if (!isfinite(c->bottom) || (cross->ground && !(c->bottom > 0.0)))
        return "'bottom' must be above the ground plane";
    if (!not_negative(c->thickness))
        return "'thickness' must not be negative";
    if (cross->lid > 0.0 && !(c->bottom + c->thickness < cross->lid))
        return "a conductor must lie below the lid";
    if (c->signal > FL_CROSS_SIGNALS)
        return "too many signals";
    if (!not_negative(c->conductivity) || !not_negative(c->roughness))
        return "'conductivity' and 'roughness' must not be negative";
    return NULL;
}

/* Whether two conductors overlap or touch. */
static bool meet(const fl_cross_conductor *a, const fl_cross_conductor *b)
{
    return a->left <= b->right && b->left <= a->right && a->bottom <= b->bottom + b->thickness &&
           b->bottom <= a->bottom + a->thickness;
}

static fl_status check_conductors(const fl_cross *cross, fl_error *error)
{
    if (cross->conductor_count < 1 || cross->conductor_count > FL_CROSS_CONDUCTORS)
        return fl_fail(error, FL_BAD_INPUT, "conductors", "1 to %d conductors, found %zu",
                       (int)FL_CROSS_CONDUCTORS, cross->conductor_count);
    for (size_t i = 0; i < cross->conductor_count; ++i) {
        const char *fault = conductor_fault(cross, &cross->conductors[i]);
        for (size_t j = 0; j < i && fault == NULL; ++j)
            if (meet(&cross->conductors[i], &cross->conductors[j]))
                fault = "overlaps or touches another conductor";
        if (fault != NULL)
            return refuse(error, "conductors", i, fault);
    }
    return FL_OK;
}

/* Signals are 1 to n, each carried by some conductor, and there is a return. */
static fl_status count_signals(size_t *count, const fl_cross *cross, fl_error *error)
{
    bool used[FL_CROSS_SIGNALS + 1] = {false};
    size_t most = 0;
    for (size_t i = 0; i < cross->conductor_count; ++i) {
        used[cross->conductors[i].signal] = true;
        if (cross->conductors[i].signal > most)
            most = cross->conductors[i].signal;
    }
    if (most == 0)
        return fl_fail(error, FL_BAD_INPUT, "conductors", "no conductor carries a signal");
    for (size_t signal = 1; signal <= most; ++signal)
        if (!used[signal])
            return fl_fail(error, FL_BAD_INPUT, "conductors", "no conductor carries signal %zu",
                           signal);
    if (!cross->ground && !(cross->lid > 0.0) && !used[0])
        return fl_fail(error, FL_BAD_INPUT, "conductors", "no ground for the currents to return");
    *count = most;
    return FL_OK;
}

static fl_status check(size_t *signal_count, const fl_cross *cross, fl_error *error)
{
    if (!not_negative(cross->lid))
        return fl_fail(error, FL_BAD_INPUT, "lid", "'lid' must not be negative");
    if (!not_negative(cross->conductivity) || !not_negative(cross->roughness))
        return fl_fail(error, FL_BAD_INPUT, "ground",
                       "'conductivity' and 'roughness' must not be negative");
    fl_status status = check_layers(cross, error);
    if (status == FL_OK)
        status = check_conductors(cross, error);
    if (status == FL_OK)
        status = count_signals(signal_count, cross, error);
    return status;
}

/* A conductor as it is on the other side of x. */
static fl_cross_conductor mirrored(const fl_cross_conductor *c, double x)
{
    fl_cross_conductor other = *c;
    other.left = 2.0 * x - c->right;
    other.right = 2.0 * x - c->left;
    return other;
}

bool fl_plan_same(const fl_cross_plan *plan, double a, double b)
{
    /* Equal infinities too. */
    return a == b || fabs(a - b) <= plan->tolerance;
}

static bool alike(const fl_cross_plan *plan, const fl_cross_conductor *a,
                  const fl_cross_conductor *b)
{
    return fl_plan_same(plan, a->left, b->left) && fl_plan_same(plan, a->right, b->right) &&
           fl_plan_same(plan, a->bottom, b->bottom) &&
           fl_plan_same(plan, a->thickness, b->thickness) && a->conductivity == b->conductivity &&
           a->roughness == b->roughness;
}

/* Joins two signals as partners; false if one has another partner already. */
static bool pair(size_t *partner, size_t a, size_t b)
{
    if ((a == 0) != (b == 0))
        return false;
    if ((partner[a] != 0 && partner[a] != b) || (partner[b] != 0 && partner[b] != a))
        return false;
    partner[a] = b;
    partner[b] = a;
    return true;
}

/* Whether x is a plane of symmetry; then partner tells which signal mirrors which. */
static bool find_partners(fl_cross_plan *plan, double x)
{
    size_t partner[FL_CROSS_SIGNALS + 1] = {0};
    for (size_t i = 0; i < plan->conductor_count; ++i) {
        const fl_cross_conductor wanted = mirrored(&plan->conductors[i], x);
        size_t j = 0;
        while (j < plan->conductor_count && !alike(plan, &wanted, &plan->conductors[j]))
            ++j;
        if (j == plan->conductor_count)
            return false;
        if (!pair(partner, plan->conductors[i].signal, plan->conductors[j].signal))
            return false;
    }
    for (size_t i = 0; i <= FL_CROSS_SIGNALS; ++i)
        plan->partner[i] = partner[i];
    return true;
}

/* Finds the span of all finite edges and the highest top. */
static void find_span(const fl_cross *cross, double span[2], double *top)
{
    span[0] = HUGE_VAL;
    span[1] = -HUGE_VAL;
    *top = -HUGE_VAL;
    for (size_t i = 0; i < cross->conductor_count; ++i) {
        const fl_cross_conductor *c = &cross->conductors[i];
        span[0] = fmin(span[0], isfinite(c->left) ? c->left : c->right);
        span[1] = fmax(span[1], isfinite(c->right) ? c->right : c->left);
        *top = fmax(*top, c->bottom + c->thickness);
    }
}

static void set_media(fl_cross_plan *plan)
{
    const fl_cross *cross = plan->cross;
    plan->layer_count = cross->layer_count;
    for (size_t i = 0; i < cross->layer_count; ++i) {
        plan->tops[i] = cross->layers[i].top;
        plan->permittivity[i] = cross->layers[i].permittivity;
        plan->loss[i] = cross->layers[i].permittivity * cross->layers[i].loss_tangent;
    }
    plan->permittivity[cross->layer_count] = 1.0;
    plan->loss[cross->layer_count] = 0.0;
}

size_t fl_plan_medium(const fl_cross_plan *plan, double y, bool above)
{
    const double limit = above ? y + plan->tolerance : y - plan->tolerance;
    size_t medium = 0;
    if (!plan->cross->ground && limit < 0.0)
        return plan->layer_count;
    while (medium < plan->layer_count && plan->tops[medium] < limit)
        ++medium;
    return medium;
}

/* Whether every dimension is large enough against the whole to be told from none. */
static bool distinct(const fl_cross_plan *plan)
{
    const double least = plan->tolerance;
    for (size_t i = 0; i < plan->conductor_count; ++i) {
        const fl_cross_conductor *c = &plan->conductors[i];
        if (!(c->right - c->left > least) || (c->thickness > 0.0 && !(c->thickness > least)) ||
            (plan->cross->ground && !(c->bottom > least)))
            return false;
    }
    return true;
}

fl_status fl_plan_make(fl_cross_plan *plan, const fl_cross *cross, fl_error *error)
{
    size_t signal_count = 0;
    const fl_status status = check(&signal_count, cross, error);
    if (status != FL_OK)
        return status;
    double span[2];
    double top;
    find_span(cross, span, &top);
    const double middle = 0.5 * (span[0] + span[1]);
    const double width = span[1] - span[0];
    *plan = (fl_cross_plan){.cross = cross, .signal_count = signal_count};
    plan->conductor_count = cross->conductor_count;
    for (size_t i = 0; i < cross->conductor_count; ++i) {
        plan->conductors[i] = cross->conductors[i];
        plan->conductors[i].left -= middle;
        plan->conductors[i].right -= middle;
    }
    plan->scale = cross->ground ? top : 0.25 * width;
    plan->tolerance = equal_share * (width + fabs(top));
    plan->reach = reach_sizes * (plan->scale + 0.5 * width);
    if (!positive(plan->reach) || !positive(plan->tolerance) || !positive(plan->scale) ||
        !distinct(plan))
        return fl_fail_proportion(error);
    plan->symmetric = find_partners(plan, 0.0);
    set_media(plan);
    if (cross->lid > 0.0) {
        plan->lid = true;
        plan->conductors[plan->conductor_count++] =
            (fl_cross_conductor){.left = -HUGE_VAL,
                                 .right = HUGE_VAL,
                                 .bottom = cross->lid,
                                 .conductivity = cross->conductivity,
                                 .roughness = cross->roughness};
    }
    return FL_OK;
}
