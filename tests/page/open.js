/**
 * A browser that opens files with the network off, and tells what went wrong in them.
 */
"use strict";

const {chromium} = require("playwright-core");

const FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
               "--disable-background-networking", "--disable-sync"];

function launch() {
    return chromium.launch({executablePath: process.env.CHROMIUM || "/usr/bin/chromium", args: FLAGS});
}

/** Opens a file; said: all that the console, the page and the network had to say. */
async function open(browser, file, width, scheme) {
    const context = await browser.newContext({
        viewport: {width: width, height: 900}, colorScheme: scheme, offline: true,
        acceptDownloads: true, reducedMotion: "reduce"
    });
    const page = await context.newPage();
    const said = [];
    page.on("console", (message) => said.push(message.type() + ": " + message.text()));
    page.on("pageerror", (error) => said.push("error: " + error.message));
    page.on("request", (request) => {
        if (!/^(file:\/\/\/.*report[^/]*\.html$|blob:)/.test(request.url()))
            said.push("request: " + request.url());
    });
    await page.goto("file://" + file);
    await settle(page);
    return {page: page, said: said, close: () => context.close()};
}

/** Waits until the page has drawn itself, the live model too. */
async function settle(page) {
    await page.waitForFunction(() => {
        const pictures = Array.from(document.querySelectorAll("svg.picture"));
        const live = JSON.parse(document.getElementById("data").textContent).live;
        return pictures.every((picture) => picture.closest("details:not([open])") ||
            picture.childElementCount > 0) &&
            (!live || document.querySelector("main[data-live]")) &&
            (!document.getElementById("turn") || document.querySelector("#turn svg.picture"));
    }, null, {timeout: 20000});
    await page.waitForTimeout(150);
}

module.exports = {launch: launch, open: open, settle: settle};
