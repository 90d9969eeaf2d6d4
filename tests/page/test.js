/**
 * node test.js COMMAND FOLDER: tests all reports that lie below a folder, one line a test.
 */
"use strict";

const fs = require("fs");
const path = require("path");
const checks = require("./checks.js");
const {byHand} = require("./hand.js");
const {launch, open, settle} = require("./open.js");

const [command, folder] = process.argv.slice(2).map((name) => path.resolve(name));
const MOST_BYTES = 600000;
let failed = 0;

function tell(name, wrong) {
    console.log((wrong.length === 0 ? "ok      " : "FAILED  ") + name);
    wrong.forEach((line) => console.log("    " + line));
    failed += wrong.length > 0;
}

/** One report at one width and scheme. */
async function look(browser, name, file, width, scheme) {
    const title = name + " at " + width + ", " + scheme;
    const opened = await open(browser, file, width, scheme);
    const page = opened.page;
    tell(title + ": pictures", await checks.pictures(page));
    tell(title + ": width", await checks.width(page, width));
    if ((width === 1600) === (scheme === "light"))
        tell(title + ": accessibility", await checks.accessibility(page));
    await page.screenshot({path: path.join(folder, name + "-" + width + "-" + scheme + ".png"),
                           fullPage: true});
    if (width === 1600 && scheme === "light")
        await use(page, name, file);
    tell(title + ": nothing said", opened.said);
    await opened.close();
}

/** What a reader does with a report. */
async function use(page, name, file) {
    tell(name + ": sections", await checks.sections(page));
    tell(name + ": reading out", await checks.reading(page));
    if (await page.evaluate(() => JSON.parse(document.getElementById("data").textContent).live))
        tell(name + ": by hand", await byHand(page, command, path.dirname(file)));
    tell(name + ": on paper", await checks.paper(page, path.join(folder, name + ".pdf")));
}

/** Names that are markup elsewhere are words here; so is a title of 10 000 letters. */
async function hostile(browser) {
    const file = path.join(folder, "hostile-size", "report.html");
    const title = JSON.parse(fs.readFileSync(path.join(folder, "hostile", "hostile.json"))).title;
    const long = title + "w".repeat(10000 - title.length);
    const other = path.join(folder, "hostile-size", "report-long.html");
    const escaped = (text) => JSON.stringify(text).slice(1, -1).replace(/[<>&\u2028\u2029]/g, (c) =>
        "\\u" + c.charCodeAt(0).toString(16).padStart(4, "0"));
    const html = fs.readFileSync(file, "utf8");
    const swapped = html.replace(/("title": ")(?:[^"\\]|\\.)*"/, (all, head) =>
        head + escaped(long) + "\"");
    fs.writeFileSync(other, swapped);
    for (const [which, wanted] of [[file, title], [other, long]]) {
        const opened = await open(browser, which, 400, "light");
        const wrong = await opened.page.evaluate((wanted) => {
            const main = document.querySelector("main");
            const heading = main.querySelector("h1").textContent;
            const found = [];
            if (document.title === "taken")
                found.push("a name was run as a script");
            if (main.querySelector("script, img, b"))
                found.push("a name became markup");
            if (!wanted.startsWith(heading.replace(/\u2026$/, "")))
                found.push("the title reads '" + heading + "'");
            if (!main.textContent.includes(wanted))
                found.push("the whole title is nowhere");
            for (const name of ["</script>", "<!--<script>", "\"'`${1}\\", "\ud83d\udce1"])
                if (!main.textContent.includes(name))
                    found.push("no '" + name + "'");
            return found;
        }, wanted);
        tell("hostile names: " + path.basename(which),
            wrong.concat(await checks.width(opened.page, 400), opened.said));
        await opened.close();
    }
}

async function main() {
    const browser = await launch();
    const names = fs.readdirSync(folder)
        .filter((name) => fs.existsSync(path.join(folder, name, "report.html"))).sort();
    tell("there are reports", names.length > 3 ? [] : ["only " + names.join(", ")]);
    for (const name of names) {
        const file = path.join(folder, name, "report.html");
        const bytes = fs.statSync(file).size;
        if (!name.startsWith("hostile-"))
            tell(name + ": size", bytes < MOST_BYTES ? [] : [bytes + " bytes"]);
        for (const width of [1600, 400])
            for (const scheme of ["light", "dark"])
                if (!name.startsWith("hostile-") || (width === 1600) === (scheme === "light"))
                    await look(browser, name, file, width, scheme);
    }
    await hostile(browser);
    await browser.close();
    console.log(failed === 0 ? "all well" : failed + " failed");
    process.exit(failed === 0 ? 0 : 1);
}

main();
