/* Networks: S from Z and Y, passivity and reciprocity, coverage, and how true the values between
 * the points are. */
#include "check.h"

#include <complex.h>

#include "base/file.h"
#include "models/models.h"

typedef double complex number;

static const double pi = 3.141592653589793;

static number make(double re, double im)
{
    return re + im * (number)I;
}

/* ---- making files ---- */

static fl_status read_text(fl_network **network, const char *name, const char *text,
                           fl_error *error)
{
    char path[400];
    snprintf(path, sizeof path, FL_SCRATCH_DIR "/%s", name);
    check_ok(fl_file_write(path, text, strlen(text), error), *error);
    return fl_network_read(network, path, error);
}

static fl_network *read_data(const char *name)
{
    char path[400];
    fl_network *network = NULL;
    fl_error error = {0};
    snprintf(path, sizeof path, FL_SOURCE_DIR "/tests/data/touchstone/%s", name);
    check_ok(fl_network_read(&network, path, &error), error);
    return network;
}

static number s_at(const fl_network *network, size_t row, size_t column, double frequency)
{
    double s[2];
    fl_network_s(network, row, column, frequency, s);
    return make(s[0], s[1]);
}

/* ---- S from Z and Y ---- */

#define HEAD "[Two-Port Data Order] 12_21\n[Number of Frequencies] 2\n"

/* The same network as impedances and admittances, in ohm and siemens and normalised. */
static void conversion(void **state)
{
    (void)state;
    /* Computed independently: check values Z_to_S_equal_refs and Z_to_S_reference_keyword. */
    static const double equal[4][2] = {{0.1330598163084526, 0.07762599654995571},
                                       {0.006527110821017292, 0.1930159914215115},
                                       {0.006527110821017292, 0.1930159914215115},
                                       {-0.06485150822882191, -0.06060888619516061}};
    static const double unequal[4][2] = {{0.12571960225620746, 0.07821131592719657},
                                         {0.008546222281036848, 0.18659251980263786},
                                         {0.008546222281036848, 0.18659251980263786},
                                         {-0.2621387451299647, -0.05669593533755888}};
    static const struct {
        const char *name, *head;
        double scale; /* of the impedances; negative: of the admittances */
        const char *tail;
        const double (*wanted)[2];
        double second; /* reference of port 2 */
    } rows[] = {
        {"ohm.ts", "[Version] 2.0\n# Z RI R 50\n[Number of Ports] 2\n" HEAD "[Network Data]\n", 1.0,
         "[End]", equal, 50.0},
        {"keyword.ts",
         "[Version] 2.0\n# Z RI R 99\n[Number of Ports] 2\n[Reference] 50 75\n" HEAD
         "[Network Data]\n",
         1.0, "[End]", unequal, 75.0},
        {"siemens.ts",
         "[Version] 2.0\n# Y RI\n[Number of Ports] 2\n[Reference] 50\n 75\n" HEAD
         "[Network Data]\n",
         -1.0, "[End]", unequal, 75.0},
        {"z.s2p", "# Z RI R 50\n", 1.0 / 50.0, "", equal, 50.0},
        {"y.s2p", "# GHz Y RI R 50\n", -50.0, "", equal, 50.0},
    };
    const number z[4] = {make(60, 10), make(0, 20), make(0, 20), make(40, -5)};
    const number whole = z[0] * z[3] - z[1] * z[2];
    const number y[4] = {z[3] / whole, -z[1] / whole, -z[2] / whole, z[0] / whole};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        char text[2000];
        fl_network *network = NULL;
        fl_error error = {0};
        size_t n = (size_t)snprintf(text, sizeof text, "%s", rows[i].head);
        for (int k = 1; k <= 2; ++k) {
            n += (size_t)snprintf(text + n, sizeof text - n, "%d", k);
            for (int entry = 0; entry < 4; ++entry) {
                const number value = rows[i].scale * (rows[i].scale > 0.0 ? z[entry] : -y[entry]);
                n += (size_t)snprintf(text + n, sizeof text - n, " %.17g %.17g", creal(value),
                                      cimag(value));
            }
            n += (size_t)snprintf(text + n, sizeof text - n, "\n");
        }
        snprintf(text + n, sizeof text - n, "%s", rows[i].tail);
        check_ok(read_text(&network, rows[i].name, text, &error), error);
        assert_int_equal(fl_network_ports(network), 2);
        check_near(50.0, fl_network_reference(network, 0), 0.0, "reference of %s", rows[i].name);
        check_near(rows[i].second, fl_network_reference(network, 1), 0.0, "reference of %s",
                   rows[i].name);
        for (size_t entry = 0; entry < 4; ++entry) {
            const number got = s_at(network, entry / 2, entry % 2, 1e9);
            check_near(rows[i].wanted[entry][0], creal(got), 1e-14, "%s, entry %zu", rows[i].name,
                       entry);
            check_near(rows[i].wanted[entry][1], cimag(got), 1e-14, "%s, entry %zu", rows[i].name,
                       entry);
        }
        fl_network_free(network);
    }
}

