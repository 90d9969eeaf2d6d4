/**
 * Turning it by hand: a slider and a number box for each sized value. The engine itself answers
 * (live.js); this file moves its answers into the pictures and the verdict.
 */

const SLIDER_STEPS = 1000;
const YIELD_DELAY = 150;

function bytesOf(base64) {
    return Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
}

/** Places that a slider has: those of the grid where there is one. */
function placesOf(size) {
    if (!(size.grid > 0))
        return {
            count: SLIDER_STEPS, valueAt: (i) => size.low + (size.high - size.low) * i / SLIDER_STEPS
        };
    const first = Math.ceil(size.low / size.grid - 1e-9);
    const last = Math.floor(size.high / size.grid + 1e-9);
    return {
        count: Math.max(last - first, 1),
        valueAt: (i) => Math.min(Math.max((first + i) * size.grid, size.low), size.high)
    };
}

function placeOfValue(places, size, value) {
    const [low, high] = [places.valueAt(0), places.valueAt(places.count)];
    return Math.round(places.count * (value - low) / (high - low || 1));
}

/** One value's row: name, slider, number with unit. Tells of a move by calling moved(value). */
function control(size, moved) {
    const places = placesOf(size);
    const [scale, letter] = size.unit ? prefixOf(size.high || 1) : [1, ""];
    const unit = size.unit ? letter + unitSign(size.unit) : "";
    const name = ownedText(size);
    const slider = make("input", {
        type: "range", min: 0, max: places.count, step: 1, "aria-label": name
    });
    const box = make("input", {
        type: "number", step: "any", min: size.low / scale, max: size.high / scale,
        "aria-label": name + (unit ? " in " + unit : "")
    });
    const row = make("div", {class: "control"},
        make("span", {class: "control-name"}, owned(size)),
        make("span", {class: "control-number"}, box, " ", unit), slider,
        make("span", {class: "control-range"}, make("span", null, quantity(size.low, size.unit, 4)),
            make("span", null, quantity(size.high, size.unit, 4))));

    function show(value) {
        slider.value = placeOfValue(places, size, value);
        slider.setAttribute("aria-valuetext", quantity(value, size.unit));
        box.value = Number((value / scale).toPrecision(9));
    }

    slider.addEventListener("input", () => moved(places.valueAt(Number(slider.value))));
    box.addEventListener("change", () => moved(box.value === "" ? NaN : Number(box.value) * scale));
    return {
        node: row, show: show,
        lock: (locked) => {
            slider.disabled = box.disabled = locked;
            row.classList.toggle("locked", locked);
        }
    };
}

/** What the engine says, in the words of a result, so that one verdict serves both. */
function resultOf(live, margin, produced) {
    const cases = margin.cases.map((row, i) => {
        const asked = live.requirements[row.requirement];
        return {
            name: live.cases[i], worst: [{
                quantity: asked.asked, port: asked.port, weight: asked.weight,
                "value dB": row.valueDb, "frequency Hz": row.frequency, "margin dB": row.marginDb,
                "at least dB": !asked.implied && asked.atLeast ? asked.limitDb : null,
                "at most dB": !asked.implied && !asked.atLeast ? asked.limitDb : null,
                "band Hz": [asked.low, asked.high]
            }]
        };
    });
    const sized = live.sizes.map((size) =>
        ({name: size.name, case: size.case, unit: size.unit, value: live.get(size.index)}));
    return {
        cases: cases, met: margin.met, "margin dB": margin.marginDb, yield: produced, sized: sized
    };
}

/** Controls by side: those that the reader is likely to own are free, the others locked. */
function controlsOf(live, moved) {
    const sides = ["die", "package", "board"];
    return sides.map((side) => {
        const sizes = live.sizes.filter((size) => size.side === side);
        if (sizes.length === 0)
            return null;
        const controls = sizes.map((size) => control(size, (value) => moved(size, value)));
        let locked = side !== "board";
        const button = make("button", {type: "button", class: "quiet lock"});
        function apply() {
            controls.forEach((item) => item.lock(locked));
            button.textContent = locked ? "Unlock" : "Lock";
            button.setAttribute("aria-label", (locked ? "Unlock " : "Lock ") + side + " values");
        }
        button.addEventListener("click", () => {
            locked = !locked;
            apply();
        });
        apply();
        return {
            node: make("div", {class: "side"}, make("h3", null,
                side[0].toUpperCase() + side.slice(1) + " values", button),
            controls.map((item) => item.node)),
            show: () => sizes.forEach((size, i) => controls[i].show(live.get(size.index)))
        };
    }).filter(Boolean);
}

/** Hands a text to the reader as a file. */
function download(name, text) {
    const address = URL.createObjectURL(new Blob([text], {type: "application/json"}));
    const link = make("a", {href: address, download: name, hidden: true});
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 1000);
}

/** "absorb-by-hand.json" of "designs/absorb.json". */
function savedName(file) {
    const stem = file.replace(/^.*[\\/]/, "").replace(/\.json$/i, "");
    return (stem.replace(/[^A-Za-z0-9._-]/g, "-").slice(0, 60) || "design") + "-by-hand.json";
}

