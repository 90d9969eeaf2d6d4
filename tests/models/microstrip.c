/* Microstrip formulas against their values computed apart, an integral equation, textbook examples
 * and their limits. */
#include "check.h"

#include "models/cross.h"
#include "models/filament.h"
#include "models/microstrip.h"

static const double pi = 3.14159265358979323846;

/* Rows: the formulas computed apart from [Hammerstad1980]; impedance and permittivity of an
 * integral equation with the layered Green's function, exact to 1e-5, computed. */
static void test_static(void **unused)
{
    (void)unused;
    static const struct {
        double u, er, impedance, permittivity, solved_impedance, solved_permittivity;
    } rows[] = {
        {0.1, 2.2, 202.68494181885634, 1.6806231669576432, 202.57840015537306, 1.6823914055570974},
        {0.5, 2.2, 126.73369070427438, 1.7301588778811774, 126.64657474587297, 1.7325399345568726},
        {1.0, 2.2, 94.9630640092798, 1.7723467368934263, 94.9081510512702, 1.7743983345272576},
        {3.081, 2.2, 50.019453787547214, 1.8812042284581336, 49.989987178148574,
         1.8833600100641734},
        {5.0, 2.2, 35.47002128891467, 1.9371646158271196, 35.4463429136881, 1.9395807733286425},
        {0.5, 3.48, 105.45291481783408, 2.4989235701649846, 105.39324367790289, 2.5017540341102986},
        {1.0, 3.48, 78.62795831127448, 2.585259425349782, 78.59590159518648, 2.5873688562120414},
        {2.2, 3.48, 50.97514553083579, 2.734241129663046, 50.95821565683073, 2.7360382880823253},
        {1.0, 4.4, 71.03111366420649, 3.1678227977495026, 71.01472101633101, 3.1692855918491083},
        {1.9, 4.4, 50.21786295001397, 3.329217627115439, 50.21381181880621, 3.3297453614718164},
        {0.2, 9.8, 90.02269434061883, 6.040594353278439, 90.02537979186778, 6.0402339775782705},
        {0.5, 9.8, 66.5384743587447, 6.276600293920099, 66.5465196059097, 6.275082749291883},
        {1.0, 9.8, 49.28879992545926, 6.579026554066487, 49.30581735127436, 6.574486252842363},
        {2.0, 9.8, 33.569269502010485, 7.033613958288463, 33.57951485944184, 7.029294116461931},
        {5.0, 9.8, 17.6828829215319, 7.794410650325356, 17.66352102399551, 7.81081192110106},
        {0.9654, 9.9, 49.902975287988774, 6.622766105932801, 49.91887717605984, 6.618547605827949},
        {0.7, 12.9, 51.00792010726615, 8.299831803259037, 51.02034548592712, 8.295789698538492},
        {1.0, 12.9, 43.273395271056565, 8.5352487812426, 43.29440982896888, 8.5269653648078}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double z, e;
        const fl_strip strip = {rows[i].u * 2e-4, 2e-4, 0.0, rows[i].er};
        fl_microstrip_static(&z, &e, &strip);
        check_close(rows[i].impedance, z, 1e-6, "Z0 u %g er %g", rows[i].u, rows[i].er);
        check_close(rows[i].permittivity, e, 1e-6, "ee u %g er %g", rows[i].u, rows[i].er);
        check_close(rows[i].solved_impedance, z, 2.5e-3, "Z0 u %g er %g", rows[i].u, rows[i].er);
        check_close(rows[i].solved_permittivity, e, 2.5e-3, "ee u %g er %g", rows[i].u, rows[i].er);
    }
}

