/**
 * Smith chart: the way of the reflection from the die outwards, a curve a section, at several
 * frequencies. The grid is that of the normalised impedance.
 */

const RESISTANCES = [0.2, 0.5, 1, 2, 5];
const REACTANCES = [0.2, 0.5, 1, 2, 5];

/** Circles of constant resistance, arcs of constant reactance, out to a rim of that reflection. */
function smithGrid(clip, rim) {
    const circles = RESISTANCES.map((r) =>
        draw("circle", {cx: r / (1 + r) / rim, cy: 0, r: 1 / (1 + r) / rim}));
    const arcs = REACTANCES.flatMap((x) => [1, -1].map((sign) =>
        draw("circle", {cx: 1 / rim, cy: sign / x / rim, r: 1 / x / rim})));
    const labels = RESISTANCES.map((r) => [r, (r - 1) / (r + 1) / rim])
        .filter(([r, at]) => Math.abs(at) < 0.97).map(([r, at]) => draw("text", {
            x: at + 0.012, y: -0.015
        }, String(r)));
    return draw("g", {class: "grid", "aria-hidden": "true"},
        draw("g", {"clip-path": "url(#" + clip + ")"}, circles, arcs,
            draw("line", {x1: -1, x2: 1, y1: 0, y2: 0})),
        draw("circle", {class: "rim", cx: 0, cy: 0, r: 1}), labels);
}

/** Reflections at the rim that a chart may have: a good path is small, and is shown enlarged. */
const RIMS = [0.1, 0.2, 0.3, 0.5, 0.7, 1];

function rimOf(ways) {
    const points = ways.flatMap((way) => way.steps.flatMap((step) => step.reflection));
    const most = points.reduce((a, point) => Math.max(a, Math.hypot(point[0], point[1])), 0);
    return RIMS.find((rim) => most <= 0.97 * rim) || Math.max(1, most);
}

/** The vertical axis points down on a screen. */
function smithPath(points, rim) {
    return points.map((point, i) => (i === 0 ? "M" : "L") + (point[0] / rim).toFixed(4) + " " +
        (-point[1] / rim).toFixed(4)).join("");
}

/** Normalised impedance of a reflection; null at an open end. */
function impedanceOf(point, reference) {
    const [a, b] = point;
    const below = (1 - a) * (1 - a) + b * b;
    if (below < 1e-9)
        return null;
    return [reference * (1 - a * a - b * b) / below, reference * 2 * b / below];
}

function impedanceText(point, reference) {
    const z = impedanceOf(point, reference);
    if (!z)
        return "open";
    return digitsOf(z[0], 3) + (z[1] < 0 ? " \u2212 j" : " + j") + digitsOf(Math.abs(z[1]), 3) +
        " \u03a9";
}

function reflectionText(point) {
    const size = Math.hypot(point[0], point[1]);
    return fixed(size, 3) + " \u2220 " +
        fixed(Math.atan2(point[1], point[0]) * 180 / Math.PI, 1) + "\u00b0";
}

function stepName(step) {
    return step.section ? named(step.section, 40) : "die port";
}

