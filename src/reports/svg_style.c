/** The one place of the pictures' colours and strokes. */
#include "reports/reports.h"

/** The same colour means the same everywhere: a sized value, what is required, and greys for what is
 * fixed. Blue and orange are told apart by nearly all eyes, and differ in lightness on paper. Print
 * is light whatever the screen is. */
static const char STYLE[] =
    ":root{--ink:#1d2430;--muted:#667085;--paper:#ffffff;--line:#d5dae3;--sized:#0b6bcb;"
    "--limit:#c2410c;--band1:#9cc3ee;--band2:#d3e4f8;--ghost:#8a8f98}\n"
    "@media screen and (prefers-color-scheme:dark){:root{--ink:#e8ecf3;--muted:#9aa4b5;"
    "--paper:#14181f;--line:#323a47;--sized:#6db3ff;--limit:#ff9a5c;--band1:#2f5f92;"
    "--band2:#22405f;--ghost:#7d8694}}\n"
    ".fl-picture{font:12px system-ui,\"Segoe UI\",Roboto,\"DejaVu Sans\",sans-serif}\n"
    ".fl-picture text{fill:var(--ink);unicode-bidi:isolate}\n"
    ".fl-picture .fl-middle{text-anchor:middle}\n"
    ".fl-picture .fl-end{text-anchor:end}\n"
    ".fl-picture .fl-name{font-weight:600}\n"
    ".fl-picture .fl-value{fill:var(--sized);font-weight:600}\n"
    ".fl-picture .fl-small{fill:var(--muted);font-size:10px}\n"
    ".fl-paper{fill:var(--paper)}\n";

/** One text for pages and for files that stand alone: the same part has the same colour in both. */
void fl_report_svg_style(fl_text *text)
{
    fl_text_add(text, STYLE);
}