/** The small picture in the panel: the case that is worst, as it is now. */
function smallSpec(live, margin, data) {
    const index = margin.caseIndex;
    const response = live.respond(index);
    const xs = Array.from(response.frequency), ys = Array.from(response.returnLossDb);
    const row = data.result.cases[index];
    const limits = limitsOf(row, "return loss", live.returnLossPort);
    return {
        title: live.cases.length > 1 ? ["Return loss \u2013 ", named(live.cases[index], 30)] :
            "Return loss", height: 150,
        label: "Return loss over the band as turned by hand",
        x: {domain: [xs[0], lastOf(xs)], title: "GHz", format: inGiga},
        y: {domain: [0, topOf([ys], limits, 40)], title: "dB"},
        layers: limitLayers(limits).concat([{kind: "line", tone: "turned", xs: xs, ys: ys}])
            .map((layer) => Object.assign({}, layer, {name: null})),
        stops: xs, read: (i) => [frequency(xs[i]), ": ", decibel(ys[i])], rest: "",
        table: () => table("Return loss by hand", [{title: "frequency", number: true},
            {title: "return loss, dB", number: true}],
        xs.map((x, i) => [frequency(x), fixed(ys[i], 2)]))
    };
}

/** The panel, over a live model. views: the page's own pictures, which follow. */
function turn(live, data, views) {
    const state = make("div", {class: "state"});
    const said = make("p", {class: "said", "aria-live": "polite"});
    const reset = make("button", {type: "button", disabled: true}, "Reset");
    const save = make("button", {type: "button"}, "Save design");
    const small = make("div", {class: "small"});
    let smallChart = null, produced = null, waiting = null, asked = 0;

    const groups = controlsOf(live, (size, value) => {
        if (Number.isFinite(value))
            live.set(size.index, value);
        moved();
    });

    function isTurned() {
        return live.sizes.some((size) => live.get(size.index) !== size.value);
    }

    function tell(margin) {
        if (!margin) {
            state.replaceChildren(make("p", {class: "bad"}, "These values make no response."));
            return null;
        }
        const result = resultOf(live, margin, produced);
        const limit = limitText(worstOf(result.cases).worst);
        state.replaceChildren(make("dl", {class: "tiles"},
            tile(limit ? "Margin" : "Worst return loss", decibel(margin.marginDb),
                limit ? (margin.met ? "every requirement met" : "missed") : "",
                !limit || margin.met ? "good" : "bad"),
            live.samples > 0 && tile("Quick yield", produced ? percent(produced.estimate, 1) : "\u2026",
                produced ? percent(produced.low, 1) + " to " + percent(produced.high, 1) :
                    count(live.samples) + " draws")));
        if (smallChart)
            smallChart.update(smallSpec(live, margin, data));
        else
            small.append((smallChart = chart(smallSpec(live, margin, data))).node);
        return result;
    }

    /** Everything but the yield, within a frame. */
    function redraw() {
        waiting = null;
        const turned = isTurned();
        const margin = live.margin();
        const result = tell(margin);
        reset.disabled = !turned;
        groups.forEach((group) => group.show());
        if (margin)
            views.show(turned ? live : null, result);
    }

    /** The yield takes longer than a frame: it waits until the hand rests. */
    function countParts(turnOf) {
        if (turnOf !== asked || live.samples === 0)
            return;
        produced = live.yield(live.samples);
        if (produced)
            produced.confidence = data.result.yield ? data.result.yield.confidence : 0.95;
        redraw();
        const margin = live.margin();
        said.textContent = !margin ? "" : "Margin " + decibel(margin.marginDb) +
            (produced ? ", quick yield " + percent(produced.estimate, 1) : "");
    }

    function moved() {
        const turnOf = ++asked;
        produced = null;
        if (waiting === null)
            waiting = requestAnimationFrame(redraw);
        setTimeout(() => countParts(turnOf), YIELD_DELAY);
    }

    reset.addEventListener("click", () => {
        live.reset();
        moved();
    });
    save.addEventListener("click", () => download(savedName(data.result.file), live.save()));
    moved();
    return make("section", {id: "turn", "aria-labelledby": "turn-title"},
        make("h2", {id: "turn-title"}, "Turn it by hand"), state, small,
        groups.map((group) => group.node),
        make("p", {class: "buttons"}, reset, save), said,
        note("Response, way, margin and quick yield follow. Drawing, envelopes, sensitivities and ",
            "tables stay those of the design. The saved file is the design with these values as ",
            "starts: it is read where the design's own files are."));
}

/** The page's pictures as they follow the hand: one call shows a live model, or the design again. */
function viewsOf(data, returns, insertions, smiths, verdictParts) {
    const ways = (live, item) => item.drawn.smith.map((way) => ({
        "frequency Hz": way["frequency Hz"], "reference ohm": live.reference || way["reference ohm"],
        steps: live.smith(item.index, way["frequency Hz"]) || way.steps
    }));

    function turnedOf(live, curves, index, row) {
        const answer = live.respond(index, Float64Array.from(curves["frequency Hz"]));
        return answer === null ? curves : Object.assign({}, curves, {
            envelope: null, row: Object.assign({}, curves.row, {hand: row.worst[0]}),
            turned: {
                "return loss dB": Array.from(answer.returnLossDb),
                "insertion loss dB": Array.from(answer.insertionLossDb)
            }
        });
    }

    return {
        show: (live, result) => {
            for (const items of [returns, insertions])
                items.forEach((item, i) => item.chart.update(item.spec(
                    live ? turnedOf(live, item.curves, i, result.cases[i]) : item.curves)));
            smiths.forEach((item) => item.chart.update(smithSpec(item.drawn, item.many,
                live ? ways(live, item) : item.drawn.smith)));
            verdictParts.show(live ? result : null);
        }
    };
}
