/**
 * Bars in the rows of a table: what moves the response, and how the budget of variance is spent.
 */

/** One row's bars about a zero line at share zero of the width, in units of the longest. */
function barCell(values, low, high) {
    const width = high - low || 1;
    const bars = values.map((bar, i) => {
        const from = (Math.min(bar.value, 0) - low) / width;
        return draw("rect", {
            class: "bar " + bar.tone, x: 100 * from, width: 100 * Math.abs(bar.value) / width,
            y: 2 + i * (20 / values.length), height: 20 / values.length - 3
        });
    });
    const zero = -100 * low / width;
    return draw("svg", {
        class: "bars", viewBox: "0 0 100 22", preserveAspectRatio: "none", "aria-hidden": "true"
    }, bars, draw("line", {class: "zero", x1: zero, x2: zero, y1: 0, y2: 22}));
}

/** The effects of a change up and down, largest first; shown are the first few. */
function effectTable(caption, rows, up, down, unit) {
    const values = rows.flatMap((row) => [row[up], row[down]]).filter(isNumber);
    const low = Math.min(0, ...values), high = Math.max(0, ...values);
    const shares = rows.some((row) => isNumber(row["share of variance"]));
    const columns = [{title: "quantity"}, {title: ""}, {title: "+" + unit, number: true},
                     {title: "\u2212" + unit, number: true}];
    if (shares)
        columns.push({title: "share", number: true});
    return table(caption, columns, rows.map((row) => {
        const bars = [{value: row[up] || 0, tone: "up"}, {value: row[down] || 0, tone: "down"}];
        const cells = [owned(row), barCell(bars, low, high), change(row[up]), change(row[down])];
        if (shares)
            cells.push(percent(row["share of variance"], 1));
        return cells;
    }));
}

/** Shares of one whole. */
function shareTable(caption, title, rows) {
    const most = Math.max(...rows.map((row) => row.share), 1e-12);
    const columns = [{title: title}, {title: ""}, {title: "share", number: true}];
    return table(caption, columns, rows.map((row) =>
        [row.name, barCell([{value: row.share, tone: "up"}], 0, most), percent(row.share, 1)]));
}

/** The first rows, and the rest behind a summary. */
function firstOf(rows, most, build) {
    const rest = rows.length - most;
    const details = rest > 0 && make("details", {class: "behind rest"},
        make("summary", null, rest === 1 ? "One more" : count(rest) + " more"),
        build(rows.slice(most)));
    return [build(rows.slice(0, most)), details];
}
