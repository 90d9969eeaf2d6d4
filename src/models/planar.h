/**
 * Lines of metal on or in a substrate: from the static values of a cross-section to those of a
 * line whose values change with frequency. What the planar kinds share.
 *
 * Conductor loss: crowding times the surface impedance of the metal, by its roughness
 * 1 + (2 / pi) atan(1.4 (Rq / depth)^2) times as large in its resistance [Hammerstad1980]; metal
 * thinner than some skin depths as a sheet with its fields on one face [Ramo1994]. The inside
 * inductance goes into impedance and delay, without roughness.
 *
 * Dispersion: effective permittivity, complex, as [Kirschning1982] and impedance as [Jansen1983]
 * have it for microstrip, from the static values at hand.
 */
#ifndef FL_MODELS_PLANAR_H
#define FL_MODELS_PLANAR_H

#include "models/cross.h"
#include "models/models.h"

/** What lies below a line. */
typedef struct fl_substrate {
    double height;       /* m */
    double permittivity; /* relative */
    double loss_tangent;
    double thickness;    /* of the metal, m; 0: not known, which is a thin one */
    double conductivity; /* S/m */
    double roughness;    /* m, root mean square */
    double line, gap;    /* m, the narrowest that its process makes; 0: not said */
} fl_substrate;

/** Parameters of a kind that a substrate gives, in the order of fl_substrate. */
#define FL_SUBSTRATE_PARAMETERS                                                                    \
    {.name = "substrate height",                                                                   \
     .dimension = FL_LENGTH,                                                                       \
     .rule = FL_POSITIVE,                                                                          \
     .required = true,                                                                             \
     .substrate = true},                                                                           \
        {.name = "substrate permittivity",                                                         \
         .dimension = FL_NUMBER,                                                                   \
         .rule = FL_AT_LEAST_ONE,                                                                  \
         .required = true,                                                                         \
         .substrate = true},                                                                       \
        {.name = "substrate loss tangent",                                                         \
         .dimension = FL_NUMBER,                                                                   \
         .rule = FL_NOT_NEGATIVE,                                                                  \
         .substrate = true},                                                                       \
        {.name = "substrate metal thickness",                                                      \
         .dimension = FL_LENGTH,                                                                   \
         .rule = FL_POSITIVE,                                                                      \
         .substrate = true},                                                                       \
        {.name = "substrate conductivity",                                                         \
         .dimension = FL_CONDUCTIVITY,                                                             \
         .rule = FL_POSITIVE,                                                                      \
         .fallback = 5.8e7,                                                                        \
         .substrate = true},                                                                       \
        {.name = "substrate roughness",                                                            \
         .dimension = FL_LENGTH,                                                                   \
         .rule = FL_NOT_NEGATIVE,                                                                  \
         .substrate = true},                                                                       \
        {.name = "substrate narrowest line",                                                       \
         .dimension = FL_LENGTH,                                                                   \
         .rule = FL_NOT_NEGATIVE,                                                                  \
         .substrate = true},                                                                       \
    {                                                                                              \
        .name = "substrate narrowest gap", .dimension = FL_LENGTH, .rule = FL_NOT_NEGATIVE,        \
        .substrate = true                                                                          \
    }

/** Number of these parameters. */
enum { FL_SUBSTRATE_COUNT = 8 };

/** A substrate from these parameters [FL_SUBSTRATE_COUNT]. */
fl_substrate fl_substrate_of(const double *parameters);

/** What lies above a line. */
typedef struct fl_cover {
    double permittivity; /* relative; 0: none */
    double height;       /* m, above the substrate; 0: very thick */
    double loss_tangent;
} fl_cover;

/** Parameters of a kind with a cover, in the order of fl_cover. */
#define FL_COVER_PARAMETERS                                                                        \
    {.name = "cover", .dimension = FL_NUMBER, .rule = FL_AT_LEAST_ONE},                            \
        {.name = "cover height", .dimension = FL_LENGTH, .rule = FL_POSITIVE},                     \
    {                                                                                              \
        .name = "cover loss tangent", .dimension = FL_NUMBER, .rule = FL_NOT_NEGATIVE              \
    }

enum { FL_COVER_COUNT = 3 };

fl_cover fl_cover_of(const double *parameters);

/** NULL, or what does not fit together in a cover on metal of a thickness. */
const char *fl_cover_refuse(const fl_cover *cover, double thickness);

/** Static values of a line's cross-section. */
typedef struct fl_planar {
    const fl_substrate *substrate;
    double impedance;    /* ohm, without loss */
    double permittivity; /* effective */
    double loss;         /* imaginary part of it, positive */
    double crowding;     /* series resistance over surface resistance, 1/m */
    double width;        /* m, of the microstrip whose dispersion it has; 0: it has none */
    double height;       /* m, of the same */
} fl_planar;

/** Values at one frequency. */
typedef struct fl_planar_wave {
    double impedance;    /* ohm */
    double permittivity; /* effective */
    double attenuation;  /* neper/m */
} fl_planar_wave;

/**
 * Values at a frequency, Hz.
 * @return FL_OK; FL_BAD_INPUT where the formulas of dispersion have no sense any more.
 */
fl_status fl_planar_at(fl_planar_wave *wave, const fl_planar *planar, double frequency,
                       fl_error *error);

/** Refuses values of an element FL_FORM_WAVE if a line `ratio` times as long loses over 170 dB. */
fl_status fl_planar_bear(const double values[FL_VALUES], double ratio, const fl_setting *setting,
                         fl_error *error);

/** Values of an element FL_FORM_WAVE; FL_BAD_INPUT as above and for a loss over 170 dB. */
fl_status fl_planar_values(double values[FL_VALUES], const fl_planar *planar, double length,
                           const fl_setting *setting, fl_error *error);

/** Properties of a line at the band's centre; 0 if they cannot be had. */
size_t fl_planar_describe(fl_property *properties, const fl_planar *planar, double length,
                          double w0);

/** NULL, or what the substrate's process does not make; gap: HUGE_VAL where there is none. */
const char *fl_planar_narrow(const fl_substrate *substrate, double line, double gap);

/** NULL, or what is out of range of any line: metal too thin. */
const char *fl_planar_caution(const fl_substrate *substrate, const fl_setting *setting);

/**
 * Static values from a solved cross-section with one signal. Its conductors, plane and lid are of
 * the substrate's metal, which this fills in; without a thickness the impedance is that of a thin
 * sheet and the resistance that of three skin depths at the frequency given (Hz), less where that
 * is some hundredths of the height.
 * @param[out] planar width and height are left alone.
 */
fl_status fl_planar_solve(fl_planar *planar, fl_cross *cross, fl_cross_conductor *conductors,
                          double frequency, fl_error *error);

#endif
