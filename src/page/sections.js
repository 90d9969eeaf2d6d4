/**
 * The sections of the page, each made of its part of the data; null where there is none, so that no
 * section is there empty.
 */

const SHOWN_CASES = 4;

/** A section with its heading; null if nothing is in it. */
function section(id, title, ...content) {
    const parts = content.flat(Infinity).filter(Boolean);
    return parts.length === 0 ? null :
        make("section", {id: id, "aria-labelledby": id + "-title"},
            make("h2", {id: id + "-title"}, title), parts);
}

function note(...words) {
    return make("p", {class: "note"}, words);
}

/** Figures side by side where there is room; those of further cases behind a summary. */
function figures(nodes) {
    const shown = make("div", {class: "figures"}, nodes.slice(0, SHOWN_CASES));
    const rest = nodes.slice(SHOWN_CASES);
    return rest.length === 0 ? shown : [shown, make("details", {class: "behind rest"},
        make("summary", null, "The other " + rest.length + " cases"),
        make("div", {class: "figures"}, rest))];
}

/** What is drawn of a case: as the pictures have it, else from the result's S-parameters. */
function curvesOf(data) {
    const pictures = data.pictures;
    return (data.result.cases || []).map((row, i) => {
        const drawn = pictures && pictures.cases[i];
        const response = row.response;
        if (drawn)
            return Object.assign({row: row, "frequency Hz": pictures["frequency Hz"]}, drawn);
        return response && {
            name: row.name, row: row, "frequency Hz": response["frequency Hz"],
            present: {
                "return loss dB": response[portOf(data) === "die" ? "s11" : "s22"].map(lossOf),
                "insertion loss dB": response.s21.map(lossOf)
            }
        };
    }).filter(Boolean);
}

/** The port whose return loss is shown. */
function portOf(data) {
    return data.pictures ? data.pictures.port : "board";
}

/** Requirements on a quantity in a case, as limits of a chart. */
function limitsOf(row, quantityName, port) {
    return (row.worst || []).filter((worst) => limitText(worst) &&
        (worst.quantity === quantityName ||
            (worst.quantity === "rejection" && quantityName === "insertion loss")) &&
        (worst.quantity !== "return loss" || (worst.port || "board") === port));
}

function limitLayers(limits) {
    return limits.map((worst, i) => ({
        kind: "limit", name: i === 0 ? "required: " + limitText(worst) : null,
        from: worst["band Hz"][0], to: worst["band Hz"][1],
        value: isNumber(worst["at least dB"]) ? worst["at least dB"] : worst["at most dB"],
        atLeast: isNumber(worst["at least dB"])
    }));
}

/** The highest value worth showing: nulls of the reflection go on without end. */
function topOf(lists, limits, most) {
    const values = lists.filter(Boolean).flat().filter(isNumber);
    const wanted = Math.max(...limits.map((worst) =>
        1.3 * (isNumber(worst["at least dB"]) ? worst["at least dB"] : worst["at most dB"])), 0.1);
    const high = values.reduce((a, b) => Math.max(a, b), 0);
    return Math.max(wanted, Math.min(1.06 * high, most));
}

function inGiga(hertz) {
    return digitsOf(hertz / 1e9, 6);
}

function lineLayers(curves, key) {
    const xs = curves["frequency Hz"];
    const layers = [];
    const envelope = curves.envelope && curves.envelope[key];
    if (envelope)
        layers.push({kind: "area", tone: "band2", name: "98 % of parts", xs: xs,
                     low: envelope[1], high: envelope[99]},
                    {kind: "area", tone: "band1", name: "90 % of parts", xs: xs,
                     low: envelope[5], high: envelope[95]});
    if (curves.uncompensated)
        layers.push({kind: "line", tone: "ghost", name: "uncompensated", xs: xs,
                     ys: curves.uncompensated[key]});
    if (curves.turned)
        layers.push({kind: "line", tone: "before", name: "as sized", xs: xs, ys: curves.present[key]},
                    {kind: "line", tone: "turned", name: "by hand", xs: xs, ys: curves.turned[key]});
    else
        layers.push({kind: "line", tone: "sized", name: "as designed", xs: xs,
                     ys: curves.present[key]});
    return layers;
}

