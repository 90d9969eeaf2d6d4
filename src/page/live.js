/**
 * The live model of a report: the engine itself, compiled to WebAssembly, over the design that
 * travels with the page. Nothing is computed in this file; it only carries numbers in and out.
 *
 *     fairleadLive(wasmBytes, modelBytes) -> Promise of a live model
 *
 * Both arguments are Uint8Arrays, the first also packed by gzip. The promise is rejected, with a
 * message in plain words, when the browser has no WebAssembly or the bytes are damaged. Numbers are
 * in SI units (F, H, m, ohm, Hz), losses and margins in dB. A live model has:
 *
 *   sizes         [{name, case, index, unit, low, high, grid, value, side}] the quantities that may
 *                 be moved. `case` is the case a value is for, or null; `index` is what `set` takes;
 *                 `grid` is the process step, counted from 0, or 0; `value` is what the design has
 *                 (see `get` for the present one); `side` is "die", "package" or "board".
 *   cases         [name, ...] in the order of caseIndex.
 *   requirements  [{asked, port, atLeast, limitDb, weight, low, high, implied}] `asked` is "return
 *                 loss", "insertion loss" or "rejection"; `low` and `high` are its band; an implied
 *                 one has no limit.
 *   samples       samples of a quick yield, unless others are asked for; 0: nothing has a spread.
 *   reference     ohm, of the reflections of `smith`.
 *   returnLossPort  "board" or "die": the port whose return loss `respond` tells.
 *
 *   get(index)            the present value of a size.
 *   set(index, value)     moves a size. A value out of its range is taken to the end of it; it is
 *                         not placed on the grid. Returns the value taken.
 *   reset()               all sizes as the design has them.
 *   respond(caseIndex, frequencies)
 *                         -> {frequency, returnLossDb, insertionLossDb}, Float64Arrays. Without
 *                         frequencies at the design's own points over its band. null when the values
 *                         make no physical response.
 *   margin()              -> {marginDb, met, caseIndex, requirement, frequency, valueDb, cases:
 *                         [{marginDb, met, requirement, frequency, valueDb}]} the smallest margin
 *                         over the continuous bands, of all and of each case, and where it is;
 *                         `requirement` is an index. null as above.
 *   smith(caseIndex, frequency)
 *                         -> [{section, reflection: [[re, im], ...]}] from the die on: reflection
 *                         as seen towards the die behind the section, the first entry (section "")
 *                         being the die port by itself; points of a line lie along it. null as
 *                         above.
 *   yield(samples)        -> {samples, passed, notPhysical, outside, estimate, low, high, cases:
 *                         [{passed, estimate}]} of production about the present values, with the
 *                         draws of the design's seed and its confidence; `outside` were farther off
 *                         than the fits reach and count as failed. null when nothing has a spread.
 *   save()                the design file as text, with the present values as starts.
 */
"use strict";