/* The same network as H and as G, row order 11 21 12 22; the definitions from Z, from memory. */
static void conversion_of_hybrids(void **state)
{
    (void)state;
    static const double wanted[4][2] = {{0.12571960225620746, 0.07821131592719657},
                                        {0.008546222281036848, 0.18659251980263786},
                                        {0.008546222281036848, 0.18659251980263786},
                                        {-0.2621387451299647, -0.05669593533755888}};
    const number z[4] = {make(60, 10), make(0, 20), make(0, 20), make(40, -5)};
    const number whole = z[0] * z[3] - z[1] * z[2];
    const number hybrids[2][4] = {{whole / z[3], -z[2] / z[3], z[1] / z[3], 1.0 / z[3]},
                                  {1.0 / z[0], z[2] / z[0], -z[1] / z[0], whole / z[0]}};
    for (size_t i = 0; i < 2; ++i) {
        char text[1000];
        fl_network *network = NULL;
        fl_error error = {0};
        size_t n = (size_t)snprintf(text, sizeof text,
                                    "[Version] 2.0\n# Hz %c RI\n[Number of Ports] 2\n"
                                    "[Two-Port Data Order] 21_12\n[Number of Frequencies] 2\n"
                                    "[Reference] 50 75\n[Network Data]",
                                    "HG"[i]);
        for (int k = 1; k <= 2; ++k) {
            n += (size_t)snprintf(text + n, sizeof text - n, "\n%d", k);
            for (int entry = 0; entry < 4; ++entry)
                n += (size_t)snprintf(text + n, sizeof text - n, " %.17g %.17g",
                                      creal(hybrids[i][entry]), cimag(hybrids[i][entry]));
        }
        snprintf(text + n, sizeof text - n, "\n[End]\n");
        check_ok(read_text(&network, "hybrid.ts", text, &error), error);
        for (size_t entry = 0; entry < 4; ++entry) {
            const number got = s_at(network, entry / 2, entry % 2, 1.0);
            check_near(wanted[entry][0], creal(got), 1e-14, "%c, entry %zu", "HG"[i], entry);
            check_near(wanted[entry][1], cimag(got), 1e-14, "%c, entry %zu", "HG"[i], entry);
        }
        fl_network_free(network);
    }
}

/* [Touchstone2002]: in version 1, h11 is over R, h22 times R, h12 and h21 as they are. */
static void hybrids_of_version_1(void **state)
{
    (void)state;
    fl_network *first = NULL, *second = NULL;
    fl_error error = {0};
    check_ok(read_text(&first, "h.s2p",
                       "# GHz H RI R 50\n1 1 0 0.2 0 0.3 0 2 0\n2 1 0 0.2 0 0.3 0 2 0\n", &error),
             error);
    check_ok(read_text(&second, "h.ts",
                       "[Version] 2.0\n# GHz H RI\n[Number of Ports] 2\n"
                       "[Two-Port Data Order] 21_12\n[Number of Frequencies] 2\n"
                       "[Reference] 50 50\n[Network Data]\n1 50 0 0.2 0 0.3 0 0.04 0\n"
                       "2 50 0 0.2 0 0.3 0 0.04 0\n[End]\n",
                       &error),
             error);
    for (size_t entry = 0; entry < 4; ++entry)
        check_near(
            0.0,
            cabs(s_at(first, entry / 2, entry % 2, 1e9) - s_at(second, entry / 2, entry % 2, 1e9)),
            1e-12, "entry %zu", entry);
    assert_true(cabs(s_at(first, 0, 1, 1e9) - s_at(first, 1, 0, 1e9)) > 0.01);
    fl_network_free(first);
    fl_network_free(second);
}

static uint64_t next_random(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return *seed;
}