/* Rows: the formulas computed apart from [Hammerstad1980], thickness over height. */
static void test_thickness(void **unused)
{
    (void)unused;
    static const struct {
        double u, er, thickness, impedance, permittivity;
    } rows[] = {{1.0, 9.8, 0.01, 48.99527484362401, 6.527856058768016},
                {2.0, 3.48, 0.07, 52.79124675930719, 2.6719506317003097},
                {0.5, 12.9, 0.03, 57.19935669360048, 7.8752921879762}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double z, e;
        const fl_strip strip = {rows[i].u * 2e-4, 2e-4, rows[i].thickness * 2e-4, rows[i].er};
        fl_microstrip_static(&z, &e, &strip);
        check_close(rows[i].impedance, z, 1e-6, "Z0 u %g er %g", rows[i].u, rows[i].er);
        check_close(rows[i].permittivity, e, 1e-6, "ee u %g er %g", rows[i].u, rows[i].er);
    }
}

static fl_cross_result solved(const fl_strip *strip)
{
    fl_error error;
    fl_cross_result result;
    const fl_cross_layer layer = {.top = strip->height, .permittivity = strip->permittivity};
    const fl_cross_conductor conductor = {.left = -strip->width / 2.0,
                                          .right = strip->width / 2.0,
                                          .bottom = strip->height,
                                          .thickness = strip->thickness,
                                          .signal = 1,
                                          .conductivity = 5.8e7};
    const fl_cross cross = {.layers = &layer,
                            .layer_count = 1,
                            .conductors = &conductor,
                            .conductor_count = 1,
                            .ground = true,
                            .conductivity = 5.8e7};
    check_ok(fl_cross_solve(&result, &cross, 1e10, &error), error);
    return result;
}

/* Thick strips against boundary elements: impedance, permittivity, resistance. Tolerances are what
 * the formulas reach, stated in the header and in docs/models.md. */
static void test_thick_solved(void **unused)
{
    (void)unused;
    const double surface = sqrt(pi * 1e10 * fl_permeability() / 5.8e7);
    static const double shapes[] = {0.3, 1.0, 2.2, 5.0}, thick[] = {0.01, 0.05, 0.1};
    for (size_t i = 0; i < 4; i++)
        for (size_t j = 0; j < 3; j++) {
            double z, e;
            const fl_strip strip = {shapes[i] * 2e-4, 2e-4, thick[j] * 2e-4, 3.48};
            const fl_cross_result result = solved(&strip);
            fl_microstrip_static(&z, &e, &strip);
            check_close(result.modes[0].impedance, z, 4e-3, "Z0 u %g t %g", shapes[i], thick[j]);
            check_close(result.modes[0].permittivity, e, 5e-3, "ee u %g t %g", shapes[i], thick[j]);
            check_close(result.modes[0].resistance, surface * fl_microstrip_crowding(&strip), 2e-2,
                        "R u %g t %g", shapes[i], thick[j]);
        }
}

/* [Pozar2011] example 3.7: W/d 0.9654 for 50 ohm on 9.9; 3rd edition: 3.081 on 2.20, effective
 * permittivity 1.87. The book's formulas are good to 1 %. */
static void test_textbook(void **unused)
{
    (void)unused;
    double z, e;
    fl_microstrip_static(&z, &e, &(fl_strip){0.9654 * 5e-4, 5e-4, 0.0, 9.9});
    check_close(50.0, z, 3e-3, "50 ohm on 9.9");
    fl_microstrip_static(&z, &e, &(fl_strip){3.081 * 1.27e-3, 1.27e-3, 0.0, 2.2});
    check_close(50.0, z, 3e-3, "50 ohm on 2.2");
    check_close(1.87, e, 1e-2, "effective permittivity on 2.2");
}

