/**
 * Touchstone files, versions 1.1 and 2.0, as raw numbers: the matrices as the file gives them, in
 * row order, as real and imaginary parts. What they mean as a network is for network.c.
 *
 * Rules that the standard leaves open are settled on the safe side: what could be read in two ways
 * is an error with its line. Line breaks inside the data of one frequency are free, but each
 * frequency begins a line; this catches a missing number at once. Noise data, information blocks
 * and comments are passed over.
 *
 * Source: [Touchstone2002], [Touchstone2009]. Version 2.1 is read by the rules of 2.0, and so is
 * its option line with one resistance a port.
 */
#ifndef FL_MODELS_TOUCHSTONE_H
#define FL_MODELS_TOUCHSTONE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/error.h"

enum { FL_TOUCHSTONE_PORTS = 100 };                     /* most ports of a file */
#define FL_TOUCHSTONE_LIMIT ((size_t)256 * 1024 * 1024) /* most bytes of a file */

typedef enum fl_touchstone_kind {
    FL_TOUCHSTONE_S,
    FL_TOUCHSTONE_Y,
    FL_TOUCHSTONE_Z,
    FL_TOUCHSTONE_H, /* two ports */
    FL_TOUCHSTONE_G  /* two ports */
} fl_touchstone_kind;

/** What a file holds. */
typedef struct fl_touchstone {
    size_t ports;
    size_t count; /* frequencies */
    fl_touchstone_kind kind;
    bool normalised;       /* all but S are in units of the reference; else in ohm, siemens */
    double *reference;     /* [ports] ohm */
    double *frequencies;   /* [count] Hz, rising */
    size_t *lines;         /* [count] line where the data of a frequency begin */
    double (*matrices)[2]; /* [count][ports][ports] real, imaginary */
    size_t room;           /* frequencies that the arrays have room for */
} fl_touchstone;

/**
 * Reads text [length]; it need not end in NUL.
 * @param[out] touchstone free with fl_touchstone_release; unchanged on failure.
 * @param[in] file name for messages; its extension .sNp gives the number of ports.
 * @return FL_OK; FL_BAD_INPUT with "file:line" as the place; FL_NO_MEMORY.
 */
fl_status fl_touchstone_parse(fl_touchstone *touchstone, const char *text, size_t length,
                              const char *file, fl_error *error);
void fl_touchstone_release(fl_touchstone *touchstone);

/** Puts "file:line" into place. */
void fl_touchstone_place(char place[256], const char *file, size_t line);

/* ---- between touchstone.c and its parts, touchstone_*.c ---- */

typedef enum fl_touchstone_format { FL_FORMAT_MA, FL_FORMAT_DB, FL_FORMAT_RI } fl_touchstone_format;
typedef enum fl_touchstone_shape {
    FL_SHAPE_FULL,
    FL_SHAPE_LOWER,
    FL_SHAPE_UPPER
} fl_touchstone_shape;
typedef enum fl_touchstone_stage {
    FL_STAGE_HEAD,
    FL_STAGE_INFORMATION,
    FL_STAGE_DATA,
    FL_STAGE_NOISE,
    FL_STAGE_END
} fl_touchstone_stage;

/** A run of bytes in the text. */
typedef struct fl_span {
    const char *begin, *end;
} fl_span;

typedef struct fl_touchstone_reader {
    fl_touchstone *touchstone;
    const char *file;
    size_t line;
    fl_error *error;
    size_t named_ports; /* by the extension; 0: not said */
    fl_touchstone_stage stage;
    int version;   /* 1 until [Version] is seen */
    unsigned seen; /* keywords, a bit each */
    bool has_option;
    fl_touchstone_format format;
    int exponent; /* of the frequency unit */
    double option_reference[FL_TOUCHSTONE_PORTS];
    size_t option_reference_count;
    size_t declared; /* [Number of Frequencies] */
    bool order_12_21;
    fl_touchstone_shape shape;
    bool reference_open; /* [Reference] wants more values */
    double reference[FL_TOUCHSTONE_PORTS];
    size_t reference_count;
    size_t block_size; /* numbers of one frequency */
    size_t filled;     /* of the block */
    size_t block_line; /* where the block begins */
    size_t split_line; /* first line of the block that breaks a pair; 0: none */
    double *block;     /* [block_size] frequency, then real and imaginary parts */
} fl_touchstone_reader;

/** Fails at the line at hand. */
fl_status fl_touchstone_fail(fl_touchstone_reader *reader, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* touchstone_words.c */

/** Takes the next word (no blanks) off the front of a span; empty when none is left. */
fl_span fl_span_word(fl_span *rest);
/** The span without blanks at its ends. */
fl_span fl_span_trimmed(fl_span span);
bool fl_span_empty(fl_span span);
/** True when the word is the wanted one, given in lower case; upper and lower case are the same. */
bool fl_span_is(fl_span word, const char *wanted);
/** An ASCII letter in lower case, whatever the locale. */
char fl_letter_lowered(char c);

/** Room for a word in a message, with its NUL. */
enum { FL_SHOWN_ROOM = 44 };
/** A word for a message: cut when long, and what is not printable as '?'. */
void fl_span_show(char shown[FL_SHOWN_ROOM], fl_span word);

/** Reads a word as a finite decimal number times 10^exponent. */
fl_status fl_touchstone_number(double *value, fl_touchstone_reader *reader, fl_span word,
                               int exponent);

/* touchstone_option.c */

/** An option line, behind its '#'. */
fl_status fl_touchstone_option(fl_touchstone_reader *reader, fl_span rest);
/** Reads a word as a reference resistance. */
fl_status fl_touchstone_resistance(double *value, fl_touchstone_reader *reader, fl_span word);

/* touchstone_keyword.c */

/** A line that begins with '['. */
fl_status fl_touchstone_keyword(fl_touchstone_reader *reader, fl_span line);
/** Values of [Reference] on a line of their own. */
fl_status fl_touchstone_reference(fl_touchstone_reader *reader, fl_span rest);

/* touchstone_data.c */

/** Makes ready for data: ports, references and the block. */
fl_status fl_touchstone_begin(fl_touchstone_reader *reader);
/** Numbers of network data, or of noise in version 1. */
fl_status fl_touchstone_data(fl_touchstone_reader *reader, fl_span line);
/** Fails when the data of a frequency are not whole. */
fl_status fl_touchstone_whole(fl_touchstone_reader *reader);

#endif
