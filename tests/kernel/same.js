/* The browser's kernel against the same engine of this machine and against the command.
 *
 *     node same.js KERNEL NATIVE FAIRLEAD SCRATCH DESIGN...
 *
 * NATIVE is tests/kernel/native. For each design: all numbers of both kernels agree to 1e-9, also
 * after sizes were moved; both save the same design; and the command, which solves what the kernel
 * has fitted, says of the saved design the same to within the fits. */
"use strict";
const {execFileSync, spawnSync} = require("child_process");
const fs = require("fs");
const path = require("path");
const vm = require("vm");
const zlib = require("zlib");

const [wasm, native, command, scratch, ...designs] = process.argv.slice(2);
const source = path.join(__dirname, "../..");
const script = fs.readFileSync(path.join(source, "src/page/live.js"), "utf8");
vm.runInThisContext(script, {filename: "live.js"});

let failed = 0;
let compared = 0;
let greatest = 0;

function check(condition, what) {
    compared++;
    if (condition)
        return;
    failed++;
    console.error(what);
}

/** Against the native kernel: relative to the number or to one. */
function near(wanted, got, tolerance, what) {
    const off = Math.abs(wanted - got) / Math.max(1, Math.abs(wanted));
    greatest = Math.max(greatest, off);
    check(off <= tolerance, what + ": wanted " + wanted + ", got " + got);
}

function allNear(wanted, got, what) {
    check(wanted.length === got.length, what + ": wanted " + wanted.length + " numbers, got " +
          got.length);
    wanted.forEach((number, i) => near(number, got[i], 1e-9, what + " [" + i + "]"));
}

/** As native.c moves them. */
function move(live, place) {
    live.sizes.forEach((size, i) => {
        const share = ((7 * i + 3 * place) % 10 + 1) / 11;
        if (place > 0)
            live.set(size.index, size.low + share * (size.high - size.low));
    });
}

function flatMargin(margin) {
    if (margin === null)
        return [];
    const numbers = [margin.caseIndex];
    for (const one of margin.cases)
        numbers.push(one.marginDb, Number(one.met), one.requirement, one.frequency, one.valueDb);
    return numbers;
}

function flatYield(counts) {
    if (counts === null)
        return [];
    return [counts.samples, counts.passed, counts.notPhysical, counts.outside, counts.estimate,
            counts.low, counts.high].concat(counts.cases.map((one) => one.passed));
}

function flatResponse(response) {
    if (response === null)
        return [];
    return [...response.frequency, ...response.returnLossDb, ...response.insertionLossDb];
}

function compareNative(live, wanted, name) {
    const what = name + ", place " + wanted.place + ": ";
    live.sizes.forEach((size, i) =>
        near(wanted["size " + i][0], live.get(size.index), 0, what + size.name));
    live.cases.forEach((label, i) => {
        allNear(wanted["respond " + i], flatResponse(live.respond(i)), what + "response " + label);
        (live.smith(i, live.requirements[0].low) || []).forEach((step, k) =>
            allNear(wanted["smith " + i + " " + k], step.reflection.flat(),
                    what + "way through '" + step.section + "' " + label));
    });
    allNear(wanted.margin, flatMargin(live.margin()), what + "margin");
    allNear(wanted.yield, flatYield(live.samples > 0 ? live.yield(1000) : null), what + "yield");
}

function run(verb, file, more) {
    const done = spawnSync(command, [verb, file, "--json", "--quiet", ...more],
                           {encoding: "utf8", maxBuffer: 1 << 28});
    if (done.status !== 0 && done.status !== 1)
        throw new Error("fairlead " + verb + " " + file + ": " + done.stderr);
    return JSON.parse(done.stdout);
}

/** Size of the reflection: what errors of fits move in proportion. */
const reflection = (lossDb) => Math.pow(10, -lossDb / 20);

/** Fits are good to 1e-4 and better; without any only rounding is left. */
function compareCommand(live, file, name, fitted) {
    const tolerance = fitted ? 2e-4 : 1e-9;
    const port = live.returnLossPort === "die" ? "s11" : "s22";
    const result = run("response", file, []);
    result.cases.forEach((one, i) => {
        const got = live.respond(i);
        const parameters = one.response[port];
        got.returnLossDb.forEach((loss, k) => near(
            Math.hypot(...parameters[k]), reflection(loss), tolerance, name + ": command, " + k));
    });
    near(result["margin dB"], live.margin().marginDb, fitted ? 0.02 : 1e-9,
         name + ": margin of the command");
    if (live.samples === 0)
        return;
    const counts = run("yield", file, ["--samples", "1000"]).yield;
    const passed = live.yield(1000).passed;
    check(Math.abs(counts.passed - passed) <= (fitted ? 2 : 0),
          name + ": wanted " + counts.passed + " of the command to pass, got " + passed);
}

async function compare(file) {
    const name = path.basename(file, ".json");
    const at = (end) => path.join(scratch, name + end);
    execFileSync(native, [file, at(".live"), at(".numbers"), at(".saved")]);
    const bytes = new Uint8Array(fs.readFileSync(at(".live")));
    const live = await fairleadLive(fs.readFileSync(wasm), bytes);
    const fitted = name !== "turned";
    compareCommand(live, file, name, fitted);
    for (const wanted of JSON.parse(fs.readFileSync(at(".numbers"), "utf8").replace(/,\n]/g, "]"))) {
        move(live, wanted.place);
        compareNative(live, wanted, name);
    }
    const saved = live.save();
    check(saved === fs.readFileSync(at(".saved"), "utf8"), name + ": saved designs differ");
    const beside = path.join(path.dirname(file), "." + name + "-" + process.pid + ".json");
    fs.writeFileSync(beside, saved);
    try {
        compareCommand(live, beside, name + ", saved", fitted);
    } finally {
        fs.unlinkSync(beside);
    }
    live.reset();
    live.sizes.forEach((size) => check(live.get(size.index) === size.value, "reset"));
    console.log(name + ": " + bytes.length + " bytes, " + live.sizes.length + " sizes");
}

async function damaged() {
    const bytes = new Uint8Array(fs.readFileSync(path.join(
        scratch, path.basename(designs[0], ".json") + ".live")));
    for (const spoil of [(b) => b.subarray(0, 100), (b) => b.fill(7, 50, 51), (b) => b.subarray(1)])
        await fairleadLive(fs.readFileSync(wasm), spoil(bytes.slice())).then(
            () => check(false, "damaged bytes were opened"),
            (error) => check(/live model/.test(error.message), "message: " + error.message));
}

(async () => {
    const bytes = fs.readFileSync(wasm);
    const plain = bytes[0] === 0x1f ? zlib.gunzipSync(bytes) : bytes;
    const imports = WebAssembly.Module.imports(new WebAssembly.Module(plain));
    check(imports.length === 0, "the kernel asks for " + JSON.stringify(imports));
    for (const file of designs)
        await compare(file);
    await damaged();
    console.log(compared + " comparisons, " + failed + " failed, greatest difference " + greatest);
    process.exit(failed > 0 ? 1 : 0);
})();
