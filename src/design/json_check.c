/* The strict scan of a JSON text: grammar, numbers, strings, depth, and the span of each value. */
#include "design/json_check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"

/* Longest number that the parser takes. */
enum { NUMBER_LENGTH = 63 };

/* The scan in progress. It never passes the end: the NUL there is no part of any value, and a NUL
 * before it has been refused. */
typedef struct scan {
    fl_json *json;
    const char *text; /* ends in NUL */
    size_t end;
    size_t at;
    size_t room; /* of the notes */
    int depth;
    fl_error *error;
} scan;

/* The byte at hand; NUL at the end. */
static char here(const scan *s)
{
    return s->text[s->at];
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* [RFC8259] section 2: these four alone; the parser would skip every control character. */
static void skip_blanks(scan *s)
{
    while (here(s) == ' ' || here(s) == '\t' || here(s) == '\n' || here(s) == '\r')
        s->at++;
}

/* Fails with what stands at the place: "expected ..., found 'x'". */
static fl_status fail_here(const scan *s, const char *expected)
{
    unsigned char first = (unsigned char)here(s);
    if (s->at >= s->end)
        return fl_fail(s->error, FL_BAD_INPUT, NULL, "expected %s, found the end of the file",
                       expected);
    if (first == '\n')
        return fl_fail(s->error, FL_BAD_INPUT, NULL, "expected %s, found the end of the line",
                       expected);
    if (first < 0x20 || first == 0x7F)
        return fl_fail(s->error, FL_BAD_INPUT, NULL,
                       "expected %s, found the control character 0x%02x", expected, first);
    /* The whole character, as the text is valid UTF-8. */
    int length = 1;
    while (((unsigned char)s->text[s->at + (size_t)length] & 0xC0U) == 0x80U)
        length++;
    return fl_fail(s->error, FL_BAD_INPUT, NULL, "expected %s, found '%.*s'", expected, length,
                   s->text + s->at);
}

/* Four hexadecimal digits; -1 if they are not. */
static long read_hex(const char *text)
{
    long value = 0;
    for (int i = 0; i < 4; i++) {
        const char *digits = "0123456789abcdef0123456789ABCDEF";
        const char *digit = text[i] != '\0' ? strchr(digits, text[i]) : NULL;
        if (digit == NULL)
            return -1;
        value = 16 * value + (digit - digits) % 16;
    }
    return value;
}

/* At the backslash of \uXXXX. */
static fl_status scan_code(scan *s)
{
    const char *text = s->text + s->at;
    long code = read_hex(text + 2);
    if (code < 0)
        return fail_here(s, "four hexadecimal digits behind \\u");
    /* Texts here end in NUL: the rest behind one would be lost unseen. */
    if (code == 0)
        return fl_fail(s->error, FL_BAD_INPUT, NULL,
                       "expected a character, found '\\u0000', which no text may hold");
    if (code < 0xD800 || code > 0xDFFF) {
        s->at += 6;
        return FL_OK;
    }
    /* Beyond U+FFFF a character is written as a pair [RFC8259] section 7. */
    long second = text[6] == '\\' && text[7] == 'u' ? read_hex(text + 8) : -1;
    if (code > 0xDBFF || second < 0xDC00 || second > 0xDFFF)
        return fl_fail(s->error, FL_BAD_INPUT, NULL,
                       "expected a pair of surrogates, found '%.6s' alone", text);
    s->at += 12;
    return FL_OK;
}

/* At a backslash within a text. [RFC8259] section 7 lists the escapes. */
static fl_status scan_escape(scan *s)
{
    char next = s->text[s->at + 1];
    if (next == 'u')
        return scan_code(s);
    if (next == '\0' || strchr("\"\\/bfnrt", next) == NULL) {
        /* Show the character behind the backslash, not the backslash. */
        s->at++;
        return fail_here(s, "an escape such as \\\\, \\n or \\u00b5 behind the backslash");
    }
    s->at += 2;
    return FL_OK;
}

/* At the opening quote. */
static fl_status scan_string(scan *s)
{
    s->at++;
    while (here(s) != '"') {
        fl_status status = FL_OK;
        if (here(s) == '\\')
            status = scan_escape(s);
        else if ((unsigned char)here(s) < 0x20)
            status = fail_here(s, "'\"' at the end of the text");
        else
            s->at++;
        if (status != FL_OK)
            return status;
    }
    s->at++;
    return FL_OK;
}

/* Length of the run of bytes that look like one word or number. */
static int word_length(const char *text)
{
    int length = 0;
    while (length < 24 && (is_digit(text[length]) || (text[length] >= 'a' && text[length] <= 'z') ||
                           (text[length] >= 'A' && text[length] <= 'Z') ||
                           (text[length] != '\0' && strchr("+-._", text[length]) != NULL)))
        length++;
    return length;
}

/* As fail_here, showing the whole word; one character alone may be of any sort. */
static fl_status fail_word(const scan *s, const char *expected)
{
    const char *text = s->text + s->at;
    int length = word_length(text);
    if (length < 2)
        return fail_here(s, expected);
    return fl_fail(s->error, FL_BAD_INPUT, NULL, "expected %s, found '%.*s'", expected, length,
                   text);
}

/* Numbers go through the reader that converts them, so that scan and value agree on what is one. */
static fl_status scan_number(scan *s)
{
    const char *text = s->text + s->at;
    double value = 0.0;
    const char *end = fl_number_read(&value, text, 0);
    /* What the reader left of a number that goes on is not JSON: 01, 1., 1e+, 1.2.3. */
    if (end == NULL || (*end != '\0' && strchr("0123456789.eE+-", *end) != NULL))
        return fail_word(s, "a number such as 0.5 or 1e-3");
    if (end - text > NUMBER_LENGTH)
        return fl_fail(s->error, FL_BAD_INPUT, NULL,
                       "expected a number of at most %d characters, found a longer one",
                       NUMBER_LENGTH);
    /* 1e999 is good JSON, but no number that can be computed with. */
    if (!isfinite(value))
        return fail_word(s, "a number below 1.8e308 in size");
    s->at += (size_t)(end - text);
    return FL_OK;
}

/* true, false, null, and everything that is no value at all. */
static fl_status scan_word(scan *s)
{
    static const char *const words[] = {"true", "false", "null"};
    const char *text = s->text + s->at;
    size_t length = (size_t)word_length(text);
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (length == strlen(words[i]) && memcmp(text, words[i], length) == 0) {
            s->at += length;
            return FL_OK;
        }
    return fail_word(s, "a value (a text in double quotes, a number, an object or a list)");
}

/* Notes a value that begins here; its end is filled in later. */
static fl_status add_note(scan *s, size_t index)
{
    fl_json *json = s->json;
    if (json->note_count == FL_JSON_VALUES)
        return fl_fail(s->error, FL_BAD_INPUT, NULL, "expected at most %d values, found more",
                       FL_JSON_VALUES);
    if (json->note_count == s->room) {
        size_t room = s->room > 0 ? 2 * s->room : 256;
        fl_json_note *grown =
            fl_memory_grow(json->notes, s->room * sizeof *grown, room, sizeof *grown);
        if (grown == NULL)
            return fl_fail_memory(s->error);
        json->notes = grown;
        s->room = room;
    }
    json->notes[json->note_count++] =
        (fl_json_note){.begin = (uint32_t)s->at, .index = (uint32_t)index};
    return FL_OK;
}

/* Values hold members, and members values. */
static fl_status scan_value(scan *s, size_t index);

/* A key and its colon. */
static fl_status scan_key(scan *s)
{
    skip_blanks(s);
    if (here(s) != '"')
        return fail_here(s, "a key in double quotes");
    fl_status status = scan_string(s);
    if (status != FL_OK)
        return status;
    skip_blanks(s);
    if (here(s) != ':')
        return fail_here(s, "':' behind the key");
    s->at++;
    return FL_OK;
}

/* At the opening bracket of an object or a list. */
static fl_status scan_members(scan *s)
{
    bool object = here(s) == '{';
    char close = object ? '}' : ']';
    s->at++;
    skip_blanks(s);
    /* Empty only at once: behind a comma a member must follow. */
    for (size_t index = 0; here(s) != close || index > 0; index++) {
        fl_status status = object ? scan_key(s) : FL_OK;
        if (status == FL_OK)
            status = scan_value(s, index);
        if (status != FL_OK)
            return status;
        skip_blanks(s);
        if (here(s) == close)
            break;
        if (here(s) != ',')
            return fail_here(s, object ? "',' or '}'" : "',' or ']'");
        s->at++;
    }
    s->at++;
    return FL_OK;
}

/* Each level is a call of each of three functions here, and one of the parser. */
static fl_status scan_nested(scan *s)
{
    if (s->depth == FL_JSON_DEPTH)
        return fl_fail(s->error, FL_BAD_INPUT, NULL, "expected at most %d levels, found more",
                       FL_JSON_DEPTH);
    s->depth++;
    fl_status status = scan_members(s);
    s->depth--;
    return status;
}

/* One value of any sort. Its note comes before those of the values within it, as in the tree. */
static fl_status scan_value(scan *s, size_t index)
{
    skip_blanks(s);
    /* By number: the notes move when they grow. */
    size_t note = s->json->note_count;
    fl_status status = add_note(s, index);
    if (status != FL_OK)
        return status;
    char first = here(s);
    if (first == '{' || first == '[')
        status = scan_nested(s);
    else if (first == '"')
        status = scan_string(s);
    else if (is_digit(first) || first == '-')
        status = scan_number(s);
    else
        status = scan_word(s);
    s->json->notes[note].end = (uint32_t)s->at;
    return status;
}

/* What would end the text early or cannot be shown. */
static fl_status check_bytes(const fl_json *json, size_t *at, fl_error *error)
{
    *at = json->start;
    /* Offsets are kept in 32 bits. */
    if (json->length > FL_JSON_LIMIT)
        return fl_fail(error, FL_BAD_INPUT, NULL, "expected at most %d bytes, found %zu",
                       FL_JSON_LIMIT, json->length);
    size_t valid =
        json->start + fl_text_valid_utf8(json->text + json->start, json->length - json->start);
    if (valid == json->length)
        return FL_OK;
    *at = valid;
    unsigned char byte = (unsigned char)json->text[valid];
    if (byte == 0)
        return fl_fail(error, FL_BAD_INPUT, NULL, "expected a text, found a NUL byte");
    return fl_fail(error, FL_BAD_INPUT, NULL, "expected UTF-8 text, found the byte 0x%02x", byte);
}

fl_status fl_json_check(fl_json *json, size_t *at, fl_error *error)
{
    fl_status status = check_bytes(json, at, error);
    if (status != FL_OK)
        return status;
    scan s = {.json = json, .text = json->text, .end = json->length, .at = json->start};
    s.error = error;
    status = scan_value(&s, 0);
    if (status == FL_OK) {
        skip_blanks(&s);
        if (s.at != s.end)
            status = fail_here(&s, "the end of the file");
    }
    *at = s.at;
    return status;
}
