/* Time of the browser's kernel: a return loss with 20 sections and 201 frequencies, margin and quick
 * yield of the same design.
 *
 *     node tests/bench/live.js KERNEL.wasm NATIVE
 *
 * as tests/kernel/same.js. Prints the best of some runs; a frame has 16 ms. */
"use strict";
const {execFileSync} = require("child_process");
const fs = require("fs");
const os = require("os");
const path = require("path");
const vm = require("vm");

const [wasm, native] = process.argv.slice(2);
const source = path.join(__dirname, "../..");
vm.runInThisContext(fs.readFileSync(path.join(source, "src/page/live.js"), "utf8"));

/** Lines, stubs and lumped elements by turns, every one with a size and a spread. */
function section(i) {
    const spread = {"normal": "2 %", "level": i % 2 ? "die" : "board"};
    const value = (low, high, start) => ({"size": [low, high], "start": start, "spread": spread});
    const name = "part " + i;
    const side = "board";
    switch (i % 4) {
    case 0:
        return {name, side, "kind": "line", "impedance": value("30 ohm", "90 ohm", "50 ohm"),
                "length": "300 um", "permittivity": 3.2, "loss": "0.05 dB/mm"};
    case 1:
        return {name, side, "kind": "series inductor",
                "inductance": value("10 pH", "90 pH", "30 pH"), "quality factor": 40};
    case 2:
        return {name, side, "kind": "shunt capacitor",
                "capacitance": value("2 fF", "40 fF", "12 fF"), "quality factor": 50};
    default:
        return {name, side, "kind": "open stub", "impedance": "60 ohm",
                "length": value("50 um", "400 um", "150 um"), "permittivity": 3.2};
    }
}

function design(points) {
    const path = [];
    for (let i = 0; i < 20; i++)
        path.push(section(i));
    return {
        "fairlead": 1, "title": "20 sections", "band": ["26 GHz", "30 GHz"], "points": points,
        "ports": {"die": {"impedance": "50 ohm"}, "board": {"impedance": "50 ohm"}},
        "require": [{"quantity": "return loss", "port": "board", "at least": "12 dB"}],
        "path": path
    };
}

/** Best time of one call, ms. */
function best(call, runs) {
    let least = Infinity;
    for (let run = 0; run < runs; run++) {
        const before = process.hrtime.bigint();
        call(run);
        least = Math.min(least, Number(process.hrtime.bigint() - before) / 1e6);
    }
    return least.toFixed(3) + " ms";
}

(async () => {
    const folder = fs.mkdtempSync(path.join(os.tmpdir(), "live-"));
    const at = (name) => path.join(folder, name);
    fs.writeFileSync(at("design.json"), JSON.stringify(design(201)));
    execFileSync(native, [at("design.json"), at("live"), at("numbers"), at("saved")]);
    const bytes = new Uint8Array(fs.readFileSync(at("live")));
    const begin = process.hrtime.bigint();
    const live = await fairleadLive(fs.readFileSync(wasm), bytes);
    const opened = Number(process.hrtime.bigint() - begin) / 1e6;
    fs.rmSync(folder, {recursive: true});
    const [size] = live.sizes;
    const turn = (run) =>
        live.set(size.index, size.low + (size.high - size.low) * (run % 10) / 10);
    console.log("kernel        " + fs.statSync(wasm).size + " bytes");
    console.log("opened in     " + opened.toFixed(1) + " ms");
    console.log("first frame   " + best((run) => { turn(run); live.respond(0); }, 1));
    console.log("return loss   " + best((run) => { turn(run); live.respond(0); }, 300));
    console.log("way through   " + best((run) => { turn(run); live.smith(0, 28e9); }, 100));
    console.log("margin        " + best((run) => { turn(run); live.margin(); }, 30));
    console.log("yield of 1000 " + best((run) => { turn(run); live.yield(1000); }, 10));
})();