/** ways: [{frequency, reference, tone, steps: [{section, reflection}]}]. */
function smithChart(first) {
    const id = "smith" + ++drawnCharts;
    const heading = make("figcaption", null);
    const svg = draw("svg", {
        class: "picture smith", viewBox: "-1.08 -1.08 2.16 2.16", role: "img", tabindex: "0"
    });
    const readout = make("p", {class: "readout", "aria-live": "polite"});
    const order = make("ol", {class: "order"});
    const behind = tableBehind(() => smithTable(spec));
    const figure = make("figure", {class: "chart"}, heading, svg, order, readout, behind.node);
    let spec = first, stops = [], at = -1, rim = 1;

    function wayOf(way) {
        const points = way.steps.flatMap((step) => step.reflection);
        const ends = way.steps.map((step) => lastOf(step.reflection));
        const last = ends.length - 1;
        return draw("g", {class: "way " + way.tone},
            draw("path", {d: smithPath(points, rim)}),
            ends.map((end, i) => draw("circle", {
                class: i === last ? "end" : "knee", r: i === last ? 0.028 : 0.013,
                cx: end[0] / rim, cy: -end[1] / rim
            })),
            way.tone === "middle" && ends.map((end, i) => draw("text", {
                x: end[0] / rim + 0.025, y: -end[1] / rim - 0.02
            }, i === 0 ? "die" : String(i))));
    }

    function showCursor() {
        svg.querySelectorAll(".cursor").forEach((old) => old.remove());
        if (at < 0) {
            readout.replaceChildren(...[spec.rest, rim === 1 ? "" : "; the rim is at a reflection of " +
                digitsOf(rim, 3)].flat(Infinity));
            return;
        }
        const {way, step, point} = stops[at];
        svg.append(draw("circle", {class: "cursor", cx: point[0] / rim, cy: -point[1] / rim, r: 0.045}));
        readout.replaceChildren(frequency(way.frequency), ", behind ", stepName(step), ": ",
            reflectionText(point), ", ", impedanceText(point, way.reference));
    }

    function show() {
        stops = spec.ways.flatMap((way) => way.steps.map((step) =>
            ({way: way, step: step, point: lastOf(step.reflection)})));
        at = Math.min(at, stops.length - 1);
        rim = rimOf(spec.ways);
        heading.replaceChildren(make("span", {class: "name"}, spec.title), make("ul", {class: "legend"},
            spec.ways.map((way) => make("li", null, draw("svg", {
                width: 22, height: 14, viewBox: "0 0 22 14", "aria-hidden": "true"
            }, draw("g", {class: "way key " + way.tone}, draw("path", {d: "M0 7H22"}))),
            frequency(way.frequency)))));
        order.replaceChildren(...spec.ways[0].steps.slice(1).map((step) =>
            make("li", null, stepName(step))));
        const middle = spec.ways.filter((way) => way.tone === "middle");
        const others = spec.ways.filter((way) => way.tone !== "middle");
        svg.setAttribute("aria-label", spec.label);
        svg.replaceChildren(
            draw("defs", null, draw("clipPath", {id: id}, draw("circle", {cx: 0, cy: 0, r: 1}))),
            smithGrid(id, rim), draw("g", null, others.concat(middle).map(wayOf)));
        showCursor();
        behind.refresh();
    }

    function moveTo(place) {
        at = place < 0 ? -1 : Math.min(place, stops.length - 1);
        showCursor();
    }

    svg.addEventListener("pointermove", (event) => {
        const box = svg.getBoundingClientRect();
        const scale = 2.16 / Math.min(box.width, box.height);
        const x = (event.clientX - box.left - box.width / 2) * scale * rim;
        const y = -(event.clientY - box.top - box.height / 2) * scale * rim;
        const far = stops.map((stop) => Math.hypot(stop.point[0] - x, stop.point[1] - y));
        const best = nearest(far, 0);
        moveTo(far.length > 0 && far[best] < 0.25 * rim ? best : -1);
    });
    svg.addEventListener("pointerleave", () => moveTo(-1));
    svg.addEventListener("blur", () => moveTo(-1));
    svg.addEventListener("keydown", (event) => stepByKey(event, at, stops.length, moveTo));
    show();
    return {
        node: figure,
        update: whenSeen(figure, (next) => {
            spec = next;
            show();
        })
    };
}

function smithTable(spec) {
    const columns = [{title: "behind"}, {title: "frequency", number: true},
                     {title: "reflection", number: true}, {title: "impedance", number: true}];
    return table("Way of the reflection from the die outwards", columns,
        spec.ways.flatMap((way) => way.steps.map((step) => {
            const point = lastOf(step.reflection);
            return [stepName(step), frequency(way.frequency), reflectionText(point),
                    impedanceText(point, way.reference)];
        })));
}
