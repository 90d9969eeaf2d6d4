/* Straight filaments: the integral of 1 / R over two of them, in any position.
 *
 * The inner integral, over one filament from a point, is closed. The outer one is closed as well
 * [Campbell1915], [Grover1946, ch. 7], but its terms cancel for filaments that are far apart or
 * nearly parallel; there it is taken by quadrature, over halves where they are near each other. */
#include "models/filament.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "models/gauss.h"

static const double pi = 3.14159265358979323846;
static const double light_speed = 299792458.0; /* m/s */

double fl_permeability(void)
{
    return 4e-7 * pi;
}

double fl_permittivity(void)
{
    return 1.0 / (fl_permeability() * light_speed * light_speed);
}

/* A filament as a point, a unit vector and a length. */
typedef struct ray {
    double start[3], along[3], length;
} ray;

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static void cross(double product[3], const double a[3], const double b[3])
{
    product[0] = a[1] * b[2] - a[2] * b[1];
    product[1] = a[2] * b[0] - a[0] * b[2];
    product[2] = a[0] * b[1] - a[1] * b[0];
}

static void between(double step[3], const double from[3], const double to[3])
{
    for (int k = 0; k < 3; k++)
        step[k] = to[k] - from[k];
}

static void point_at(double point[3], const ray *r, double s)
{
    for (int k = 0; k < 3; k++)
        point[k] = r->start[k] + s * r->along[k];
}

static ray ray_of(const fl_filament *filament)
{
    ray r;
    double step[3];
    between(step, filament->from, filament->to);
    r.length = sqrt(dot(step, step));
    for (int k = 0; k < 3; k++) {
        r.start[k] = filament->from[k];
        r.along[k] = r.length > 0.0 ? step[k] / r.length : 0.0;
    }
    return r;
}

static void turn_round(ray *r)
{
    point_at(r->start, r, r->length);
    for (int k = 0; k < 3; k++)
        r->along[k] = -r->along[k];
}

/* Where a point lies against a filament: along it from its start, and off its line. */
typedef struct place {
    double along, off;
} place;

static place place_of(const double point[3], const ray *r)
{
    double step[3], normal[3];
    between(step, r->start, point);
    cross(normal, step, r->along);
    return (place){dot(step, r->along), sqrt(dot(normal, normal))};
}

/* Integral of 1 / R along a filament from a point. */
static double from_point(const double point[3], const ray *r)
{
    place at = place_of(point, r);
    const double least = DBL_EPSILON * r->length; /* a point on the filament stays finite */
    if (at.off < least)
        at.off = least;
    const double rest = r->length - at.along;
    if (at.along > 0.0 && rest > 0.0)
        return asinh(at.along / at.off) + asinh(rest / at.off);
    const double square = at.off * at.off; /* no hypot: this is the innermost loop */
    const double detour =
        sqrt(at.along * at.along + square) + sqrt(rest * rest + square) - r->length;
    return log1p(2.0 * r->length / (detour > least ? detour : least));
}

static double distance_to(const double point[3], const ray *r)
{
    const place at = place_of(point, r);
    const double beyond = at.along < 0.0 ? at.along : at.along - r->length;
    return at.along < 0.0 || at.along > r->length ? hypot(beyond, at.off) : at.off;
}

static double quadrature(const ray *a, const ray *b, const fl_gauss *nodes)
{
    const double half = a->length / 2.0;
    double sum = 0.0;
    for (size_t i = 0; i < nodes->count; i++) {
        double before[3], behind[3];
        point_at(before, a, half * (1.0 - nodes->node[i]));
        point_at(behind, a, half * (1.0 + nodes->node[i]));
        sum += nodes->weight[i] * (from_point(before, b) + from_point(behind, b));
    }
    return sum * half;
}

/* Lengths of the first filament between which and the second lies this much of it converge to
 * 1e-13 with so many nodes, by the ellipse of analyticity of the inner integral [Davis1984]. */
static const double near_enough = 0.75, far_enough = 2.0;

/* Quadrature over a and, where b is near, over its halves in turn. Places along a count in parts of
 * 2^DEPTH, so that none is lost. */
static double graded(const ray *a, const ray *b)
{
    enum { DEPTH = 40 };
    const uint64_t whole = (uint64_t)1 << DEPTH;
    uint64_t done = 0, step = whole;
    double sum = 0.0;
    while (done < whole) {
        ray part = *a;
        double middle[3];
        part.length = a->length * (double)step / (double)whole;
        point_at(part.start, a, a->length * (double)done / (double)whole);
        point_at(middle, &part, part.length / 2.0);
        const double distance = distance_to(middle, b);
        if (distance < near_enough * part.length && step > 1) {
            step /= 2;
            continue;
        }
        sum += quadrature(
            &part, b, distance < far_enough * part.length ? &fl_gauss_sixteen : &fl_gauss_eight);
        done += step;
        while (step < whole && done % (2 * step) == 0) /* the largest part that starts here */
            step *= 2;
    }
    return sum;
}