function readAt(layers, limits) {
    return (i) => [frequency(layers[0].xs[i]), ": ", listed(layers.map((layer) =>
        layer.kind === "area" ?
            layer.name + " " + fixed(layer.low[i], 2) + " to " + decibel(layer.high[i]) :
            layer.name + " " + decibel(layer.ys[i])).reverse()),
        limits.length > 0 ? "; required " + limits.map(limitText).join(" and ") : ""];
}

/** The numbers of line and area layers over frequency. */
function curveTable(caption, layers) {
    const columns = [{title: "frequency", number: true}];
    for (const layer of layers)
        columns.push(...(layer.kind === "area" ? [layer.name + ", from", "to"] : [layer.name])
            .map((title) => ({title: title + ", dB", number: true})));
    return table(caption, columns, layers[0].xs.map((x, i) => [frequency(x)].concat(
        ...layers.map((layer) => layer.kind === "area" ?
            [fixed(layer.low[i], 2), fixed(layer.high[i], 2)] : [fixed(layer.ys[i], 2)]))));
}

/** What is said of a chart when no cursor is in it: where the requirement is worst. */
function restOf(limits, hand) {
    const worst = hand || limits[0];
    return worst ? ["Worst ", decibel(worst["value dB"]), " at ", frequency(worst["frequency Hz"]),
                    ", margin ", decibel(worst["margin dB"])] : "Point at the curve to read it";
}

/** Return loss or insertion loss of a case over its band. */
function lossSpec(curves, quantityName, data, many) {
    const key = quantityName + " dB";
    const xs = curves["frequency Hz"];
    const limits = limitsOf(curves.row, quantityName, portOf(data));
    const hand = curves.turned && curves.row.hand.quantity === quantityName && curves.row.hand;
    const rest = curves.turned && !hand ? "" : restOf(limits, hand);
    const layers = lineLayers(curves, key);
    const lists = layers.flatMap((layer) => layer.kind === "area" ? [layer.high] : [layer.ys]);
    const title = quantityName[0].toUpperCase() + quantityName.slice(1);
    const place = quantityName === "return loss" ? " at the " + portOf(data) + " port" : "";
    return {
        title: many ? [title, " \u2013 ", named(curves.name, 40)] : title + place,
        label: title + place + " over frequency, case " + cut(curves.name, 80) + ": " +
            [rest].flat().join(""),
        x: {domain: [xs[0], lastOf(xs)], title: "GHz", format: inGiga},
        y: {domain: [0, topOf(lists, limits, quantityName === "return loss" ? 40 : 30)],
            title: "dB"},
        layers: layers.filter((layer) => layer.kind === "area").concat(limitLayers(limits),
            layers.filter((layer) => layer.kind !== "area")), stops: xs, read: readAt(layers, limits),
        rest: rest, table: () => curveTable(title + ", " + cut(curves.name, 80), layers)
    };
}

function lossCharts(data, quantityName) {
    const all = curvesOf(data);
    return all.map((curves) => ({
        curves: curves, spec: (now) => lossSpec(now, quantityName, data, all.length > 1),
        chart: chart(lossSpec(curves, quantityName, data, all.length > 1))
    }));
}

/** The same to three times the band, where harmonics and other services lie. */
function wideChart(data, drawn, many) {
    const xs = data.pictures["wide Hz"];
    const both = [["return loss", "sized"], ["insertion loss", "other"]];
    const layers = both.map(([name, tone]) => ({
        kind: "line", tone: tone, name: name, xs: xs, ys: drawn.wide.present[name + " dB"]
    }));
    if (drawn.wide.uncompensated)
        layers.unshift({kind: "line", tone: "ghost", name: "return loss, uncompensated", xs: xs,
                        ys: drawn.wide.uncompensated["return loss dB"]});
    const [low, high] = data.result["band Hz"];
    return chart({
        title: many ? ["Wide sweep \u2013 ", named(drawn.name, 40)] : "Wide sweep", height: 220,
        label: "Return loss and insertion loss up to " + frequency(lastOf(xs)) + ", case " +
            cut(drawn.name, 80),
        x: {domain: [xs[0], lastOf(xs)], title: "GHz", format: inGiga},
        y: {domain: [0, topOf(layers.map((layer) => layer.ys), [], 40)], title: "dB"},
        layers: [{kind: "span", name: "band", from: low, to: high}].concat(layers), stops: xs,
        read: readAt(layers, []), rest: "To " + frequency(lastOf(xs)),
        table: () => curveTable("Wide sweep, " + cut(drawn.name, 80), layers)
    });
}

