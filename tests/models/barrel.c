/* Barrel through a plane: the coaxial part, discs, mirrors of scale, and how it settles. */
#include "check.h"

#include <gsl/gsl_errno.h>

#include "models/barrel.h"
#include "models/disc.h"
#include "models/filament.h"

static const double pi = 3.14159265358979323846;

static double share_of(const fl_barrel *barrel, double *capacitance)
{
    double share = 0.0;
    fl_error error = {0};
    gsl_set_error_handler_off();
    check_ok(fl_barrel_capacitance(capacitance, &share, barrel, &error), error);
    return share;
}

static double capacitance_of(const fl_barrel *barrel)
{
    double capacitance = 0.0;
    (void)share_of(barrel, &capacitance);
    return capacitance;
}

/* A thicker plane adds the coaxial line 2 pi eps / ln(antipad / drill), exact; half of what is
 * added lies on this side of the mirror. */
static void test_coaxial(void **unused)
{
    (void)unused;
    static const struct {
        double drill, antipad, permittivity, length, capacitance;
    } rows[] = {{0.25e-3, 0.5e-3, 3.48, 168e-6, 4.692363663989039e-14},
                {0.3e-3, 0.8e-3, 4.4, 1e-3, 2.495674059273491e-13}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        fl_barrel barrel = {.drill = rows[i].drill,
                            .pad = 1.4 * rows[i].drill,
                            .antipad = rows[i].antipad,
                            .height = 0.2e-3,
                            .metal = 1e-3,
                            .permittivity = rows[i].permittivity};
        const double before = capacitance_of(&barrel);
        barrel.metal += 2.0 * rows[i].length;
        check_close(rows[i].capacitance, capacitance_of(&barrel) - before, 1e-3, "coaxial %g",
                    rows[i].length);
    }
}

/* A thin barrel in a narrow clearance adds to the disc about the line from the rim of the hole up,
 * 2 pi eps h / ln(h / r): it falls off with the logarithm of its radius only. */
static void test_disc(void **unused)
{
    (void)unused;
    static const double permittivities[] = {1.0, 3.48, 12.9};
    for (size_t i = 0; i < 3; i++) {
        const double disc = fl_disc_on_slab(250e-6, 168e-6, permittivities[i]);
        double before = HUGE_VAL;
        for (double drill = 40e-6; drill > 1e-6; drill *= 0.5) {
            const fl_barrel barrel = {drill,  500e-6, 1.5 * drill,
                                      168e-6, 0.5e-6, permittivities[i]};
            const double over = capacitance_of(&barrel) - disc;
            const double line = 2.0 * pi * fl_permittivity() * permittivities[i] * 168e-6 /
                                log(2.0 * 168e-6 / drill);
            assert_true(over > 0.1 * line && over < line);
            assert_true(over < before);
            before = over;
        }
    }
}

/* The same structures with two and a half times the rings, ending three times as far. */
static void test_settled(void **unused)
{
    (void)unused;
    static const struct {
        fl_barrel barrel;
        double capacitance;
    } rows[] = {{{.25e-3, .35e-3, .5e-3, 168e-6, 18e-6, 3.48}, 4.7307993e-14},
                {{.1e-3, .102e-3, .3e-3, 127e-6, 18e-6, 3.5}, 2.1535456e-14},
                {{.2e-3, .4e-3, .3e-3, 127e-6, 18e-6, 3.5}, 6.6921099e-14},
                {{.2e-3, .4e-3, 1.4e-3, 127e-6, 18e-6, 3.5}, 2.4657336e-14},
                {{.2e-3, 1.0e-3, .4e-3, 50e-6, 35e-6, 3.5}, 5.1338473e-13},
                {{.2e-3, .45e-3, .6e-3, 500e-6, 18e-6, 9.8}, 1.9696453e-13},
                {{.05e-3, .1e-3, .1e-3, 20e-6, 2e-6, 3.2}, 1.1892263e-14},
                {{.1e-3, .2e-3, .105e-3, 127e-6, 18e-6, 3.5}, 8.5303572e-14},
                {{.3e-3, 2e-3, .6e-3, 100e-6, 18e-6, 3.5}, 1.0712519e-12}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check_close(rows[i].capacitance, capacitance_of(&rows[i].barrel), 2.5e-3, "row %zu", i);
}

/* Twice the size, twice the capacitance; all in a dense medium, all of it follows. */
static void test_identities(void **unused)
{
    (void)unused;
    fl_barrel barrel = {.2e-3, .4e-3, .6e-3, 127e-6, 18e-6, 3.5}, twice = barrel;
    twice.drill *= 2.0;
    twice.pad *= 2.0;
    twice.antipad *= 2.0;
    twice.height *= 2.0;
    twice.metal *= 2.0;
    check_close(2.0 * capacitance_of(&barrel), capacitance_of(&twice), 1e-9, "scale");
    double before = 0.0, capacitance = 0.0;
    for (barrel.permittivity = 1.0; barrel.permittivity < 1e5; barrel.permittivity *= 3.0) {
        const double share = share_of(&barrel, &capacitance);
        assert_true(share > before && share < 1.0 + 1e-6);
        before = share;
    }
    check_close(1.0, before, 1e-3, "dense");
}

/* Narrower clearance, wider pad, thinner substrate: more capacitance, without steps. */
static void test_monotone(void **unused)
{
    (void)unused;
    const fl_barrel usual = {.2e-3, .4e-3, .6e-3, 127e-6, 18e-6, 3.5};
    double before = 0.0;
    for (double factor = 1.0; factor < 3.0; factor *= 1.05) {
        fl_barrel barrel = usual;
        barrel.pad *= factor;
        assert_true(capacitance_of(&barrel) > before);
        before = capacitance_of(&barrel);
    }
    before = 0.0;
    for (double factor = 1.0; factor > 0.4; factor *= 0.95) {
        fl_barrel barrel = usual;
        barrel.antipad *= factor;
        assert_true(capacitance_of(&barrel) > before);
        before = capacitance_of(&barrel);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_coaxial), cmocka_unit_test(test_disc), cmocka_unit_test(test_settled),
        cmocka_unit_test(test_identities), cmocka_unit_test(test_monotone)};
    return cmocka_run_group_tests_name("models/barrel", tests, NULL, NULL);
}