/* Rows: computed apart from [Kirschning1982], [Jansen1983]. */
static void test_dispersion(void **unused)
{
    (void)unused;
    static const struct {
        double u, er, fn, permittivity, impedance;
    } rows[] = {{1.0, 9.8, 0.254, 6.582484665879802, 49.28466537797077},
                {1.0, 9.8, 2.54, 6.683099779938196, 49.257576512163084},
                {1.0, 9.8, 7.62, 7.01889650130884, 50.06024773655803},
                {1.0, 9.8, 15.24, 7.57604965473649, 53.663628341069995},
                {2.2, 3.48, 1.6799999999999997, 2.744585584844482, 50.95832789412099},
                {2.2, 3.48, 5.039999999999999, 2.7796202975989686, 51.061399904955564},
                {2.2, 3.48, 10.079999999999998, 2.844762970268646, 51.735306426071205},
                {2.2, 3.48, 12.935999999999998, 2.8847925464203925, 52.38740110901697},
                {0.7, 12.9, 3.0, 8.480684677047774, 51.000681952187584},
                {0.7, 12.9, 6.0, 8.755419493909084, 51.466911092420425},
                {0.7, 12.9, 7.7, 8.927542226829637, 51.99553818275492},
                {0.7, 12.9, 10.0, 9.169152571396964, 53.01356006366547},
                {3.0, 2.2, 3.556, 1.888811364217175, 50.929461483652176},
                {3.0, 2.2, 7.62, 1.9068869936946347, 51.18093802675065},
                {3.0, 2.2, 9.779, 1.9178207314424924, 51.439349063493765},
                {0.9654, 9.9, 5.0, 6.879813304320585, 50.08981151702375}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double z, e[2];
        const double u = rows[i].u, er = rows[i].er, fn = rows[i].fn;
        fl_microstrip_static(&z, &e[0], &(fl_strip){u * 2e-4, 2e-4, 0.0, er});
        e[1] = er - (er - e[0]) / (1.0 + fl_microstrip_gathering(u, er, fn));
        check_close(rows[i].permittivity, e[1], 1e-8, "ee u %g er %g fn %g", u, er, fn);
        check_close(rows[i].impedance, z * fl_microstrip_rise(u, er, e, fn), 1e-8,
                    "Z0 u %g er %g fn %g", u, er, fn);
    }
}

/* Towards zero frequency all is static; permittivity only rises, to that of the substrate; near
 * air nothing is left of the impedance's dispersion, without a jump on the way. */
static void test_limits(void **unused)
{
    (void)unused;
    for (double u = 0.1; u <= 10.0; u *= 1.5)
        for (double er = 1.0; er <= 18.0; er += 0.5) {
            double z, e[2], before = 0.0;
            fl_microstrip_static(&z, &e[0], &(fl_strip){u * 2e-4, 2e-4, 0.0, er});
            for (double fn = 1e-6; fn <= 30.0; fn = fn * 1.2 + 0.01) {
                const double p = fl_microstrip_gathering(u, er, fn);
                e[1] = er - (er - e[0]) / (1.0 + p);
                assert_true(p > before && e[1] >= e[0] && e[1] <= er);
                before = p;
                const double rise = fl_microstrip_rise(u, er, e, fn);
                assert_true(rise > 0.98 && rise < 2.5);
                if (fn < 1e-5) {
                    check_close(e[0], e[1], 1e-7, "ee at rest");
                    check_close(1.0, rise, 1e-6, "Z0 at rest");
                }
            }
            e[1] = er - (er - e[0]) / (1.0 + fl_microstrip_gathering(u, er, 1e7));
            check_close(er, e[1], 1e-6, "ee far up");
        }
    double last = 1.0;
    for (double er = 1.0; er < 1.3; er += 1e-3) {
        double z, e[2];
        fl_microstrip_static(&z, &e[0], &(fl_strip){2e-4, 2e-4, 0.0, er});
        e[1] = er - (er - e[0]) / (1.0 + fl_microstrip_gathering(1.0, er, 20.0));
        const double rise = fl_microstrip_rise(1.0, er, e, 20.0);
        check_near(last, rise, 1e-3, "step at er %g", er);
        last = rise;
    }
}

