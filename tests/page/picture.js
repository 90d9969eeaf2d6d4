/**
 * node picture.js REPORT PICTURE: the head of a report as the small picture that README shows.
 *
 *     NODE_PATH=build/page/node_modules node tests/page/picture.js \
 *         build/page/out/absorb/report.html docs/report.png
 */
"use strict";

const path = require("path");
const {launch, open} = require("./open.js");

async function main() {
    const [report, picture] = process.argv.slice(2).map((name) => path.resolve(name));
    const browser = await launch();
    const opened = await open(browser, report, 1280, "light");
    await opened.page.setViewportSize({width: 1280, height: 1100});
    await opened.page.waitForTimeout(300);
    await opened.page.screenshot({path: picture});
    await browser.close();
}

main();