static double unit_random(uint64_t *seed)
{
    return (double)(next_random(seed) >> 11) / 9007199254740992.0 - 0.5;
}

/* Any number of ports: S must solve (z + 1) S = z - 1, z = Z_ij / sqrt(Ri Rj). */
static void conversion_of_many_ports(void **state)
{
    (void)state;
    enum { MOST = 9 };
    uint64_t seed = 11;
    for (size_t ports = 1; ports <= MOST; ++ports) {
        static char text[20000];
        double reference[MOST];
        number z[MOST][MOST];
        fl_network *network = NULL;
        fl_error error = {0};
        size_t n = (size_t)snprintf(text, sizeof text,
                                    "[Version] 2.0\n# Z RI\n[Number of Ports] %zu\n"
                                    "[Two-Port Data Order] 12_21\n[Number of Frequencies] 2\n"
                                    "[Reference]",
                                    ports);
        for (size_t i = 0; i < ports; ++i) {
            reference[i] = 50.0 + 60.0 * unit_random(&seed);
            n += (size_t)snprintf(text + n, sizeof text - n, " %.17g", reference[i]);
        }
        n += (size_t)snprintf(text + n, sizeof text - n, "\n[Network Data]\n");
        for (int k = 1; k <= 2; ++k) {
            n += (size_t)snprintf(text + n, sizeof text - n, "%d", k);
            for (size_t i = 0; i < ports * ports; ++i) {
                const double re = 100.0 * unit_random(&seed);
                const double im = 100.0 * unit_random(&seed);
                const double root = sqrt(reference[i / ports] * reference[i % ports]);
                z[i / ports][i % ports] = make(re, im) / root;
                n += (size_t)snprintf(text + n, sizeof text - n, " %.17g %.17g", re, im);
            }
            n += (size_t)snprintf(text + n, sizeof text - n, "\n");
        }
        snprintf(text + n, sizeof text - n, "[End]\n");
        check_ok(read_text(&network, "many.ts", text, &error), error);
        for (size_t i = 0; i < ports; ++i)
            for (size_t j = 0; j < ports; ++j) {
                number sum = s_at(network, i, j, 2e9) - z[i][j] + (i == j ? 1.0 : 0.0);
                for (size_t m = 0; m < ports; ++m)
                    sum += z[i][m] * s_at(network, m, j, 2e9);
                check_near(0.0, cabs(sum), 1e-12, "entry %zu, %zu of %zu ports", i, j, ports);
            }
        fl_network_free(network);
    }
}

