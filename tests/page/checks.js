/**
 * What is looked for in a page. Each check gives a list of what is wrong, empty if all is well.
 */
"use strict";

const axe = require("axe-core");

/** Every picture has something drawn in it, and is as large as a picture should be. */
function pictures(page) {
    return page.evaluate(() => {
        const wrong = [];
        const all = Array.from(document.querySelectorAll("svg.picture, .drawing svg"))
            .filter((svg) => svg.getClientRects().length > 0 && !svg.closest("details:not([open])"));
        if (all.length === 0)
            wrong.push("no picture at all");
        for (const svg of all) {
            const name = (svg.getAttribute("aria-label") || "drawing").slice(0, 60);
            const box = svg.getBoundingClientRect();
            if (box.width < 150 || box.height < 60)
                wrong.push(name + ": " + box.width + " by " + box.height);
            const marks = Array.from(svg.querySelectorAll("path.line, .columns rect, .way path"));
            const full = marks.filter((mark) => mark.tagName === "rect" ||
                (mark.getAttribute("d") || "").length > 20);
            if (svg.classList.contains("picture") && full.length === 0)
                wrong.push(name + ": nothing drawn");
            if (/NaN|Infinity|undefined/.test(svg.outerHTML))
                wrong.push(name + ": a number that is none");
        }
        return wrong;
    });
}

/** What the data have is on the page, and no section is without content. */
function sections(page) {
    return page.evaluate(() => {
        const wrong = [];
        const {result, pictures} = JSON.parse(document.getElementById("data").textContent);
        const drawn = (key) => pictures && pictures[key] && pictures[key].length > 0;
        const wanted = {
            "return-loss": true, "insertion-loss": true,
            "smith": pictures && pictures.cases.some((row) => row.smith.length > 0),
            "sensitivity": result.sensitivity && result.sensitivity.length > 0,
            "production": result.yield,
            "failures": result.yield && result.yield.failures.length > 0,
            "values": result.sized && result.sized.length > 0,
            "spreads": result.quantities && result.quantities.some((row) => row.sigma > 0),
            "cases": result.cases.length > 1, "omitted": drawn("not modelled"), "cautions": true
        };
        for (const [id, there] of Object.entries(wanted))
            if (Boolean(document.getElementById(id)) !== Boolean(there) &&
                !(id === "failures" && document.getElementById(id)))
                wrong.push("section '" + id + "' is " + (there ? "missing" : "there without data"));
        for (const section of document.querySelectorAll("main section"))
            if (section.children.length < 2 || section.textContent.trim().length < 20)
                wrong.push("section '" + section.id + "' is empty");
        for (const text of ["NaN", "undefined", "[object", "Infinity"])
            if (document.querySelector("main").innerText.includes(text))
                wrong.push("the page says '" + text + "'");
        return wrong;
    });
}

/** The pointer and the arrow keys read out values; the table behind has them all. */
async function reading(page) {
    const wrong = [];
    const figure = page.locator("#return-loss figure").first();
    const picture = figure.locator("svg.picture");
    const readout = figure.locator(".readout");
    const before = await readout.innerText();
    const box = await picture.boundingBox();
    await picture.hover({position: {x: box.width / 2, y: box.height / 2}});
    const pointed = await readout.innerText();
    if (pointed === before || !/GHz.*dB/.test(pointed))
        wrong.push("hover says '" + pointed + "'");
    await page.mouse.move(0, 0);
    await picture.focus();
    await page.keyboard.press("End");
    const last = await readout.innerText();
    await page.keyboard.press("ArrowLeft");
    const next = await readout.innerText();
    if (!/GHz.*dB/.test(last) || last === next)
        wrong.push("keys say '" + last + "', then '" + next + "'");
    await page.keyboard.press("Escape");
    if (await readout.innerText() !== before)
        wrong.push("Escape leaves '" + await readout.innerText() + "'");
    const figures = page.locator("figure.chart:visible");
    for (let i = 0; i < await figures.count(); i++) {
        const details = figures.nth(i).locator("details.behind");
        await details.locator("summary").click();
        const second = details.locator("tbody tr").nth(1);
        await second.waitFor({timeout: 3000}).catch(() => wrong.push("no table behind picture " + i));
        await details.locator("summary").click();
    }
    return wrong;
}

function width(page, most) {
    return page.evaluate((most) => {
        const wide = document.documentElement.scrollWidth;
        return wide > most ? ["scrolls sideways: " + wide + " px of " + most] : [];
    }, most);
}

/** Serious findings of the accessibility library. */
async function accessibility(page) {
    await page.evaluate(axe.source);
    const found = await page.evaluate(() => window.axe.run(document, {resultTypes: ["violations"]}));
    return found.violations.filter((row) => row.impact === "serious" || row.impact === "critical")
        .map((row) => row.id + ": " + row.help + " (" + row.nodes.length + "), " +
            row.nodes[0].html.slice(0, 120) + " " + (row.nodes[0].any[0] || {message: ""}).message);
}

/** On A4 no picture is higher or wider than a page, none may be cut, and none is a blank. */
async function paper(page, file) {
    const wrong = [];
    await page.setViewportSize({width: 718, height: 1020});
    await page.emulateMedia({media: "print"});
    wrong.push(...await page.evaluate(() => {
        const bad = [];
        for (const figure of document.querySelectorAll("figure")) {
            const box = figure.getBoundingClientRect();
            if (figure.getClientRects().length === 0)
                continue;
            if (getComputedStyle(figure).breakInside !== "avoid")
                bad.push("a picture may be cut");
            if (box.height > 1020 || box.right > 719 || box.left < -1)
                bad.push("a picture of " + box.width + " by " + box.height + " px");
        }
        for (const control of document.querySelectorAll("button, input"))
            if (control.getClientRects().length > 0)
                bad.push("a control on paper");
        return bad;
    }));
    const pdf = await page.pdf({path: file, format: "A4", margin: {
        top: "13mm", bottom: "13mm", left: "10mm", right: "10mm"
    }});
    if (pdf.length < 20000)
        wrong.push("a PDF of " + pdf.length + " bytes");
    await page.emulateMedia({media: null});
    return wrong;
}

module.exports = {pictures, sections, reading, width, accessibility, paper};
