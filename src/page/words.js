/**
 * Making elements. Whatever comes from a design becomes text here, never markup.
 */
"use strict";

const SVG = "http://www.w3.org/2000/svg";

/** Puts attributes and children onto an element; a child is a node, a text, or a list of them. */
function fill(element, attributes, children) {
    for (const [key, value] of Object.entries(attributes || {}))
        if (value !== null && value !== undefined && value !== false)
            element.setAttribute(key, value === true ? "" : value);
    for (const child of children.flat(Infinity))
        if (child !== null && child !== undefined && child !== false)
            element.append(child);
    return element;
}

function make(tag, attributes, ...children) {
    return fill(document.createElement(tag), attributes, children);
}

function draw(tag, attributes, ...children) {
    return fill(document.createElementNS(SVG, tag), attributes, children);
}

/** A text cut to so many characters. */
function cut(text, most) {
    const characters = Array.from(text);
    return characters.length > most ? characters.slice(0, most - 1).join("") + "\u2026" : text;
}

/** A name out of the design: kept apart from the writing direction around it, and cut if long. */
function named(name, most = 60) {
    const shown = cut(name, most);
    return make("bdi", {title: shown === name ? null : name}, shown);
}

/** The name of a quantity, with the case that it belongs to. */
function owned(row) {
    return row.case ? [named(row.name), " (", named(row.case), ")"] : [named(row.name)];
}

/** The same as plain text, for labels that are read out. */
function ownedText(row) {
    return cut(row.case ? row.name + " (" + row.case + ")" : row.name, 80);
}

/** "one, two and three" of fragments. */
function listed(parts) {
    return parts.flatMap((part, i) =>
        [i === 0 ? "" : i === parts.length - 1 ? " and " : ", ", part]);
}
