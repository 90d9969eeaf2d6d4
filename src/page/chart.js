/**
 * The one kind of chart: a frame with two axes, layers in it, and a cursor that reads out values by
 * pointer and by arrow keys.
 *
 * A spec has
 *
 *     title, label   fragments above the chart; what a screen reader says of it
 *     height         in pixels
 *     x, y           {domain: [low, high], title, format}
 *     layers         [{kind, name, tone, ...}] drawn in order; those with a name are in the legend:
 *                      area {xs, low, high}, line {xs, ys}, columns {xs, step, ys},
 *                      limit {from, to, value, atLeast} what is not allowed is hatched,
 *                      span {from, to}, mark {x, text, row or low}, dot {x, y}
 *     stops          x of the places that the cursor can take
 *     read(i)        fragments told at such a place; rest: those told without a cursor
 *     table()        the numbers as a table
 */

const MARGIN = {top: 20, right: 14, bottom: 38, left: 46};
let drawnCharts = 0;

function lineOf(layer, x, y) {
    const path = d3.line().defined((v) => isNumber(v)).x((v, i) => x(layer.xs[i])).y((v) => y(v));
    return draw("path", {class: "line " + layer.tone, d: path(layer.ys) || "M0 0"});
}

function areaOf(layer, x, y) {
    const path = d3.area().defined((v, i) => isNumber(v) && isNumber(layer.high[i]))
        .x((v, i) => x(layer.xs[i])).y0((v) => y(v)).y1((v, i) => y(layer.high[i]));
    return draw("path", {class: "area " + layer.tone, d: path(layer.low) || "M0 0"});
}

function columnsOf(layer, x, y) {
    const width = Math.max(0.5, x(layer.xs[0] + layer.step) - x(layer.xs[0]) - 1);
    return draw("g", {class: "columns " + layer.tone}, layer.ys.map((v, i) => draw("rect", {
        x: x(layer.xs[i]), y: y(v), width: width, height: Math.max(0, y(0) - y(v))
    })));
}

/** The side that is not allowed is hatched, so that a limit is not told by its colour alone. */
function limitOf(layer, x, y, hatch) {
    const [left, right] = [layer.from, layer.to].map((v) => clamp(x(v), x.range()));
    const at = clamp(y(layer.value), y.range());
    const far = layer.atLeast ? y.range()[0] : y.range()[1];
    return draw("g", {class: "limit"},
        draw("rect", {
            x: left, width: Math.max(0, right - left), y: Math.min(at, far),
            height: Math.abs(far - at), fill: "url(#" + hatch + ")"
        }),
        draw("line", {x1: left, x2: right, y1: at, y2: at}));
}

function spanOf(layer, x, y) {
    const [left, right] = [layer.from, layer.to].map((v) => clamp(x(v), x.range()));
    return draw("rect", {
        class: "span", x: left, width: Math.max(0, right - left), y: y.range()[1],
        height: y.range()[0] - y.range()[1]
    });
}

/** A label at the top of a line, turned to the side where there is room. */
function markOf(layer, x, y) {
    const [low, high] = x.domain();
    if (layer.x < low || layer.x > high)
        return null;
    const late = layer.x > (low + high) / 2;
    return draw("g", {class: "mark " + layer.tone},
        draw("line", {x1: x(layer.x), x2: x(layer.x), y1: y.range()[0], y2: y.range()[1]}),
        draw("text", {
            x: x(layer.x) + (late ? -4 : 4),
            y: layer.low ? y.range()[0] - 7 : y.range()[1] + 12 + 14 * (layer.row || 0),
            "text-anchor": late ? "end" : "start"
        }, layer.text));
}

function clamp(value, ends) {
    return Math.min(Math.max(value, Math.min(...ends)), Math.max(...ends));
}

