/**
 * Tables: what every picture stands on, for screen readers, for copying, for paper.
 */

/** columns: [{title, number}]; rows: lists of cells, each a text, a node, or a list of them. The
 * first cell of a row is its heading. */
function table(caption, columns, rows) {
    const side = (column) => column.number ? "number" : null;
    return make("div", {class: "scroll", tabindex: "0", role: "group", "aria-label": caption},
        make("table", null,
            make("caption", null, caption),
            make("thead", null, make("tr", null, columns.map((column) =>
                make("th", {scope: "col", class: side(column)}, column.title)))),
            make("tbody", null, rows.map((row) => make("tr", null, row.map((cell, i) =>
                make(i === 0 ? "th" : "td", {
                    scope: i === 0 ? "row" : null, class: side(columns[i])
                }, cell)))))));
}

/** A table behind a picture, made when it is asked for: from what the picture then shows. */
function tableBehind(build) {
    const details = make("details", {class: "behind"}, make("summary", null, "As a table"));
    function refresh() {
        if (details.lastChild.tagName !== "SUMMARY")
            details.lastChild.remove();
        if (details.open)
            details.append(build());
    }
    details.addEventListener("toggle", refresh);
    return {node: details, refresh: refresh};
}