static void no_conversion(void **state)
{
    (void)state;
    static const struct {
        const char *name, *text, *line, *message;
    } rows[] = {
        {"minus.s1p", "# Z RI R 50\n1 1 0\n2 -1 0\n", "minus.s1p:3",
         "the Z-parameters have no S-parameters: the matrix and the references together are "
         "singular"},
        {"near.s1p", "# Y RI R 50\n1 -0.999999999999999 1e-15\n2 1 0\n", "near.s1p:2",
         "the Y-parameters have no S-parameters: the matrix and the references together are "
         "singular"},
        {"minus.s2p", "# Z RI R 50\n1 0 0 -1 0 -1 0 0 0\n2 1 0 0 0 0 0 1 0\n", "minus.s2p:2",
         "the Z-parameters have no S-parameters: the matrix and the references together are "
         "singular"},
        {"minus-h.s2p", "# H RI R 50\n1 -1 0 0 0 0 0 -1 0\n2 1 0 0 0 0 0 1 0\n", "minus-h.s2p:2",
         "the H-parameters have no S-parameters: the matrix and the references together are "
         "singular"},
        {"one.s1p", "# H RI R 50\n1 1 0\n2 1 0\n", "one.s1p:2",
         "H and G parameters are of 2 ports, found 1"},
        {"open.s2p", "# Z RI R 50\n1 1 0 0 0 0 0 1 0\n2 1 0 0 0\n", "open.s2p:3",
         "9 numbers were expected for the frequency at line 3, found 5"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        char place[400];
        fl_network *network = NULL;
        fl_error error = {0};
        assert_int_equal(read_text(&network, rows[i].name, rows[i].text, &error), FL_BAD_INPUT);
        assert_null(network);
        snprintf(place, sizeof place, FL_SCRATCH_DIR "/%s", rows[i].line);
        assert_string_equal(error.place, place);
        assert_string_equal(error.message, rows[i].message);
    }
}

/* A very large impedance is an open, no trouble. */
static void open_circuit(void **state)
{
    (void)state;
    fl_network *network = NULL;
    fl_error error = {0};
    check_ok(read_text(&network, "large.s1p", "# Z RI\n1 1e30 0\n2 0 1e20\n", &error), error);
    check_near(1.0, creal(s_at(network, 0, 0, 1e9)), 1e-15, "open");
    check_near(1.0, creal(s_at(network, 0, 0, 2e9)), 1e-15, "open");
    fl_network_free(network);
}

static void no_file(void **state)
{
    (void)state;
    fl_network *network = NULL;
    fl_error error = {0};
    assert_int_equal(fl_network_read(&network, FL_SCRATCH_DIR "/absent.s2p", &error), FL_IO);
    assert_int_equal(fl_network_read(&network, FL_SCRATCH_DIR, &error), FL_IO);
    assert_null(network);
    fl_network_free(NULL);
}

/* ---- judging ---- */

/** Largest singular value of a two-port matrix in closed form. */
static double two_port_gain(number a, number b, number c, number d)
{
    const double sum = creal(a * conj(a) + b * conj(b) + c * conj(c) + d * conj(d));
    const double det = cabs(a * d - b * c);
    return sqrt((sum + sqrt(sum * sum - 4.0 * det * det)) / 2.0);
}

static void quality_of_an_amplifier(void **state)
{
    (void)state;
    fl_network *network = read_data("amplifier.s2p");
    fl_network_quality quality;
    const double f = 2e9;
    fl_network_judge(network, &quality);
    check_close(two_port_gain(s_at(network, 0, 0, f), s_at(network, 0, 1, f),
                              s_at(network, 1, 0, f), s_at(network, 1, 1, f)),
                quality.gain, 1e-14, "gain, closed form");
    check_near(f, quality.gain_frequency, 0.0, "frequency of the gain");
    check_close(cabs(s_at(network, 0, 1, f) - s_at(network, 1, 0, f)), quality.skew, 1e-14, "skew");
    check_near(f, quality.skew_frequency, 0.0, "frequency of the skew");
    check_near(3.57, cabs(s_at(network, 1, 0, f)), 1e-14, "S21 stands second in the file");
    fl_network_free(network);
}

/* Known singular values; identity for each. */
static void quality(void **state)
{
    (void)state;
    static const struct {
        const char *name, *text;
        double gain, skew, frequency, tolerance; /* of the gain, relative; of both figures */
    } rows[] = {
        {"none.s2p", "# RI\n1 0 0 0 0 0 0 0 0\n2 0 0 0 0 0 0 0 0\n", 0.0, 0.0, 1e9, 0.0},
        {"isolator.s2p", "# RI\n1 0 0 0 0 0 0 0 0\n2 0 0 1 0 0 0 0 0\n", 1.0, 1.0, 2e9, 1e-15},
        {"circulator.s3p",
         "# MA\n1 0 0 0 0 0.5 0\n0.5 0 0 0 0 0\n0 0 0.5 0 0 0\n"
         "2 0 0 0 0 1 90\n1 10 0 0 0 0\n0 0 1 20 0 0\n",
         1.0, 1.0, 2e9, 1e-15},
        {"even.s4p",
         "# RI\n1 1 0 1 0 1 0 1 0\n1 0 1 0 1 0 1 0\n1 0 1 0 1 0 1 0\n1 0 1 0 1 0 1 0\n"
         "2 0 0 0 0 0 0 0 0\n0 0 0 0 0 0 0 0\n0 0 0 0 0 0 0 0\n0 0 0 0 0 0 0 0\n",
         4.0, 0.0, 1e9, 1e-15},
        {"tiny.s2p", "# RI\n1 0 0 1e-170 0 1e-170 0 0 0\n2 0 0 0 0 0 0 0 0\n", 1e-170, 0.0, 1e9,
         1e-15},
        {"spread.s3p",
         "# RI\n1 1 0 0 0 0 0\n0 0 1e-160 0 3e-160 0\n0 0 2e-160 0 1e-160 0\n"
         "2 0 0 0 0 0 0\n0 0 0 0 0 0\n0 0 0 0 0 0\n",
         1.0, 1e-160, 1e9, 1e-15},
        {"large.s2p", "# RI\n1 1e30 0 0 0 0 0 0 0\n2 0 0 0 0 0 0 0 0\n", 1e30, 0.0, 1e9, 1e-15},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_network *network = NULL;
        fl_network_quality got;
        fl_error error = {0};
        check_ok(read_text(&network, rows[i].name, rows[i].text, &error), error);
        fl_network_judge(network, &got);
        check_close(rows[i].gain, got.gain, rows[i].tolerance, "gain of %s", rows[i].name);
        check_close(rows[i].skew, got.skew, rows[i].tolerance, "skew of %s", rows[i].name);
        check_near(rows[i].frequency, got.gain_frequency, 0.0, "frequency of %s", rows[i].name);
        fl_network_free(network);
    }
}

/* Many ports, by another route: power iteration on S^H S. */
static void quality_of_many_ports(void **state)
{
    (void)state;
    enum { N = 4 };
    fl_network *network = read_data("full.s4p");
    fl_network_quality got;
    number s[N][N], x[N] = {1.0, 0.3, make(0.1, 0.7), -0.4}, y[N];
    double gain = 0.0;
    for (size_t i = 0; i < N * N; ++i)
        s[i / N][i % N] = s_at(network, i / N, i % N, 5e9);
    for (int round = 0; round < 3000; ++round) {
        double size = 0.0;
        for (size_t i = 0; i < N; ++i) {
            y[i] = 0.0;
            for (size_t j = 0; j < N; ++j)
                y[i] += s[i][j] * x[j];
        }
        for (size_t j = 0; j < N; ++j) {
            x[j] = 0.0;
            for (size_t i = 0; i < N; ++i)
                x[j] += conj(s[i][j]) * y[i];
            size += creal(x[j] * conj(x[j]));
        }
        gain = sqrt(sqrt(size));
        for (size_t j = 0; j < N; ++j)
            x[j] /= sqrt(size);
    }
    fl_network_judge(network, &got);
    check_close(gain, got.gain, 1e-12, "gain by power iteration");
    check_near(0.0, got.skew, 0.0, "skew");
    fl_network_free(network);
}

/* ---- coverage ---- */

static void coverage(void **state)
{
    (void)state;
    static const struct {
        size_t ports;
        double low, high;
        const char *message; /* NULL: covered */
    } rows[] = {
        {2, 2e9, 22e9, NULL},
        {1, 5e9, 6e9, NULL},
        {2, 2e9 * (1.0 - 1e-12), 22e9 * (1.0 + 1e-12), NULL},
        {3, 5e9, 6e9, "port 3 was asked for, the data have 2 ports"},
        {2, 1.9e9, 6e9, "data from 1.9 GHz to 6 GHz were expected, found 2 GHz to 22 GHz"},
        {2, 5e9, 26.5e9, "data from 5 GHz to 26.5 GHz were expected, found 2 GHz to 22 GHz"},
    };
    fl_network *network = read_data("amplifier.s2p");
    double low = 0.0;
    double high = 0.0;
    fl_network_range(network, &low, &high);
    check_near(2e9, low, 0.0, "low");
    check_near(22e9, high, 0.0, "high");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_error error = {0};
        const fl_status status =
            fl_network_covers(network, rows[i].ports, rows[i].low, rows[i].high, &error);
        assert_int_equal(status, rows[i].message ? FL_BAD_INPUT : FL_OK);
        if (rows[i].message)
            assert_string_equal(error.message, rows[i].message);
        assert_string_equal(error.place, "");
    }
    fl_network_free(network);
}