function wideNotes(lines) {
    return lines.length === 0 ? null : make("details", {class: "behind"},
        make("summary", null, "What the models leave out so far from the band"), bullets(lines));
}

function wideCharts(data) {
    const cases = data.pictures ? data.pictures.cases.filter((drawn) => drawn.wide) : [];
    return cases.length === 0 ? null : [
        figures(cases.map((drawn) => wideChart(data, drawn, cases.length > 1).node)),
        wideNotes(data.pictures["wide notes"] || [])];
}

/** What the uncompensated curve leaves out. */
function leftOutNote(data) {
    const names = data.pictures ? data.pictures.cases.flatMap((drawn) => drawn["left out"] || []) : [];
    return names.length === 0 ? null :
        note("Uncompensated: without ", listed([...new Set(names)].map((name) => named(name))), ".");
}

const WAY_TONES = ["low", "middle", "high"];

function smithSpec(drawn, many, ways) {
    return {
        title: many ? ["Way of the reflection \u2013 ", named(drawn.name, 40)] :
            "Way of the reflection, from the die outwards",
        label: "Smith chart, case " + cut(drawn.name, 80) + ": reflection behind each section at " +
            ways.map((way) => frequency(way["frequency Hz"])).join(", "),
        rest: ["Normalised to ", quantity(ways[0]["reference ohm"], "ohm", 4),
               "; the large dot is the board's end"],
        ways: ways.map((way, i) => ({
            frequency: way["frequency Hz"], reference: way["reference ohm"], steps: way.steps,
            tone: WAY_TONES[Math.min(i, 2)]
        }))
    };
}

function smithCharts(data) {
    const cases = data.pictures ? data.pictures.cases : [];
    return cases.map((drawn, i) => (drawn.smith || []).length === 0 ? null : ({
        index: i, drawn: drawn, many: cases.length > 1,
        chart: smithChart(smithSpec(drawn, cases.length > 1, drawn.smith))
    })).filter(Boolean);
}

function sensitivity(result) {
    const rows = result.sensitivity || [];
    const sigma = rows.filter((row) => isNumber(row["dB per sigma"]));
    const rest = rows.filter((row) => !isNumber(row["dB per sigma"]) &&
        isNumber(row["dB per percent"]));
    const part = (caption, list, up, down, unit) => list.length > 0 && firstOf(list, 12,
        (some) => effectTable(caption, some, up, down, unit));
    return section("sensitivity", "What moves it",
        rows.length > 0 && note("Change of the worst return loss, ",
            decibel(result["sensitivity base dB"]), ", largest first; plus is better. Upper bar: ",
            "one deviation more; lower bar: one less."),
        part("dB for one standard deviation", sigma, "dB per sigma up", "dB per sigma down",
            "\u03c3"),
        part("dB for one percent, of values without a spread", rest, "dB per percent up",
            "dB per percent down", "1 %"));
}

/** The return loss asked for, for the pictures of production. */
function askedLoss(result) {
    const found = (result.cases || []).flatMap((row) => row.worst || [])
        .filter((worst) => worst.quantity === "return loss" && isNumber(worst["at least dB"]));
    return found.length > 0 ? Math.max(...found.map((worst) => worst["at least dB"])) : null;
}

function histogram(data) {
    const bins = data.pictures && data.pictures.histogram;
    const produced = data.result.yield;
    if (!bins || !produced || bins.counts.length === 0)
        return null;
    const from = bins["from dB"], step = bins["step dB"];
    const xs = bins.counts.map((v, i) => from + i * step);
    const limit = askedLoss(data.result);
    const low = isNumber(limit) ? Math.min(from, limit - step) : from;
    const marks = ["1", "5", "50"].map((p, i) => ({
        kind: "mark", tone: "ghost", x: produced["return loss dB percentiles"][p], text: p + " %",
        row: i
    }));
    const total = bins.counts.reduce((a, b) => a + b, bins.below + bins.above);
    const outside = bins.below + bins.above;
    return chart({
        title: "Worst return loss of each part",
        label: "Histogram of the worst return loss of " + count(total) + " parts",
        x: {domain: [low, from + step * xs.length], title: "dB"},
        y: {domain: [0, 1.3 * Math.max(...bins.counts)], title: "parts"},
        layers: [{kind: "columns", tone: "sized", name: "parts", xs: xs, step: step,
                  ys: bins.counts}].concat(marks.filter((mark) => isNumber(mark.x)),
            isNumber(limit) ? [{kind: "mark", tone: "asked", x: limit, text: "required", row: 3}] : []),
        stops: xs.map((x) => x + step / 2),
        read: (i) => [fixed(xs[i], 2), " to ", decibel(xs[i] + step), ": ", count(bins.counts[i]),
                      " parts, ", percent(bins.counts[i] / total)],
        rest: ["Dashed: so many parts have less",
               outside > 0 ? "; outside the picture " + count(outside) : ""],
        table: () => table("Parts by worst return loss", [{title: "from, dB", number: true},
            {title: "to, dB", number: true}, {title: "parts", number: true}],
        xs.map((x, i) => [fixed(x, 2), fixed(x + step, 2), count(bins.counts[i])]))
    });
}

