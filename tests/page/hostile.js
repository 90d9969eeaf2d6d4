/**
 * Prints a design whose title and names are what pages have stumbled over, names as
 * long as names may be. The test makes its title longer still.
 */
"use strict";

const names = ["</script><script>document.title='taken'</script>", "<!--<script>", "\"'`${1}\\",
               "\u05e9\u05dc\u05d5\u05dd \u202eabc", "\ud83d\udce1\ud83d\udc69\u200d\ud83d\udd2c",
               "<img src=x onerror=\"document.title='taken'\">", "\u2028\u2029&amp;&lt;b&gt;",
               "l".repeat(200)];

function section(name, i) {
    return {
        name: name, kind: i % 2 ? "series inductor" : "shunt capacitor",
        side: ["die", "package", "board"][i % 3],
        [i % 2 ? "inductance" : "capacitance"]: i % 2 ?
            {size: ["0.01 nH", "0.2 nH"], spread: {normal: "5 %"}} :
            {size: ["1 fF", "60 fF"], grid: "1 fF", spread: {normal: "5 %"}}
    };
}

console.log(JSON.stringify({
    fairlead: 1, title: names.join(" ") + " end", band: ["27 GHz", "29 GHz"], points: 21,
    ports: {die: {impedance: "50 ohm"}, board: {impedance: "50 ohm"}},
    require: [{quantity: "return loss", "at least": "15 dB"}],
    path: names.map(section), cases: names.map((name) => ({name: name})), yield: {samples: 500}
}));
