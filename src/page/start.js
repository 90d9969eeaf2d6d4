/**
 * Puts the page together.
 */

/** Dark or light as the system has it, until the button says otherwise. */
function startTheme() {
    const button = document.getElementById("theme");
    const wanted = matchMedia("(prefers-color-scheme: dark)");
    function apply(dark) {
        document.documentElement.dataset.theme = dark ? "dark" : "light";
        button.textContent = dark ? "Light" : "Dark";
    }
    button.hidden = false;
    button.addEventListener("click", () =>
        apply(document.documentElement.dataset.theme !== "dark"));
    wanted.addEventListener("change", () => apply(wanted.matches));
    apply(wanted.matches);
}

/** The transition drawn to scale, as the command drew it; cases that are built alike share one. */
function drawings() {
    const parts = Array.from(document.getElementById("drawings").content.children);
    return section("drawing", "What is built where", parts.length > 0 && figures(parts));
}

function about(result) {
    const seeded = result.yield ? ", " + count(result.yield.samples) + " samples, seed " +
        result.seed : "";
    return make("p", null, "Made from ", named(result.file, 100), " by fairlead " + result.command +
        ", version " + result.version + seeded + ".");
}

/** Brings the live model to life, if there is one: the panel comes before the return loss. */
function startLive(data, page, views) {
    if (!data.live)
        return;
    fairleadLive(bytesOf(data.live.wasm), bytesOf(data.live.model)).then((live) => {
        if (live.sizes.length === 0)
            return;
        page.classList.add("live");
        page.insertBefore(turn(live, data, views), document.getElementById("return-loss"));
    }).catch((problem) => page.insertBefore(
        note("Values cannot be turned by hand here: " + problem.message + "."),
        document.getElementById("return-loss")))
        .finally(() => page.setAttribute("data-live", ""));
}

/** On paper nothing can be opened: what was cut short is whole there. */
function startPaper() {
    let opened = [];
    addEventListener("beforeprint", () => {
        opened = Array.from(document.querySelectorAll("details.rest:not([open])"));
        opened.forEach((details) => (details.open = true));
    });
    addEventListener("afterprint", () => opened.forEach((details) => (details.open = false)));
}

function start() {
    const data = JSON.parse(document.getElementById("data").textContent);
    const page = document.getElementById("page");
    const result = data.result;
    const head = verdict(result);
    const returns = lossCharts(data, "return loss");
    const insertions = lossCharts(data, "insertion loss");
    const smiths = smithCharts(data);
    const nodes = (list) => list.map((item) => item.chart.node);
    const production = [histogram(data), yieldCurve(result)].filter(Boolean);
    startTheme();
    startPaper();
    page.replaceChildren(...[
        head, drawings(),
        section("return-loss", "Return loss", returns.length > 0 && figures(nodes(returns)),
            wideCharts(data), leftOutNote(data)),
        section("insertion-loss", "Insertion loss",
            insertions.length > 0 && figures(nodes(insertions))),
        section("smith", "Smith chart", smiths.length > 0 && figures(nodes(smiths))),
        sensitivity(result),
        section("production", "Production",
            production.length > 0 && figures(production.map((item) => item.node))),
        failures(result), budget(data), wafers(result), caseTable(result), values(result), spreads(result),
        cautions(data)
    ].flat(Infinity).filter(Boolean));
    document.getElementById("about").append(about(result));
    startLive(data, page, viewsOf(data, returns, insertions, smiths, {
        show: (turned) => showVerdict(head, turned || result, turned !== null)
    }));
}

start();