/* ---- values between the points ---- */

/** S11, S21 of a symmetric two-port between 50 ohm. */
typedef void symmetric(number s[2], double frequency);

/* 20 mm of 60 ohm line, effective permittivity 3, 0.05 dB/mm at 28 GHz, loss as the root of f. */
static void lossy_line(number s[2], double frequency)
{
    const double neper = 20.0 * 0.05 * log(10.0) / 20.0 * sqrt(frequency / 28e9);
    const double turn = 2.0 * pi * frequency * 0.02 * sqrt(3.0) / 299792458.0;
    const number wave = cexp(-make(neper, turn));
    const double step = (60.0 - 50.0) / (60.0 + 50.0);
    const number whole = 1.0 - step * step * wave * wave;
    s[0] = step * (1.0 - wave * wave) / whole;
    s[1] = (1.0 - step * step) * wave / whole;
}

/* A shunt branch of 20 ohm and 100 fF. */
static void resistor_capacitor(number s[2], double frequency)
{
    const number y = 1.0 / (20.0 + 1.0 / (make(0.0, 2.0 * pi * frequency) * 100e-15));
    s[0] = -y * 50.0 / (2.0 + y * 50.0);
    s[1] = 2.0 / (2.0 + y * 50.0);
}

static void write_symmetric(fl_network **network, symmetric *device, double step)
{
    static char text[200000];
    fl_error error = {0};
    size_t n = (size_t)snprintf(text, sizeof text, "# Hz RI R 50\n");
    for (size_t k = 0; 1e9 + step * (double)k <= 40e9; ++k) {
        number s[2];
        const double f = 1e9 + step * (double)k;
        device(s, f);
        n += (size_t)snprintf(text + n, sizeof text - n,
                              "%.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", f,
                              creal(s[0]), cimag(s[0]), creal(s[1]), cimag(s[1]), creal(s[1]),
                              cimag(s[1]), creal(s[0]), cimag(s[0]));
    }
    check_ok(read_text(network, "symmetric.s2p", text, &error), error);
}

