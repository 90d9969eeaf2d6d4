/**
 * Numbers as people read them, the same everywhere on the page.
 */

const MISSING = "\u2013";
const PREFIXES = [[1e12, "T"], [1e9, "G"], [1e6, "M"], [1e3, "k"], [1, ""], [1e-3, "m"],
                  [1e-6, "\u00b5"], [1e-9, "n"], [1e-12, "p"], [1e-15, "f"], [1e-18, "a"]];

function isNumber(value) {
    return typeof value === "number" && Number.isFinite(value);
}

/** A minus is a minus, not a hyphen. */
function signed(text) {
    return text.replace("-", "\u2212");
}

function fixed(value, digits) {
    return isNumber(value) ? signed(value.toFixed(digits)) : MISSING;
}

function decibel(value) {
    return isNumber(value) ? fixed(value, 2) + "\u00a0dB" : MISSING;
}

/** A limit as it was asked for: "15 dB". */
function asked(value) {
    return digitsOf(value, 6) + "\u00a0dB";
}

/** A change, always with its sign. */
function change(value, digits = 2) {
    if (!isNumber(value))
        return MISSING;
    const text = value.toFixed(digits);
    return Number(text) > 0 ? "+" + text : signed(text);
}

/** A share as percent. What is not all of them is never shown as all, nor none. */
function percent(share, digits = 2) {
    if (!isNumber(share))
        return MISSING;
    let text = (100 * share).toFixed(digits);
    const step = Math.pow(10, -digits);
    if (share < 1 && Number(text) === 100)
        text = (100 - step).toFixed(digits);
    if (share > 0 && Number(text) === 0)
        text = step.toFixed(digits);
    return text + "\u00a0%";
}

function count(value) {
    return isNumber(value) ? String(value).replace(/\B(?=(\d{3})+$)/g, "\u202f") : MISSING;
}

/** So many significant digits, without zeros that say nothing. */
function digitsOf(value, digits) {
    const text = value.toPrecision(digits);
    return signed(text.includes("e") ? String(Number(text)) :
                  text.includes(".") ? text.replace(/\.?0+$/, "") : text);
}

/** The prefix in which a value is between 1 and 1000. */
function prefixOf(value) {
    const size = Math.abs(value) * (1 + 1e-12);
    return PREFIXES.find((prefix) => size >= prefix[0]) || PREFIXES[4];
}

const UNIT_SIGNS = {ohm: "\u03a9", celsius: "\u00b0C"};

function unitSign(unit) {
    return UNIT_SIGNS[unit] || unit || "";
}

/** "1.05 mm" of a value in SI units. */
function quantity(value, unit, digits = 5) {
    if (!isNumber(value))
        return MISSING;
    if (!unit || unit === "%" || unit === "dB")
        return digitsOf(value, digits) + (unit ? "\u00a0" + unit : "");
    if (value === 0)
        return "0 " + unitSign(unit);
    const [scale, letter] = prefixOf(Number(value.toPrecision(digits)));
    return digitsOf(value / scale, digits) + "\u00a0" + letter + unitSign(unit);
}

function frequency(hertz) {
    return quantity(hertz, "Hz", 6);
}

/** Return loss or insertion loss of a wave [re, im]. */
function lossOf(pair) {
    return -10 * Math.log10(Math.max(pair[0] * pair[0] + pair[1] * pair[1], 1e-20));
}