function layerOf(layer, x, y, hatch) {
    switch (layer.kind) {
    case "area": return areaOf(layer, x, y);
    case "line": return lineOf(layer, x, y);
    case "columns": return columnsOf(layer, x, y);
    case "limit": return limitOf(layer, x, y, hatch);
    case "span": return spanOf(layer, x, y);
    case "mark": return markOf(layer, x, y);
    default: return draw("circle", {class: "dot " + layer.tone, cx: x(layer.x), cy: y(layer.y), r: 4});
    }
}

/** What a layer looks like, small. */
function keyOf(layer) {
    const swatch = {
        area: () => draw("rect", {class: "area " + layer.tone, y: 2, width: 22, height: 10}),
        columns: () => draw("rect", {class: "area " + layer.tone, y: 2, width: 22, height: 10}),
        limit: () => draw("g", {class: "limit"}, draw("line", {x1: 0, x2: 22, y1: 7, y2: 7})),
        span: () => draw("rect", {class: "span", y: 2, width: 22, height: 10})
    }[layer.kind] || (() => draw("path", {class: "line " + layer.tone, d: "M0 7H22"}));
    return make("li", null, draw("svg", {
        width: 22, height: 14, viewBox: "0 0 22 14", "aria-hidden": "true"
    }, swatch()), layer.name);
}

function legendOf(layers) {
    const named = layers.filter((layer) => layer.name);
    return make("ul", {class: "legend"}, named.map(keyOf));
}

/** Axes with their grid, by the chart library. */
function addAxes(svg, spec, x, y, width, height) {
    const across = Math.max(3, Math.min(8, Math.floor(width / 85)));
    const up = Math.max(3, Math.min(7, Math.floor(height / 36)));
    const group = (name, move) => {
        const g = draw("g", {class: "axis " + name, transform: move, "aria-hidden": "true"});
        svg.append(g);
        return d3.select(g);
    };
    group("x", "translate(0," + (height - MARGIN.bottom) + ")").call(d3.axisBottom(x)
        .ticks(across).tickFormat(spec.x.format || null).tickPadding(7)
        .tickSize(-(height - MARGIN.top - MARGIN.bottom)));
    group("y", "translate(" + MARGIN.left + ",0)").call(d3.axisLeft(y)
        .ticks(up).tickFormat(spec.y.format || null).tickPadding(6)
        .tickSize(-(width - MARGIN.left - MARGIN.right)));
    svg.append(
        draw("text", {class: "unit", x: width - MARGIN.right, y: height - 4, "text-anchor": "end"},
            spec.x.title),
        draw("text", {class: "unit", x: MARGIN.left - 6, y: 11, "text-anchor": "end"}, spec.y.title));
}

