/**
 * node picture.js REPORT PICTURE: the head of a report as the small picture that README shows.
 * Made small by Debian's pngquant:
 *
 *     NODE_PATH=build/page/node_modules node tests/page/picture.js \
 *         build/page/out/absorb/report.html docs/report.png
 *     pngquant --force --ext .png 64 docs/report.png
 */
"use strict";

const path = require("path");
const {launch, open} = require("./open.js");

async function main() {
    const [report, picture] = process.argv.slice(2).map((name) => path.resolve(name));
    const browser = await launch();
    const opened = await open(browser, report, 1400, "light");
    await opened.page.setViewportSize({width: 1400, height: 1280});
    await opened.page.waitForTimeout(800);
    await opened.page.screenshot({path: picture});
    await browser.close();
}

main();
