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

function about(result) {
    const seeded = result.yield ? ", " + count(result.yield.samples) + " samples, seed " +
        result.seed : "";
    return make("p", null, "Made from ", named(result.file, 100), " by fairlead " + result.command +
        ", version " + result.version + seeded + ".");
}

function start() {
    const data = JSON.parse(document.getElementById("data").textContent);
    const page = document.getElementById("page");
    const result = data.result;
    const returns = lossCharts(data, "return loss");
    const insertions = lossCharts(data, "insertion loss");
    const smiths = smithCharts(data);
    const nodes = (list) => list.map((item) => item.chart.node);
    const production = [histogram(data), yieldCurve(result)].filter(Boolean);
    startTheme();
    page.replaceChildren(...[
        verdict(result),
        returns.length > 0 && section("return-loss", "Return loss", figures(nodes(returns)),
            wideCharts(data), leftOutNote(data)),
        insertions.length > 0 && section("insertion-loss", "Insertion loss",
            figures(nodes(insertions))),
        smiths.length > 0 && section("smith", "Smith chart", figures(nodes(smiths))),
        sensitivity(result),
        production.length > 0 && section("production", "Production",
            figures(production.map((item) => item.node))),
        failures(result), budget(data), caseTable(result), values(result), spreads(result),
        cautions(data)
    ].flat(Infinity).filter(Boolean));
    document.getElementById("about").append(about(result));
}

start();
