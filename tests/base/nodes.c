/* Series about the centre of a band against the C library. */
#include "base/vector.h"
#include "check.h"

enum { NODES = 5 };

static double sum(const double *factors, size_t terms, double first, double step)
{
    double all = 0.0;
    for (size_t i = 0; i < terms; i++) {
        all += factors[i] * first;
        first *= step;
    }
    return all;
}

/* A turn of 1.1 and a growth of 0.08 at the ends of the band: terms left out are below 5e-12. */
static void test_series(void **unused)
{
    (void)unused;
    double omega[NODES], root[NODES], series[NODES / 2 * FL_PAIR_ROOM];
    for (size_t n = 0; n < NODES; n++) {
        omega[n] = 1.7e11 + 1e10 * (double)n;
        root[n] = sqrt(omega[n] / 1.7e11);
    }
    fl_nodes nodes = {.count = NODES, .omega = omega, .root = root};
    fl_nodes_centre(&nodes, series);
    check_close(1.9e11, nodes.centre, 1e-15, "centre");
    check_close(sqrt(1.9 / 1.7), nodes.root_centre, 1e-15, "root of the centre");
    check_close(2e10, nodes.most_offset, 1e-15, "most offset");
    check_close(sqrt(1.9 / 1.7) - 1.0, nodes.most_root_offset, 1e-14, "most offset of a root");
    check_close(2.1e11, nodes.most_omega, 1e-15, "highest");
    const double delay = 1.1 / nodes.most_offset, decay = 0.08 / nodes.most_root_offset;
    for (size_t k = 0; k < NODES / 2; k++) {
        const size_t other = NODES - 1 - k;
        const double *sine = nodes.series + k * FL_PAIR_ROOM, *cosine = sine + FL_TURN_TERMS;
        const double *up = cosine + FL_TURN_TERMS, *down = up + FL_GROW_TERMS;
        const double angle = delay * (omega[other] - nodes.centre);
        check_near(sin(angle), sum(sine, FL_TURN_TERMS, delay, delay * delay), 5e-12, "sine");
        check_near(cos(angle), 1.0 + sum(cosine, FL_TURN_TERMS, delay * delay, delay * delay),
                   5e-12, "cosine");
        check_near(exp(decay * (root[other] - nodes.root_centre)),
                   1.0 + sum(up, FL_GROW_TERMS, decay, decay), 5e-12, "growth above");
        check_near(exp(decay * (root[k] - nodes.root_centre)),
                   1.0 + sum(down, FL_GROW_TERMS, decay, decay), 5e-12, "growth below");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_series)};
    return cmocka_run_group_tests_name("base/nodes", tests, NULL, NULL);
}
