/**
 * The one place of the pictures' colours and strokes. The same colour means the same everywhere: a
 * sized value, what is required, and greys for what is fixed. Blue and orange are told apart by
 * nearly all eyes, and differ in lightness on paper.
 */
#include "reports/reports.h"

/** The colours by what they mean. */
typedef enum tone { INK, MUTED, PAPER, LINE, SIZED, LIMIT, BAND1, BAND2, GHOST, TONES } tone;

/** Their variables and values. */
static const struct {
    const char *name, *light, *dark;
} PALETTE[TONES] = {
    [INK] = {"ink", "#1d2430", "#e8ecf3"},     [MUTED] = {"muted", "#667085", "#9aa4b5"},
    [PAPER] = {"paper", "#ffffff", "#14181f"}, [LINE] = {"line", "#d5dae3", "#323a47"},
    [SIZED] = {"sized", "#0b6bcb", "#6db3ff"}, [LIMIT] = {"limit", "#c2410c", "#ff9a5c"},
    [BAND1] = {"band1", "#9cc3ee", "#2f5f92"}, [BAND2] = {"band2", "#d3e4f8", "#22405f"},
    [GHOST] = {"ghost", "#8a8f98", "#7d8694"}};

/** A rule with the one colour in it, and what else it sets. */
static const struct {
    const char *selector, *property;
    tone colour;
    const char *rest;
} RULES[] = {{"text", "fill", INK, "unicode-bidi:isolate"},
             {".fl-value", "fill", SIZED, "font-weight:600"},
             {".fl-small", "fill", MUTED, "font-size:10px"},
             {".fl-limit-text", "fill", LIMIT, "font-weight:600;paint-order:stroke;stroke-width:3"},
             {"text.fl-limit-text", "stroke", PAPER, ""},
             {".fl-paper", "fill", PAPER, ""},
             /* What carries metal, and what covers it. */
             {".fl-die", "fill", LINE, ""},
             {".fl-board", "fill", LINE, "fill-opacity:.55"},
             {".fl-cover", "fill", GHOST, "fill-opacity:.13"},
             {".fl-stand", "fill", MUTED, "fill-opacity:.45"},
             {".fl-beside", "fill", MUTED, "fill-opacity:.3"},
             {".fl-ground", "stroke", INK, "stroke-width:1.6"},
             /* Metal and symbols; grey if all of it is fixed. */
             {".fl-metal", "fill", MUTED, ""},
             {".fl-seam", "stroke", PAPER, "stroke-width:1"},
             {".fl-is-sized .fl-metal", "fill", SIZED, ""},
             {".fl-arc", "stroke", MUTED, "stroke-width:1.8;fill:none"},
             {".fl-is-sized .fl-arc", "stroke", SIZED, ""},
             {".fl-strip", "stroke", MUTED, "stroke-width:2.6"},
             {".fl-is-sized .fl-strip", "stroke", SIZED, ""},
             {".fl-wire", "stroke", MUTED, "stroke-width:1.3;fill:none"},
             {".fl-is-sized .fl-wire", "stroke", SIZED, ""},
             {".fl-outline", "stroke", MUTED, "stroke-width:1.2;fill:none"},
             {".fl-is-sized .fl-outline", "stroke", SIZED, ""},
             {".fl-box", "stroke", MUTED, "stroke-width:1.2"},
             {"rect.fl-box", "fill", PAPER, ""},
             {".fl-dash", "stroke", MUTED, "stroke-dasharray:3 2"},
             /* Dimensions, leaders, the scale, the ports. */
             {".fl-thin", "stroke", MUTED, "stroke-width:.8;fill:none"},
             {".fl-tip", "fill", MUTED, ""},
             {".fl-dotted", "stroke", MUTED, "stroke-dasharray:2 2"},
             {".fl-gap", "stroke", PAPER, "stroke-width:4"},
             {".fl-leader", "stroke", MUTED, "stroke-width:.8;fill:none"},
             {".fl-is-sized .fl-leader", "stroke", SIZED, ""},
             {".fl-dot", "fill", INK, ""},
             {".fl-is-sized .fl-dot", "stroke", SIZED, ""},
             {".fl-scale", "stroke", INK, "stroke-width:1.2;fill:none"},
             {"circle.fl-port", "fill", PAPER, ""},
             {".fl-port", "stroke", INK, "stroke-width:1.2"},
             /* Curves over frequency. */
             {".fl-axis", "stroke", MUTED, "stroke-width:1;fill:none"},
             {".fl-grid", "stroke", LINE, "stroke-width:1"},
             {".fl-limit", "stroke", LIMIT, "stroke-width:1.6;fill:none"},
             {".fl-forbidden", "fill", LIMIT, "fill-opacity:.09"},
             {".fl-curve", "stroke", SIZED, "stroke-width:1.9;fill:none;stroke-linejoin:round"},
             {".fl-bare", "stroke", GHOST, "stroke-width:1.3;fill:none;stroke-linejoin:round"},
             {".fl-band1", "fill", BAND1, ""},
             {".fl-band2", "fill", BAND2, ""}};

/** Variables with their values of one theme. */
static void add_palette(fl_text *text, bool dark)
{
    fl_text_add(text, ":root{");
    for (size_t i = 0; i < TONES; i++)
        fl_text_print(text, "%s--%s:%s", i ? ";" : "", PALETTE[i].name,
                      dark ? PALETTE[i].dark : PALETTE[i].light);
    fl_text_add(text, "}");
}

/** Each colour stands there twice: programs that know no variables take the first, which is light,
 * and leave out what they do not know. Print is light whatever the screen is. */
void fl_report_svg_style(fl_text *text)
{
    add_palette(text, false);
    fl_text_add(text, "\n@media screen and (prefers-color-scheme:dark){");
    add_palette(text, true);
    fl_text_add(text, "}\n"
                      ".fl-picture{font:12px system-ui,\"Segoe UI\",Roboto,\"DejaVu Sans\","
                      "sans-serif}\n"
                      ".fl-picture .fl-middle{text-anchor:middle}\n"
                      ".fl-picture .fl-end{text-anchor:end}\n"
                      ".fl-picture .fl-name{font-weight:600}\n"
                      ".fl-picture .fl-second{stroke-dasharray:7 3}\n"
                      ".fl-picture .fl-third{stroke-dasharray:2 3}\n");
    for (size_t i = 0; i < sizeof RULES / sizeof RULES[0]; i++)
        fl_text_print(text, ".fl-picture %s{%s:%s;%s:var(--%s)%s%s}\n", RULES[i].selector,
                      RULES[i].property, PALETTE[RULES[i].colour].light, RULES[i].property,
                      PALETTE[RULES[i].colour].name, RULES[i].rest[0] ? ";" : "", RULES[i].rest);
    fl_text_add(text, "@media print{.fl-picture{print-color-adjust:exact;"
                      "-webkit-print-color-adjust:exact}}\n");
}
