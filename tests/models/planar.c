/* From static values to a line: loss, roughness, thin metal and dispersion, against rows computed
 * apart. */
#include "check.h"

#include "models/conductor.h"
#include "models/filament.h"
#include "models/microstrip.h"
#include "models/planar.h"

static const double pi = 3.14159265358979323846;

static fl_planar_wave wave_at(const fl_planar *planar, double frequency)
{
    fl_error error;
    fl_planar_wave wave;
    check_ok(fl_planar_at(&wave, planar, frequency, &error), error);
    return wave;
}

/* Rows: 1 + (2 / pi) atan(1.4 (Rq / depth)^2) [Hammerstad1980], computed apart. */
static void test_roughness(void **unused)
{
    (void)unused;
    static const struct {
        double roughness, frequency, conductivity, factor;
    } rows[] = {{3e-07, 10000000000.0, 58000000.0, 1.1788143162864602},
                {1e-06, 10000000000.0, 58000000.0, 1.8074968585353126},
                {4e-07, 77000000000.0, 58000000.0, 1.8421224117126767},
                {1.5e-06, 77000000000.0, 58000000.0, 1.9885384280087228}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        fl_substrate metal = {.permittivity = 3.5, .conductivity = rows[i].conductivity};
        const fl_planar planar = {
            .substrate = &metal, .impedance = 50.0, .permittivity = 3.0, .crowding = 1e4};
        const double smooth = wave_at(&planar, rows[i].frequency).attenuation;
        metal.roughness = rows[i].roughness;
        check_close(rows[i].factor, wave_at(&planar, rows[i].frequency).attenuation / smooth, 1e-8,
                    "%g m at %g Hz", rows[i].roughness, rows[i].frequency);
    }
}

/* [Pozar2011] eq. 3.198, 3.199 at example 3.7: 0.2558 and 1.0795 neper/m; computed apart. */
static void test_loss(void **unused)
{
    (void)unused;
    const double ee = 6.664449416099295, width = 0.4828410819849763e-3;
    const fl_substrate substrate = {
        .permittivity = 9.9, .loss_tangent = 1e-3, .conductivity = 5.813e7};
    const fl_planar lossy = {.substrate = &substrate,
                             .impedance = 50.0,
                             .permittivity = ee,
                             .loss = 9.9 * (ee - 1.0) / 8.9 * 1e-3};
    check_close(0.2557701879450436, wave_at(&lossy, 1e10).attenuation, 1e-8, "dielectric");
    const fl_planar metal = {
        .substrate = &substrate, .impedance = 50.0, .permittivity = ee, .crowding = 2.0 / width};
    const fl_planar_wave wave = wave_at(&metal, 1e10);
    check_close(1.0794573507882743 * 50.0, wave.attenuation * wave.impedance, 1e-8, "conductor");
    /* The inside inductance is R / w. */
    const double resistance = 2.0 * wave.attenuation * wave.impedance;
    const double inductance = 50.0 * sqrt(ee) / 299792458.0;
    const double grown = 1.0 + resistance / (2.0 * pi * 1e10 * inductance);
    check_close(50.0 * sqrt(grown), wave.impedance, 1e-9, "impedance");
    check_close(ee * grown, wave.permittivity, 1e-9, "permittivity");
}

/* Metal thinner than the depth carries direct current; thick metal is as one without end. */
static void test_thin_metal(void **unused)
{
    (void)unused;
    fl_substrate metal = {.permittivity = 3.5, .thickness = 1e-6, .conductivity = 5.8e7};
    const fl_planar planar = {
        .substrate = &metal, .impedance = 50.0, .permittivity = 3.0, .crowding = 1e4};
    fl_planar_wave wave = wave_at(&planar, 1e6);
    check_close(1e4 / (5.8e7 * 1e-6), 2.0 * wave.attenuation * wave.impedance, 1e-4, "sheet");
    metal.thickness = 30e-6;
    wave = wave_at(&planar, 3e10);
    const double thick = wave.attenuation;
    metal.thickness = 0.0;
    check_close(wave_at(&planar, 3e10).attenuation, thick, 1e-12, "thick");
}

/* Row: [Kirschning1982] at u 1, er 9.8, 0.254 mm, 60 GHz, computed apart; and loss goes along to
 * that of the substrate, k0 sqrt(er) tan / 2. */
static void test_dispersion(void **unused)
{
    (void)unused;
    const fl_substrate substrate = {
        .height = 0.254e-3, .permittivity = 9.8, .loss_tangent = 2e-3, .conductivity = 1e30};
    fl_planar planar = {.substrate = &substrate, .width = 0.254e-3, .height = 0.254e-3};
    const fl_strip strip = {0.254e-3, 0.254e-3, 0.0, 9.8};
    fl_microstrip_static(&planar.impedance, &planar.permittivity, &strip);
    planar.loss = 9.8 * (planar.permittivity - 1.0) / 8.8 * 2e-3;
    const fl_planar_wave wave = wave_at(&planar, 60e9);
    check_close(7.57604965473649, wave.permittivity, 1e-8, "permittivity");
    check_close(53.663628341069995, wave.impedance, 1e-8, "impedance");
    const double k0 = 2.0 * pi * 60e9 / 299792458.0;
    check_close(k0 * 9.8 * (wave.permittivity - 1.0) * 2e-3 / (2.0 * sqrt(wave.permittivity) * 8.8),
                wave.attenuation, 1e-8, "loss");
    /* All of one medium: no dispersion but that of the impedance's formula, which sees none. */
    planar.permittivity = 9.8;
    planar.loss = 9.8 * 2e-3;
    check_close(9.8, wave_at(&planar, 60e9).permittivity, 1e-12, "one medium");
    check_close(k0 * sqrt(9.8) * 1e-3, wave_at(&planar, 60e9).attenuation, 1e-9, "one medium");
}

static void test_refusals(void **unused)
{
    (void)unused;
    fl_error error;
    fl_setting setting;
    double values[FL_VALUES] = {7.0};
    const fl_substrate substrate = {.permittivity = 9.8, .conductivity = 5.8e7};
    const fl_planar planar = {.substrate = &substrate,
                              .impedance = 50.0,
                              .permittivity = 6.0,
                              .loss = 1.0,
                              .crowding = 1e4};
    fl_setting_init(&setting, 6e10, 5e10, 7e10);
    assert_int_equal(FL_BAD_INPUT, fl_planar_values(values, &planar, 1.0, &setting, &error));
    assert_non_null(strstr(error.message, "170 dB"));
    check_near(7.0, values[0], 0.0, "values of a failure");
    assert_null(fl_cover_refuse(&(fl_cover){0.0, 0.0, 0.0}, 1e-5));
    assert_null(fl_cover_refuse(&(fl_cover){3.5, 0.0, 0.01}, 1e-5));
    assert_non_null(fl_cover_refuse(&(fl_cover){0.0, 2e-5, 0.0}, 1e-5));
    assert_non_null(fl_cover_refuse(&(fl_cover){3.5, 1e-5, 0.0}, 1e-5));
    const fl_substrate thin = {.thickness = 0.3e-6, .conductivity = 5.8e7};
    assert_non_null(fl_planar_caution(&thin, &setting));
    assert_null(fl_planar_caution(&substrate, &setting));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_roughness), cmocka_unit_test(test_loss),
        cmocka_unit_test(test_thin_metal), cmocka_unit_test(test_dispersion),
        cmocka_unit_test(test_refusals)};
    return cmocka_run_group_tests_name("models/planar", tests, NULL, NULL);
}
