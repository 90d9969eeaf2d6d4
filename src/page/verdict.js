/**
 * The verdict: one sentence that can be quoted, and the figures that are looked for first.
 */

const SUBJECTS = {
    "return loss": (port) => "the return loss at the " + port + " port",
    "insertion loss": () => "the insertion loss",
    "rejection": () => "the rejection"
};

function subjectOf(worst) {
    return (SUBJECTS[worst.quantity] || (() => worst.quantity))(worst.port || "board");
}

function limitText(worst) {
    return isNumber(worst["at least dB"]) ? "at least " + asked(worst["at least dB"]) :
        isNumber(worst["at most dB"]) ? "at most " + asked(worst["at most dB"]) : null;
}

/** The requirement nearest to its limit, with its case. */
function worstOf(cases) {
    let found = null;
    for (const row of cases || [])
        for (const worst of row.worst || [])
            if (!found || worst["margin dB"] < found.worst["margin dB"])
                found = {name: row.name, worst: worst};
    return found;
}

/** Where in the band, and in which case if there are several. */
function placeOf(found, cases) {
    return [" at ", frequency(found.worst["frequency Hz"]),
            cases.length > 1 ? [" in case ", named(found.name)] : []];
}

/** "Every requirement is met by 5.93 dB or more: closest is ..." */
function marginSentence(result) {
    const found = worstOf(result.cases);
    if (!found)
        return ["No margin was computed."];
    const limit = limitText(found.worst);
    const value = [decibel(found.worst["value dB"]), placeOf(found, result.cases)];
    const weighted = found.worst.weight === 1 ? "" : " (weighted)";
    if (!limit)
        return ["Nothing is required: ", subjectOf(found.worst), " is ", value, " at its worst"];
    const margin = decibel(Math.abs(result["margin dB"])) + weighted;
    if (result.met)
        return ["Every requirement is met, by ", margin, " or more: closest is ",
                subjectOf(found.worst), ", ", value, ", where ", limit, " is required"];
    return ["Missed by ", margin, ": ", subjectOf(found.worst), " is ", value, ", where ", limit,
            " is required"];
}

/** Where hardly a part fails, so that a yield would say nothing: less than shows in percent. */
function rareOf(produced) {
    const rare = produced && produced.importance;
    return rare && rare.failing < 1e-4 && rare.high > 0 ? rare : null;
}

function yieldSentence(produced) {
    if (!produced)
        return ["."];
    const rare = rareOf(produced);
    if (rare)
        return ["; of all parts ", rare.failing.toPrecision(2), " fail, between ",
                rare.low.toPrecision(2), " and ", rare.high.toPrecision(2), " with ",
                percent(produced.confidence, 0), " confidence."];
    return ["; ", percent(produced.estimate), " of parts pass, between ", percent(produced.low),
            " and ", percent(produced.high), " with ", percent(produced.confidence, 0),
            " confidence."];
}

/** One figure with its name above and a word below. */
function tile(name, value, note, tone) {
    return make("div", {class: "tile" + (tone ? " " + tone : "")}, make("dt", null, name),
        make("dd", null, make("strong", null, value), note && make("span", null, note)));
}

function tilesOf(result) {
    const found = worstOf(result.cases);
    const tiles = [];
    if (found && limitText(found.worst))
        tiles.push(tile("Margin", decibel(result["margin dB"]),
            result.met ? "every requirement met" : "missed", result.met ? "good" : "bad"));
    if (found)
        tiles.push(tile("Worst " + found.worst.quantity, decibel(found.worst["value dB"]),
            ["at ", frequency(found.worst["frequency Hz"]), limitText(found.worst) ?
                ", " + limitText(found.worst) : ""]));
    const rare = rareOf(result.yield);
    if (rare)
        tiles.push(tile("Parts that fail", rare.failing.toPrecision(2),
            [rare.low.toPrecision(2), " to ", rare.high.toPrecision(2)]));
    else if (result.yield)
        tiles.push(tile("Yield", percent(result.yield.estimate),
            [percent(result.yield.low), " to ", percent(result.yield.high)]));
    if (result.limit)
        tiles.push(tile("Theoretical limit", decibel(result.limit["margin dB"]), "margin"));
    return make("dl", {class: "tiles"}, tiles);
}

/** Sized values in one line each, where they are seen without scrolling. */
function chosenOf(result) {
    if (!result.sized || result.sized.length === 0)
        return make("div", {class: "chosen"});
    const most = 12;
    const rows = result.sized.slice(0, most).map((row) => make("li", null, owned(row), " ",
        make("strong", null, quantity(row.value, row.unit)),
        row["at bound"] && make("small", null, row["at bound"] === "low" ? " lowest" : " highest")));
    const rest = result.sized.length - most;
    return make("div", {class: "chosen"}, make("h2", null, "Chosen values"),
        make("ul", null, rows, rest > 0 && make("li", null, count(rest) + " more below")));
}

/** The sentence and the figures, of the design or as turned by hand. */
function showVerdict(section, result, byHand) {
    section.className = "verdict" + (result.met ? " met" : " missed") + (byHand ? " hand" : "");
    section.querySelector("#sentence").replaceChildren(...[
        byHand ? make("em", null, "By hand: ") : "", marginSentence(result),
        yieldSentence(result.yield),
        result.interrupted ? " The run was interrupted: only what was finished is shown." : ""
    ].flat(Infinity));
    section.querySelector(".tiles").replaceWith(tilesOf(result));
    section.querySelector(".chosen").replaceWith(chosenOf(result));
}

function verdict(result) {
    const title = result.title || result.file;
    const [low, high] = result["band Hz"];
    const made = make("section", {id: "verdict"},
        make("h1", {dir: "auto"}, cut(title, 200)),
        cut(title, 200) === title ? null : make("details", {class: "behind"},
            make("summary", null, "The whole title"), make("p", {dir: "auto"}, title)),
        make("p", {class: "band"}, "Band ", frequency(low), " to ", frequency(high), ", ",
            count(result.points), " points",
            (result.cases || []).length > 1 ? ", " + result.cases.length + " cases" : ""),
        make("p", {class: "sentence", id: "sentence"}), make("dl", {class: "tiles"}),
        make("div", {class: "chosen"}));
    showVerdict(made, result, false);
    return made;
}
