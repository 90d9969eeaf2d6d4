/** A strict reader of the XML that pictures are made of, which fails the test at the first fault:
 * elements in pairs, attributes quoted and each once, known entities, characters that XML has. */
#ifndef FL_TESTS_REPORTS_XML_H
#define FL_TESTS_REPORTS_XML_H

#include "check.h"

#include "base/text.h"

enum { XML_DEPTH = 32, XML_NAME = 32 };

typedef struct xml {
    const char *text, *at;
    char open[XML_DEPTH][XML_NAME];
    size_t depth, elements;
} xml;

__attribute__((unused)) static void xml_fail(const xml *reader, const char *fault)
{
    print_error("%s at byte %zu: %.60s\n", fault, (size_t)(reader->at - reader->text), reader->at);
    fail();
}

/** Takes the reader on by a word that must be there. */
__attribute__((unused)) static void xml_take(xml *reader, const char *word)
{
    if (strncmp(reader->at, word, strlen(word)) != 0)
        xml_fail(reader, word);
    reader->at += strlen(word);
}

__attribute__((unused)) static void xml_name(xml *reader, char name[XML_NAME])
{
    const size_t length = strspn(reader->at, "abcdefghijklmnopqrstuvwxyz"
                                             "ABCDEFGHIJKLMNOPQRSTUVWXYZ-0123456789");
    if (length == 0 || length >= XML_NAME)
        xml_fail(reader, "a name");
    memcpy(name, reader->at, length);
    name[length] = '\0';
    reader->at += length;
}

/** Character data up to one of the ends. */
__attribute__((unused)) static void xml_data(xml *reader, char end)
{
    for (; *reader->at && *reader->at != end; reader->at++) {
        const unsigned char c = (unsigned char)*reader->at;
        if ((c < 0x20 && c != '\t' && c != '\n' && c != '\r') || c == '<' || c == '>')
            xml_fail(reader, "a character to be escaped");
        if (c == '&' && strncmp(reader->at, "&amp;", 5) != 0 &&
            strncmp(reader->at, "&lt;", 4) != 0 && strncmp(reader->at, "&gt;", 4) != 0 &&
            strncmp(reader->at, "&quot;", 6) != 0 && strncmp(reader->at, "&#39;", 5) != 0)
            xml_fail(reader, "an entity");
    }
}

__attribute__((unused)) static void xml_attributes(xml *reader)
{
    char names[16][XML_NAME];
    size_t count = 0;
    for (; *reader->at == ' '; count++) {
        reader->at++;
        assert_true(count < 16);
        xml_name(reader, names[count]);
        for (size_t i = 0; i < count; i++)
            if (strcmp(names[i], names[count]) == 0)
                xml_fail(reader, "an attribute twice");
        xml_take(reader, "=\"");
        xml_data(reader, '"');
        xml_take(reader, "\"");
    }
}

__attribute__((unused)) static void xml_tag(xml *reader)
{
    char name[XML_NAME];
    xml_take(reader, "<");
    if (*reader->at == '/') {
        xml_take(reader, "/");
        xml_name(reader, name);
        if (reader->depth == 0 || strcmp(name, reader->open[--reader->depth]) != 0)
            xml_fail(reader, "an end of another element");
        xml_take(reader, ">");
        return;
    }
    assert_true(reader->depth < XML_DEPTH);
    xml_name(reader, reader->open[reader->depth]);
    reader->elements++;
    xml_attributes(reader);
    if (*reader->at == '/')
        reader->at++;
    else
        reader->depth++;
    xml_take(reader, ">");
}

/** Reads a whole document; returns how many elements it has. */
__attribute__((unused)) static size_t xml_read(const char *text, size_t length)
{
    xml reader = {.text = text, .at = text};
    assert_int_equal(length, strlen(text));
    assert_int_equal(length, fl_text_valid_utf8(text, length));
    assert_null(strstr(text, "\xEF\xBF\xBE"));
    assert_null(strstr(text, "\xEF\xBF\xBF"));
    if (strncmp(text, "<?xml", 5) == 0)
        xml_take(&reader, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    do {
        xml_tag(&reader);
        if (reader.depth > 0)
            xml_data(&reader, '<');
    } while (reader.depth > 0);
    xml_take(&reader, "\n");
    if (*reader.at)
        xml_fail(&reader, "the end");
    return reader.elements;
}

#endif