/** A figure that draws itself as wide as it is given room, and anew when its spec changes. */
function chart(first) {
    const id = "chart" + ++drawnCharts;
    const svg = draw("svg", {class: "picture", role: "img", tabindex: "0"});
    const heading = make("figcaption", null);
    const readout = make("p", {class: "readout", "aria-live": "polite"});
    const behind = tableBehind(() => spec.table());
    const figure = make("figure", {class: "chart"}, heading, svg, readout, behind.node);
    let spec = first, x = null, y = null, at = -1, width = 0;

    /** The lines of the cursor, over all else. */
    function showCursor() {
        svg.querySelectorAll(".cursor").forEach((old) => old.remove());
        readout.replaceChildren(...[at < 0 ? spec.rest || "" : spec.read(at)].flat(Infinity));
        if (at < 0 || !x)
            return;
        const cursor = draw("g", {class: "cursor"}, draw("line", {
            x1: x(spec.stops[at]), x2: x(spec.stops[at]), y1: y.range()[0], y2: y.range()[1]
        }));
        for (const layer of spec.layers)
            if (layer.kind === "line" && isNumber(layer.ys[layer.xs.indexOf(spec.stops[at])]))
                cursor.append(draw("circle", {
                    class: "dot " + layer.tone, r: 3.5, cx: x(spec.stops[at]),
                    cy: clamp(y(layer.ys[layer.xs.indexOf(spec.stops[at])]), y.range())
                }));
        svg.append(cursor);
    }

    function redraw() {
        const height = spec.height || 280;
        if (width === 0)
            return;
        x = d3.scaleLinear().domain(spec.x.domain).range([MARGIN.left, width - MARGIN.right]);
        y = d3.scaleLinear().domain(spec.y.domain).range([height - MARGIN.bottom, MARGIN.top]);
        fill(svg, {
            viewBox: "0 0 " + width + " " + height, width: width, height: height,
            "aria-label": spec.label
        }, []);
        const hatch = id + "hatch";
        svg.replaceChildren(draw("defs", null,
            draw("clipPath", {id: id + "clip"}, draw("rect", {
                x: MARGIN.left, y: MARGIN.top, width: Math.max(0, width - MARGIN.left - MARGIN.right),
                height: height - MARGIN.top - MARGIN.bottom
            })),
            draw("pattern", {
                id: hatch, width: 8, height: 8, patternUnits: "userSpaceOnUse",
                patternTransform: "rotate(45)"
            }, draw("line", {class: "hatch", x1: 0, x2: 0, y1: 0, y2: 8}))));
        addAxes(svg, spec, x, y, width, height);
        svg.append(draw("g", {"clip-path": "url(#" + id + "clip)"},
            spec.layers.map((layer) => layerOf(layer, x, y, hatch))));
        showCursor();
    }

    function show() {
        heading.replaceChildren(make("span", {class: "name"}, spec.title), legendOf(spec.layers));
        at = Math.min(at, spec.stops.length - 1);
        redraw();
        showCursor();
        behind.refresh();
    }

    const update = whenSeen(figure, (next) => {
        spec = next;
        show();
    });

    function moveTo(place) {
        at = place < 0 ? -1 : Math.min(place, spec.stops.length - 1);
        showCursor();
    }

    svg.addEventListener("pointermove", (event) => {
        const box = svg.getBoundingClientRect();
        if (x && spec.stops.length > 0)
            moveTo(nearest(spec.stops, x.invert((event.clientX - box.left) * width / box.width)));
    });
    svg.addEventListener("pointerleave", () => moveTo(-1));
    svg.addEventListener("blur", () => moveTo(-1));
    svg.addEventListener("keydown", (event) => stepByKey(event, at, spec.stops.length, moveTo));
    watchWidth(figure, (room) => {
        width = room;
        redraw();
    });
    show();
    return {node: figure, update: update};
}

/** A function that waits with its latest argument until the element is to be seen: what moves while
 * a hand turns a value must fit into a frame. */
function whenSeen(element, act) {
    let seen = true, waiting = null;
    function now() {
        const latest = waiting;
        waiting = null;
        if (latest)
            act(latest);
    }
    new IntersectionObserver((entries) => {
        seen = lastOf(entries).isIntersecting;
        if (seen)
            now();
    }, {rootMargin: "200px"}).observe(element);
    addEventListener("beforeprint", now);
    return (argument) => {
        waiting = argument;
        if (seen)
            now();
    };
}

function lastOf(list) {
    return list[list.length - 1];
}

function nearest(values, wanted) {
    let best = 0;
    values.forEach((value, i) => {
        if (Math.abs(value - wanted) < Math.abs(values[best] - wanted))
            best = i;
    });
    return best;
}

/** Arrows, Home, End, and Escape to leave. */
function stepByKey(event, at, total, moveTo) {
    const step = event.shiftKey ? 10 : 1;
    const places = {
        ArrowRight: at + step, ArrowLeft: Math.max(at - step, 0), Home: 0, End: total - 1, Escape: -1
    };
    if (!(event.key in places) || total === 0)
        return;
    event.preventDefault();
    moveTo(places[event.key]);
}

/** Calls back with the width of an element, now and whenever it changes. */
function watchWidth(element, tell) {
    let known = 0;
    function look() {
        const room = Math.floor(element.clientWidth);
        if (room > 0 && room !== known)
            tell(known = room);
    }
    new ResizeObserver(() => requestAnimationFrame(look)).observe(element);
}
