/**
 * Closed formulas of microstrip: static values, dispersion, current crowding, open end.
 *
 * Nothing here allocates or fails; dimensions are to be positive and finite, in m. In the formulas
 * u is width over height, fn frequency times height in GHz mm.
 */
#ifndef FL_MODELS_MICROSTRIP_H
#define FL_MODELS_MICROSTRIP_H

/** A strip over ground: height is that of the substrate. */
typedef struct fl_strip {
    double width, height;
    double thickness;    /* of the strip; may be 0 */
    double permittivity; /* of the substrate, relative */
} fl_strip;

/** Impedance of a thin strip in air [Hammerstad1980]: 0.01 % for u <= 1, 0.03 % for u <= 1000. */
double fl_microstrip_air(double u);

/** The u of a thin strip in air that has a given impedance, between 1e-4 and 1e4. */
double fl_microstrip_shape(double impedance);

/**
 * Static impedance (ohm) and effective permittivity [Hammerstad1980]: permittivity 0.2 % for
 * 0.01 <= u <= 100 and er <= 128; the thickness by widths of strips that are as wide thin.
 */
void fl_microstrip_static(double *impedance, double *permittivity, const fl_strip *strip);

/**
 * Series resistance over surface resistance, strip and ground, 1/m. With a thickness by the change
 * of inductance as all surfaces recede [Wheeler1942], within 2 % of a field solution for a
 * thickness up to 0.3 of width and height; without one by the current's spread in [Hammerstad1980].
 */
double fl_microstrip_crowding(const fl_strip *strip);

/**
 * P in er(f) = er - (er - er(0)) / (1 + P) [Kirschning1982]: effective permittivity to 0.6 % for
 * 0.1 <= u <= 100, er <= 20, height over wavelength in air <= 0.13.
 */
double fl_microstrip_gathering(double u, double er, double fn);

/**
 * Impedance at fn over the static one, from the static and the present effective permittivity
 * [Jansen1983]; er <= 18, 0.1 <= u <= 10, fn <= 30. Its form has a pole near er = 1.03: below 1.2
 * it is faded into 1, which it is from 1.05 down. Not positive or not a number far out of range.
 */
double fl_microstrip_rise(double u, double er, const double effective[2], double fn);

/** Length that an open end adds, over the height [Kirschning1981]; effective is static. */
double fl_microstrip_end(double u, double er, double effective);

/** The same by a simpler formula [Hammerstad1975]. */
double fl_microstrip_end_simple(double u, double effective);

/**
 * Lowest frequency, Hz, at which the strip couples to what is no longer its wave: the surface wave
 * of the substrate or a resonance across the strip [Vendelin1970].
 */
double fl_microstrip_limit(const fl_strip *strip);

#endif