/* Rows: computed apart from [Kirschning1981] and [Hammerstad1975], which differ by up to 9 %. */
static void test_open_end(void **unused)
{
    (void)unused;
    static const struct {
        double u, er, added, simple;
    } rows[] = {{1.0, 2.2, 0.38825674625016293, 0.3959213123924466},
                {1.0, 9.8, 0.3172532615014027, 0.3148554071317433},
                {0.5, 9.8, 0.2653406305390242, 0.2645776580066592},
                {2.0, 9.8, 0.3672195550848478, 0.3605661877367534},
                {2.2, 3.48, 0.4323727017238188, 0.41464250825159904},
                {3.081, 2.2, 0.5175941095999811, 0.47716970278936127},
                {0.9654, 9.9, 0.31437478516865436, 0.3120646047438712}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double z, e;
        fl_microstrip_static(&z, &e, &(fl_strip){rows[i].u * 2e-4, 2e-4, 0.0, rows[i].er});
        const double added = fl_microstrip_end(rows[i].u, rows[i].er, e);
        const double simple = fl_microstrip_end_simple(rows[i].u, e);
        check_close(rows[i].added, added, 1e-8, "u %g er %g", rows[i].u, rows[i].er);
        check_close(rows[i].simple, simple, 1e-8, "simple u %g er %g", rows[i].u, rows[i].er);
        check_close(simple, added, 0.1, "two formulas u %g er %g", rows[i].u, rows[i].er);
    }
}

/* Wider: less impedance, more permittivity. Thicker: less impedance and resistance. */
static void test_monotony(void **unused)
{
    (void)unused;
    double before[2] = {1e9, 0.0};
    for (double u = 0.05; u < 20.0; u *= 1.1) {
        double z, e;
        fl_microstrip_static(&z, &e, &(fl_strip){u * 2e-4, 2e-4, 0.0, 3.5});
        assert_true(z < before[0] && e > before[1]);
        before[0] = z;
        before[1] = e;
        check_close(u, fl_microstrip_shape(fl_microstrip_air(u)), 1e-12, "shape");
    }
    before[0] = before[1] = 1e9;
    for (double t = 1e-6; t < 4e-5; t *= 1.2) {
        double z, e;
        const fl_strip strip = {2e-4, 2e-4, t, 3.5};
        fl_microstrip_static(&z, &e, &strip);
        assert_true(z < before[0] && fl_microstrip_crowding(&strip) < before[1]);
        before[0] = z;
        before[1] = fl_microstrip_crowding(&strip);
    }
    /* A very wide strip is two plates: 2 / W. */
    const fl_strip wide = {200e-4, 2e-4, 2e-6, 3.5};
    check_close(2.0 / wide.width, fl_microstrip_crowding(&wide), 0.05, "plates");
}

/* c / (2 pi h) sqrt(2 / (er - 1)) atan(er): 9.8 and 0.635 mm give 52.7 GHz; computed. */
static void test_limit(void **unused)
{
    (void)unused;
    const double found = fl_microstrip_limit(&(fl_strip){1e-4, 0.635e-3, 0.0, 9.8});
    check_close(52.66e9, found, 1e-3, "surface wave");
    /* A wide strip resonates across first: c / (sqrt(er) (2 w + 0.8 h)). */
    check_close(299792458.0 / (sqrt(9.8) * (6e-3 + 0.8 * 0.635e-3)),
                fl_microstrip_limit(&(fl_strip){3e-3, 0.635e-3, 0.0, 9.8}), 1e-12, "across");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_static),       cmocka_unit_test(test_thickness),
        cmocka_unit_test(test_thick_solved), cmocka_unit_test(test_textbook),
        cmocka_unit_test(test_dispersion),   cmocka_unit_test(test_limits),
        cmocka_unit_test(test_open_end),     cmocka_unit_test(test_monotony),
        cmocka_unit_test(test_limit)};
    return cmocka_run_group_tests_name("models/microstrip", tests, NULL, NULL);
}