function yieldCurve(result) {
    const points = result.yield ? result.yield.curve || [] : [];
    if (points.length < 2)
        return null;
    const xs = points.map((point) => point["return loss dB"]);
    const ys = points.map((point) => 100 * point.yield);
    const limit = askedLoss(result);
    return chart({
        title: "Yield against the return loss required",
        label: "Yield over required return loss, from " + percent(points[0].yield) + " at " +
            decibel(xs[0]) + " to " + percent(lastOf(points).yield) + " at " + decibel(lastOf(xs)),
        x: {domain: [xs[0], lastOf(xs)], title: "dB required"},
        y: {domain: [0, 104], title: "%"},
        layers: [{kind: "line", tone: "sized", name: "yield", xs: xs, ys: ys}].concat(
            isNumber(limit) ? [{kind: "mark", tone: "asked", x: limit, text: "required", low: true}] :
                []),
        stops: xs, read: (i) => ["At least ", decibel(xs[i]), ": ", percent(points[i].yield),
                                 " of parts pass"],
        rest: ["All other requirements as they are"],
        table: () => table("Yield by return loss required", [{title: "at least, dB", number: true},
            {title: "yield", number: true}],
        points.map((point, i) => [fixed(xs[i], 2), percent(point.yield)]))
    });
}

function failures(result) {
    const produced = result.yield;
    const rows = produced ? produced.failures || [] : [];
    const shifts = produced ? produced.shifts || [] : [];
    const counts = ["low in band", "mid band", "high in band"];
    return section("failures", "What fails, and why",
        rows.length > 0 && table("Of " + count(produced.samples) +
            " parts, most frequent first; where in its band each is worst",
        [{title: "requirement"}, {title: "case"}, {title: "parts", number: true}].concat(
            ["low", "middle", "high"].map((title) => ({title: title, number: true}))),
        rows.map((row) => [row.quantity + (row.quantity === "return loss" ? ", " + row.port : ""),
                           named(row.case), count(row.samples)].concat(
            counts.map((key) => count(row[key]))))),
        shifts.length > 0 && firstOf(shifts, 8, (some) => table(
            "Values of failing parts against those of passing ones", [{title: "quantity"},
                {title: "passing", number: true}, {title: "failing", number: true},
                {title: "shift", number: true}],
            some.map((row) => [owned(row), quantity(row["mean passing"], row.unit, 4),
                quantity(row["mean failing"], row.unit, 4),
                change(row["shift in sigmas"]) + " \u03c3"]))));
}

/** Where the variance comes from: by level of production, then by quantity. */
function budget(data) {
    const levels = (data.pictures && data.pictures.levels) || [];
    const rows = (data.result.sensitivity || [])
        .filter((row) => isNumber(row["share of variance"]) && row["share of variance"] > 0)
        .sort((a, b) => b["share of variance"] - a["share of variance"]);
    return section("budget", "Tolerance budget",
        levels.length > 0 && shareTable("Share of the variance by level", "level",
            levels.map((row) => ({name: row.level, share: row["share of variance"]}))),
        rows.length > 0 && firstOf(rows, 8, (some) => shareTable(
            "Share of the variance by quantity", "quantity",
            some.map((row) => ({name: owned(row), share: row["share of variance"]})))));
}