function fairleadLive(wasmBytes, modelBytes) {
    const utf8 = new TextDecoder();

    /** A text of the kernel, or null. */
    function textAt(kernel, pointer, length) {
        if (!pointer)
            return null;
        const bytes = new Uint8Array(kernel.memory.buffer, pointer);
        const end = length === undefined ? bytes.indexOf(0) : length;
        return utf8.decode(bytes.subarray(0, end));
    }

    /** A copy of count numbers of the kernel: its memory may move with the next call. */
    function numbersAt(kernel, pointer, count) {
        return new Float64Array(kernel.memory.buffer, pointer, count).slice();
    }

    function open(kernel) {
        const room = kernel.fl_kernel_take(modelBytes.length);
        if (!room)
            throw new Error("out of memory");
        new Uint8Array(kernel.memory.buffer, room, modelBytes.length).set(modelBytes);
        const handle = kernel.fl_kernel_open(room, modelBytes.length);
        kernel.fl_kernel_give(room);
        if (!handle)
            throw new Error("out of memory");
        const problem = textAt(kernel, kernel.fl_kernel_problem(handle));
        if (problem !== null)
            throw new Error(problem);
        return handle;
    }

    /** Of each size texts, then numbers, in the order of the kernel's. */
    function sizesOf(kernel, handle) {
        const sizes = [];
        for (let i = 0; i < kernel.fl_kernel_sizes(handle); i++) {
            const text = (which) => textAt(kernel, kernel.fl_kernel_size_text(handle, i, which));
            const number = (which) => kernel.fl_kernel_size_number(handle, i, which);
            sizes.push({
                name: text(0), case: text(1), unit: text(2), side: text(3), index: number(0),
                low: number(1), high: number(2), grid: number(3), value: number(4)
            });
        }
        return sizes;
    }

    function casesOf(kernel, handle) {
        const cases = [];
        for (let i = 0; i < kernel.fl_kernel_cases(handle); i++)
            cases.push(textAt(kernel, kernel.fl_kernel_case(handle, i)));
        return cases;
    }

    function requirementsOf(kernel, handle) {
        const requirements = [];
        for (let i = 0; i < kernel.fl_kernel_requirements(handle); i++) {
            const text = (which) =>
                textAt(kernel, kernel.fl_kernel_requirement_text(handle, i, which));
            const number = (which) => kernel.fl_kernel_requirement_number(handle, i, which);
            requirements.push({
                asked: text(0), port: text(1), atLeast: number(0) !== 0, limitDb: number(1),
                weight: number(2), low: number(3), high: number(4), implied: number(5) !== 0
            });
        }
        return requirements;
    }

    function worstAt(numbers, at) {
        return {
            marginDb: numbers[at], met: numbers[at + 1] !== 0, requirement: numbers[at + 2],
            frequency: numbers[at + 3], valueDb: numbers[at + 4]
        };
    }

    function live(kernel) {
        const handle = open(kernel);
        const cases = casesOf(kernel, handle);
        const results = (count) => numbersAt(kernel, kernel.fl_kernel_results(handle), count);

        /** Puts frequencies into the kernel; returns how many there are. */
        function look(frequencies) {
            if (frequencies === undefined)
                return kernel.fl_kernel_look_at_band(handle);
            const pointer = kernel.fl_kernel_look_at(handle, frequencies.length);
            if (!pointer)
                return 0;
            new Float64Array(kernel.memory.buffer, pointer, frequencies.length).set(frequencies);
            return frequencies.length;
        }

        function respond(caseIndex, frequencies) {
            const count = look(frequencies);
            if (!kernel.fl_kernel_respond(handle, caseIndex))
                return null;
            const numbers = results(3 * count);
            return {
                frequency: numbers.subarray(0, count),
                returnLossDb: numbers.subarray(count, 2 * count),
                insertionLossDb: numbers.subarray(2 * count)
            };
        }

        function margin() {
            if (!kernel.fl_kernel_margin(handle))
                return null;
            const numbers = results(1 + 5 * cases.length);
            const each = cases.map((name, i) => worstAt(numbers, 1 + 5 * i));
            return Object.assign({}, each[numbers[0]], {
                caseIndex: numbers[0], cases: each, met: each.every((one) => one.met)
            });
        }

        function smith(caseIndex, frequency) {
            const steps = [];
            const count = kernel.fl_kernel_smith(handle, caseIndex, frequency);
            if (count === 0)
                return null;
            for (let i = 0; i < count; i++) {
                const numbers = numbersAt(kernel, kernel.fl_kernel_step_points(handle, i),
                                          2 * kernel.fl_kernel_step_length(handle, i));
                const reflection = [];
                for (let k = 0; k < numbers.length; k += 2)
                    reflection.push([numbers[k], numbers[k + 1]]);
                steps.push({
                    section: textAt(kernel, kernel.fl_kernel_step_section(handle, i)),
                    reflection: reflection
                });
            }
            return steps;
        }

        function yieldOf(samples) {
            const asked = samples === undefined ? kernel.fl_kernel_samples(handle) : samples;
            if (!kernel.fl_kernel_yield(handle, asked))
                return null;
            const numbers = results(7 + cases.length);
            return {
                samples: numbers[0], passed: numbers[1], notPhysical: numbers[2],
                outside: numbers[3], estimate: numbers[4], low: numbers[5], high: numbers[6],
                cases: cases.map((name, i) => (
                    {passed: numbers[7 + i], estimate: numbers[7 + i] / numbers[0]}))
            };
        }

        function save() {
            const pointer = kernel.fl_kernel_save(handle);
            if (!pointer)
                throw new Error("out of memory");
            return textAt(kernel, pointer, kernel.fl_kernel_saved_length(handle));
        }

        return {
            sizes: sizesOf(kernel, handle),
            cases: cases,
            requirements: requirementsOf(kernel, handle),
            samples: kernel.fl_kernel_samples(handle),
            reference: kernel.fl_kernel_reference(handle),
            returnLossPort: textAt(kernel, kernel.fl_kernel_port(handle)),
            get: (index) => kernel.fl_kernel_value(handle, index),
            set: (index, value) => kernel.fl_kernel_set(handle, index, value),
            reset: () => kernel.fl_kernel_reset(handle),
            respond: respond,
            margin: margin,
            smith: smith,
            yield: yieldOf,
            save: save
        };
    }

    /** The kernel comes as it is or packed by gzip. */
    function unpack(bytes) {
        if (bytes[0] !== 0x1f || bytes[1] !== 0x8b)
            return Promise.resolve(bytes);
        if (typeof DecompressionStream === "undefined")
            return Promise.reject(new Error("this browser cannot unpack the kernel"));
        const unpacked = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
        return new Response(unpacked).arrayBuffer();
    }

    if (typeof WebAssembly === "undefined")
        return Promise.reject(new Error("this browser has no WebAssembly"));
    return unpack(wasmBytes)
        .then((bytes) => WebAssembly.instantiate(bytes, {}))
        .then((made) => live(made.instance.exports));
}