/* The second integral of 1 / sqrt(x^2 + d^2). */
static double twice(double x, double d)
{
    return x * asinh(x / d) - hypot(x, d);
}

/* Unequal parallel filaments in any offset [Grover1946, ch. 6]. */
static double parallel(const ray *a, const ray *b)
{
    place at = place_of(b->start, a);
    const double least = DBL_EPSILON * (a->length + b->length);
    if (at.off < least)
        at.off = least;
    const double low = at.along, high = at.along + b->length;
    return twice(high, at.off) - twice(high - a->length, at.off) - twice(low, at.off) +
           twice(low - a->length, at.off);
}

/* A filament whose start is the start of the other: no digits are lost at any angle. */
static double meeting(const ray *a, const ray *b)
{
    double end_a[3], end_b[3];
    point_at(end_a, a, a->length);
    point_at(end_b, b, b->length);
    return a->length * from_point(end_a, b) + b->length * from_point(end_b, a);
}

/* The solid angle of the closed form, of one corner. */
static double corner(double s, double t, double d, double cosine, double sine)
{
    const double distance = sqrt(d * d + s * s + t * t - 2.0 * s * t * cosine);
    return atan2(d * d * cosine + s * t * sine * sine, d * distance * sine);
}

/* Any position [Campbell1915]: s and t run from the feet of the common perpendicular, d long. */
static double skew(const ray *a, const ray *b, const double normal[3], double sine)
{
    double step[3], end_a[3], end_b[3];
    between(step, a->start, b->start);
    point_at(end_a, a, a->length);
    point_at(end_b, b, b->length);
    const double cosine = dot(a->along, b->along), square = sine * sine;
    const double on_a = dot(step, a->along), on_b = dot(step, b->along);
    const double s = (cosine * on_b - on_a) / square, t = (on_b - cosine * on_a) / square;
    const double d = fabs(dot(step, normal)) / sine;
    const double s_end = s + a->length, t_end = t + b->length;
    const double edges = s_end * from_point(end_a, b) + t_end * from_point(end_b, a) -
                         s * from_point(a->start, b) - t * from_point(b->start, a);
    const double angle = corner(s_end, t_end, d, cosine, sine) - corner(s_end, t, d, cosine, sine) +
                         corner(s, t, d, cosine, sine) - corner(s, t_end, d, cosine, sine);
    return edges - angle * d / sine;
}

/* Turns both so that they start where they meet; false if no ends meet. */
static bool join_starts(ray *a, ray *b)
{
    for (int turn = 0; turn < 4; turn++) {
        double gap[3];
        between(gap, a->start, b->start);
        if (sqrt(dot(gap, gap)) <= 4.0 * DBL_EPSILON * (a->length + b->length))
            return true;
        turn_round(b);
        if (turn == 1)
            turn_round(a);
    }
    return false;
}

double fl_filament_integral(const fl_filament *first, const fl_filament *second)
{
    ray a = ray_of(first), b = ray_of(second);
    if (a.length > b.length) {
        const ray other = a;
        a = b;
        b = other;
    }
    double middle[3], normal[3];
    point_at(middle, &a, a.length / 2.0);
    const double distance = distance_to(middle, &b);
    if (distance >= near_enough * a.length)
        return quadrature(&a, &b,
                          distance < far_enough * a.length ? &fl_gauss_sixteen : &fl_gauss_eight);
    if (dot(a.along, b.along) < 0.0)
        turn_round(&b);
    cross(normal, a.along, b.along);
    const double sine = sqrt(dot(normal, normal));
    if (sine < 1e-13)
        return parallel(&a, &b);
    if (join_starts(&a, &b))
        return meeting(&a, &b);
    /* The closed form loses 1 / sine^2 in digits. */
    return sine > 0.05 ? skew(&a, &b, normal, sine) : graded(&a, &b);
}

double fl_filament_length(const fl_filament *filament)
{
    return ray_of(filament).length;
}

double fl_filament_cosine(const fl_filament *a, const fl_filament *b)
{
    const ray first = ray_of(a), second = ray_of(b);
    return dot(first.along, second.along);
}

double fl_filament_mutual(const fl_filament *a, const fl_filament *b)
{
    const double cosine = fl_filament_cosine(a, b);
    return fl_permeability() / (4.0 * pi) * cosine * fl_filament_integral(a, b);
}

double fl_filament_potential(const fl_filament *a, const fl_filament *b)
{
    const double lengths = fl_filament_length(a) * fl_filament_length(b);
    return fl_filament_integral(a, b) / (4.0 * pi * fl_permittivity() * lengths);
}