/* The figures of the documentation; exactly the data at the points. */
static void between_the_points(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        symmetric *device;
        double step, worst; /* Hz; largest |S - S exact|, measured and rounded up */
    } rows[] = {
        {"line", lossy_line, 100e6, 2e-7},       {"line", lossy_line, 250e6, 2e-5},
        {"line", lossy_line, 500e6, 5e-4},       {"RC", resistor_capacitor, 100e6, 3e-12},
        {"RC", resistor_capacitor, 500e6, 2e-9}, {"RC", resistor_capacitor, 1000e6, 5e-8},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_network *network = NULL;
        double low, high;
        double worst = 0.0;
        number wanted[2];
        write_symmetric(&network, rows[i].device, rows[i].step);
        fl_network_range(network, &low, &high);
        for (size_t k = 0; k < 16 * (size_t)((high - low) / rows[i].step); ++k) {
            const double f = low + rows[i].step * (double)k / 16.0;
            rows[i].device(wanted, f);
            for (size_t entry = 0; entry < 2; ++entry) {
                const double off = cabs(s_at(network, entry, 0, f) - wanted[entry]);
                worst = fmax(worst, off);
                if (k % 16 == 0)
                    check_near(0.0, off, 0.0, "%s at a point, %g Hz", rows[i].name, f);
            }
        }
        print_message("%s, step %g MHz: off by at most %.2g\n", rows[i].name, rows[i].step / 1e6,
                      worst);
        if (!(worst <= rows[i].worst) || worst < rows[i].worst / 10.0)
            fail_msg("%s, step %g MHz: off by %.3g, the figure is %.3g", rows[i].name,
                     rows[i].step / 1e6, worst, rows[i].worst);
        fl_network_free(network);
    }
}

/* Any number of the data counts, and nothing else of the file. */
static void checksums(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "# GHz S RI R 50\n20 0.1 0\n30 0.2 0\n",
        "! noted\n# GHZ S RI R 50\n20 0.1 0\n30 0.2 0\n",
        "# GHz S RI R 50\n20 0.1 0\n30 0.2 1e-9\n",
        "# GHz S RI R 50\n20 0.1 0\n30.1 0.2 0\n",
        "# GHz S RI R 51\n20 0.1 0\n30 0.2 0\n",
    };
    uint64_t sums[5];
    fl_error error;
    for (size_t i = 0; i < 5; i++) {
        fl_network *network = NULL;
        check_ok(read_text(&network, "sum.s1p", texts[i], &error), error);
        sums[i] = fl_network_checksum(network, 1);
        assert_true(sums[i] != fl_network_checksum(network, 2));
        fl_network_free(network);
    }
    assert_true(sums[0] == sums[1]);
    for (size_t i = 2; i < 5; i++)
        assert_true(sums[i] != sums[0]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(conversion),
        cmocka_unit_test(conversion_of_hybrids),
        cmocka_unit_test(hybrids_of_version_1),
        cmocka_unit_test(conversion_of_many_ports),
        cmocka_unit_test(no_conversion),
        cmocka_unit_test(open_circuit),
        cmocka_unit_test(no_file),
        cmocka_unit_test(quality_of_an_amplifier),
        cmocka_unit_test(quality),
        cmocka_unit_test(quality_of_many_ports),
        cmocka_unit_test(coverage),
        cmocka_unit_test(checksums),
        cmocka_unit_test(between_the_points),
    };
    return cmocka_run_group_tests_name("models/network", tests, NULL, NULL);
}