/** What differs from wafer to wafer and from lot to lot, of a yield that was planned so. */
function wafers(result) {
    const produced = result.yield || {};
    const kinds = [["wafer", produced.wafers], ["lot", produced.lots]].filter((kind) => kind[1]);
    const shares = ["mean", "least", "5", "50", "95", "best"];
    return section("wafers", "From wafer to wafer",
        kinds.length > 0 && table("Share that passes, and good dice", [{title: "of a"}].concat(
            ["drawn", "mean", "\u03c3", "least", "5 % have less", "half", "95 %", "best",
             "good dice"].map((title) => ({title: title, number: true}))),
        kinds.map(([name, row]) => [name, count(row.count), percent(row.mean),
            percent(row["standard deviation"])].concat(shares.slice(1).map((key) => percent(row[key])),
            [[count(Math.round(row["good dice"].mean)), " of ", count(row.dice)]]))),
        kinds.length > 0 && shareTable("Share of dice that pass", "",
            kinds.flatMap(([name, row]) => [["worst ", "least"], ["typical ", "50"], ["best ", "best"]]
                .map(([word, key]) => ({name: word + name, share: row[key]})))));
}

/** Cases side by side. */
function caseTable(result) {
    const cases = result.cases || [];
    if (cases.length < 2 || !cases[0].worst)
        return null;
    const rows = cases.flatMap((row) => row.worst.map((worst, i) => [
        named(row.name), worst.quantity + (worst.port ? ", " + worst.port : ""),
        limitText(worst) || MISSING, decibel(worst["value dB"]), frequency(worst["frequency Hz"]),
        decibel(worst["margin dB"]), i === 0 && row.yield ? percent(row.yield.estimate) : ""]));
    return section("cases", "Cases side by side", table("Each requirement where it is worst",
        [{title: "case"}, {title: "requirement"}, {title: "asked", number: true},
         {title: "worst", number: true}, {title: "at", number: true},
         {title: "margin", number: true}, {title: "yield", number: true}], rows));
}

/** Where a value stands between its bounds. */
function rangeCell(row) {
    const at = 100 * (row.value - row.low) / (row.high - row.low || 1);
    return draw("svg", {
        class: "range", viewBox: "-4 0 108 12", preserveAspectRatio: "none", "aria-hidden": "true"
    }, draw("line", {x1: 0, x2: 100, y1: 6, y2: 6}),
    draw("rect", {x: at - 2, y: 1, width: 4, height: 10, class: row["at bound"] ? "bound" : null}));
}

function values(result) {
    const rows = result.sized || [];
    const cost = result["free margin dB"] - result["margin dB"];
    return section("values", "Values to build",
        rows.length > 0 && table("Chosen values within the limits of the process",
            [{title: "quantity"}, {title: "chosen", number: true}, {title: "lowest", number: true},
             {title: ""}, {title: "highest", number: true}, {title: "grid", number: true},
             {title: "limit that binds"}],
            rows.map((row) => [owned(row), make("strong", null, quantity(row.value, row.unit)),
                quantity(row.low, row.unit), rangeCell(row), quantity(row.high, row.unit),
                row.grid ? quantity(row.grid, row.unit) : MISSING,
                row["at bound"] ? (row["at bound"] === "low" ? "lowest" : "highest") : MISSING])),
        rows.length > 0 && cost > 0.005 && note("The grids cost ", decibel(cost),
            " of margin: ", decibel(result["free margin dB"]), " without them."));
}

function spreads(result) {
    const rows = (result.quantities || []).filter((row) => row.sigma > 0);
    return section("spreads", "Spreads",
        rows.length > 0 && firstOf(rows, 20, (some) => table("What varies in production",
            [{title: "quantity"}, {title: "nominal", number: true}, {title: "\u03c3", number: true},
             {title: "of nominal", number: true}, {title: "level"}],
            some.map((row) => [owned(row), quantity(row.value, row.unit),
                quantity(row.sigma, row.unit, 3),
                row.value ? percent(Math.abs(row.sigma / row.value), 1) : MISSING,
                row.levels || MISSING]))));
}

function bullets(lines) {
    return make("ul", {class: "bullets"}, lines.map((line) => make("li", {dir: "auto"}, line)));
}

function cautions(data) {
    const pictures = data.pictures || {};
    const lines = [...new Set((data.result.warnings || []).concat(pictures.cautions || []))]
        .map((line) => line.replace(/^\S*\/(?=[^\/\s]+:\d+:\d+: )/, ""));
    const omitted = pictures["not modelled"] || [];
    return [
        section("omitted", "What was not modelled", omitted.length > 0 && bullets(omitted)),
        section("cautions", "Cautions", bullets(lines.concat(["Computed from models: confirm with " +
            "a field solution and with measurement before masks are ordered."])))];
}
