/**
 * Turning by hand: sliders move curve and verdict, locks hold, and the saved design has the same
 * margin when the command reads it.
 */
"use strict";

const {execFileSync} = require("child_process");
const fs = require("fs");
const path = require("path");

/** What the page shows now; pictures follow the hand only where they are seen. */
async function shown(page) {
    const lines = async (section, which) => {
        await page.locator(section).first().scrollIntoViewIfNeeded();
        await page.waitForTimeout(300);
        return page.evaluate((which) => Array.from(document.querySelectorAll(which))
            .slice(0, 3).map((line) => line.getAttribute("d")).join(), section + " " + which);
    };
    return {
        sentence: await page.locator("#sentence").innerText(),
        chosen: await page.locator(".chosen").innerText(),
        curve: await lines("#return-loss figure:first-child", ".line.turned"),
        way: await lines("#smith figure:first-child", "svg.smith .way path"),
        margin: await page.locator("#turn .tile strong").first().innerText()
    };
}

/** Margin of a design, as the command says it. */
function marginOf(command, file) {
    let text;
    try {
        text = execFileSync(command, ["response", file, "--json", "--quiet"]).toString();
    } catch (problem) {
        if (problem.status !== 1)
            throw problem;
        text = problem.stdout.toString();
    }
    return JSON.parse(text)["margin dB"];
}

async function locks(page) {
    return page.evaluate(() => Array.from(document.querySelectorAll("#turn .side")).flatMap((side) => {
        const free = /^Board/.test(side.querySelector("h3").textContent);
        return Array.from(side.querySelectorAll("input"))
            .filter((input) => input.disabled === free)
            .map((input) => input.getAttribute("aria-label") + " is " + (free ? "locked" : "free"));
    }));
}

/** Moves every value off its place, as a reader does with keys; the last by its number box. */
async function move(page) {
    for (const button of await page.locator("#turn .lock").all())
        if (/^Unlock/.test(await button.innerText()))
            await button.click();
    const sliders = await page.locator("#turn input[type=range]").all();
    for (const [i, slider] of sliders.entries()) {
        const [at, most] = await slider.evaluate((input) => [Number(input.value), Number(input.max)]);
        await slider.focus();
        for (let k = 0; k < 1 + i % 3; k++)
            await page.keyboard.press(at > most / 2 ? "ArrowLeft" : "ArrowRight");
    }
    await page.waitForTimeout(700);
}

async function byHand(page, command, folder) {
    const wrong = await locks(page);
    const before = await shown(page);
    await move(page);
    const after = await shown(page);
    for (const key of Object.keys(before))
        if (before[key] === after[key])
            wrong.push("the " + key + " stays as it was");
    if (!/^By hand/.test(after.sentence))
        wrong.push("the verdict does not say that it is by hand");
    const [download] = await Promise.all([page.waitForEvent("download"),
        page.getByRole("button", {name: "Save design"}).click()]);
    const saved = path.join(folder, download.suggestedFilename());
    await download.saveAs(saved);
    const margin = marginOf(command, saved);
    const live = await page.evaluate(async (text) => {
        const data = JSON.parse(document.getElementById("data").textContent);
        const live = await fairleadLive(bytesOf(data.live.wasm), bytesOf(data.live.model));
        for (const size of live.sizes) {
            const label = ownedText(size);
            const box = Array.from(document.querySelectorAll("#turn input[type=number]")).find(
                (input) => input.getAttribute("aria-label").split(" in ")[0] === label);
            live.set(size.index, Number(box.value) * (size.unit ? prefixOf(size.high)[0] : 1));
        }
        return live.margin().marginDb;
    });
    /* What needs a solver travels as fits, which are good to 0.1 %: so near, and no nearer. */
    if (!(Math.abs(margin - live) < 1e-3))
        wrong.push("saved: the command says " + margin + " dB, the page " + live + " dB");
    if (!(Math.abs(margin - parseFloat(after.margin.replace("\u2212", "-"))) < 0.0051))
        wrong.push("saved: the command says " + margin + " dB, the page shows " + after.margin);
    await page.getByRole("button", {name: "Reset"}).click();
    await page.waitForTimeout(700);
    const again = await shown(page);
    if (again.sentence !== before.sentence || again.curve !== "" || again.margin !== before.margin)
        wrong.push("reset does not bring the design back");
    fs.unlinkSync(saved);
    return wrong;
}

module.exports = {byHand: byHand};
