"""Runs the programs of this folder and prints their tables as Markdown: see run.sh.

    python3 report.py FOLDER [PAGE]      FOLDER holds the built programs
    python3 report.py --check FOLDER     small counts; do all run, do the yields agree?

With a PAGE its tables, between <!-- NAME --> and <!-- end -->, are replaced.
"""

import os
import platform
import re
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
ROUNDS = 7
WIDTHS = {1: "one by one", 2: "vectors of 2 (plain)", 4: "of 4 (AVX2)", 8: "of 8 (AVX-512)",
          -8: "of 8, at all 51 frequencies"}
CORE = [os.cpu_count() - 1]


def run(words, cores=CORE):
    """What a program writes; it runs on one core, with one thread. Idle threads sleep."""
    one = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "OMP_WAIT_POLICY": "passive",
           "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [str(word) for word in words], env={**os.environ, **one}, stdout=subprocess.PIPE,
        text=True, check=True, preexec_fn=lambda: os.sched_setaffinity(0, cores))
    return done.stdout


def script(name, *words):
    return run([sys.executable, "-W", "ignore", os.path.join(HERE, name), *words])


def pairs(line):
    """'width 8 rate 1e9' as a dictionary."""
    words = line.split()
    return dict(zip(words[::2], words[1::2]))


def lines_of(text, first):
    return [pairs(line) for line in text.splitlines() if line.startswith(first + " ")]


def table(head, rows):
    lines = ["| " + " | ".join(row) + " |" for row in [head, ["---"] * len(head), *rows]]
    return "\n".join(lines)


def spaced(number):
    return f"{number:,.0f}".replace(",", " ")


class Count:
    """Samples, passes and the least seconds a sample of one program."""

    def __init__(self):
        self.samples, self.passed, self.seconds = 0, 0, float("inf")

    def add(self, samples, passed, seconds):
        self.samples, self.passed = samples, passed
        self.seconds = min(self.seconds, seconds / samples)

    def interval(self, z=1.96):
        """Of Wilson."""
        n, p = self.samples, self.passed / self.samples
        middle = (p + z * z / (2 * n)) / (1 + z * z / n)
        half = z / (1 + z * z / n) * (p * (1 - p) / n + z * z / (4 * n * n)) ** 0.5
        return middle - half, middle + half


class Bench:
    def __init__(self, folder, small):
        self.folder, self.small = folder, small
        self.counts = {}

    def program(self, name, *words, cores=CORE):
        return run([os.path.join(self.folder, name), *words], cores)

    def add_fairlead(self, width, samples):
        text = self.program("yield", samples, width, os.path.join(HERE, "yield.json"))
        found = re.search(r"(-?\d+) at a time +\d+ samples/s +(\S+) us +(\d+) of (\d+) pass", text)
        if found:
            count = int(found[4])
            own = self.counts.setdefault(width, Count())
            own.add(count, int(found[3]), 1e-6 * float(found[2]) * count)

    def add_script(self, name, samples):
        count, passed, seconds = script(name, samples).split()
        own = self.counts.setdefault(name, Count())
        own.add(int(count), int(passed), float(seconds))

    def run_yields(self):
        """In turn, so that all see the same machine."""
        scale = 20 if self.small else 1
        for _ in range(1 if self.small else ROUNDS):
            self.add_script("plain.py", 20000 // scale)
            self.add_script("tuned.py", 200000 // scale)
            for width in WIDTHS:
                self.add_fairlead(width, 200000 // scale)

    def agree(self):
        """Whether all intervals, of one in ten thousand, overlap that of the first."""
        low, high = self.counts["plain.py"].interval(3.9)
        others = [count.interval(3.9) for count in self.counts.values()]
        return all(other[0] <= high and other[1] >= low for other in others)

    def yields(self):
        self.run_yields()
        names = {"plain.py": "NumPy, plain", "tuned.py": "NumPy, tuned",
                 **{width: "Fairlead, " + words for width, words in WIDTHS.items()}}
        rate = {key: 1 / count.seconds for key, count in self.counts.items()}
        rows = []
        for key, count in self.counts.items():
            low, high = count.interval()
            rows.append([names[key], spaced(rate[key]), f"{rate[key] / rate['plain.py']:.1f}",
                         f"{rate[key] / rate['tuned.py']:.2f}",
                         f"{100 * count.passed / count.samples:.2f} %",
                         f"{100 * low:.2f} to {100 * high:.2f} %"])
        head = ["program", "samples a second", "over plain", "over tuned", "yield", "95 % interval"]
        said = "The yields agree." if self.agree() else "THE YIELDS DO NOT AGREE."
        return table(head, rows) + "\n\n" + said

    def limit(self):
        peaks = {}
        for _ in range(1 if self.small else 5):
            for line in lines_of(self.program("peak"), "width"):
                key = int(line["width"]), line["how"]
                peaks[key] = max(peaks.get(key, 0), float(line["rate"]))
        counted = lines_of(self.program("count"), "width")
        if not counted or not peaks:
            return "Not measured: only for Linux on x86-64."
        kinds = ["adds", "multiplies", "divides", "roots"]
        operations = sum(float(counted[0][kind]) for kind in kinds)
        rows = []
        for width in [2, 4, 8]:
            if width not in self.counts or (width, "apart") not in peaks:
                continue
            rate = operations / self.counts[width].seconds
            apart, fused = peaks[width, "apart"], peaks.get((width, "fused"))
            rows.append([WIDTHS[width], f"{apart / 1e9:.1f}",
                         f"{fused / 1e9:.1f}" if fused else "none", f"{rate / 1e9:.1f}",
                         f"{100 * rate / apart:.0f} %",
                         f"{100 * rate / fused:.0f} %" if fused else "-"])
        head = ["width", "peak, apart", "peak, fused", "kernel", "of apart", "of fused"]
        each = ", ".join(f"{float(counted[0][kind]):.0f} {kind}" for kind in kinds)
        return (table(head, rows) + "\n\nIn 10^9 operations a second. A sample takes "
                f"{operations:.0f} operations of doubles ({each}), counted in the program as "
                f"compiled, in {counted[0]['instructions']} instructions at vectors of "
                f"{counted[0]['width']}.")

    def functions(self):
        if not os.path.exists(os.path.join(self.folder, "functions")):
            return "Not measured: SLEEF was not found when the programs were built."
        best = {}
        for _ in range(ROUNDS):
            for found in lines_of(self.program("functions"), "function"):
                key = found["function"], found["whose"]
                best[key] = min(best.get(key, 1e9), float(found["time"]))
        words = {"turn": "sine and cosine", "exponential": "exponential",
                 "logarithm": "logarithm"}
        columns = ["own", "sleef-u10", "sleef-u35", "libmvec"]
        rows = [[words[name]] + [f"{best[name, whose]:.2f}" if (name, whose) in best else "-"
                                 for whose in columns] for name in words]
        return table(["ns a number", "own", "SLEEF, to 1 ulp", "SLEEF, to 3.5 ulp", "libmvec"], rows)

    def geometry(self):
        """In turn, the best of some rounds of each."""
        best = {}
        for _ in range(1 if self.small else ROUNDS):
            for width in [2, 4, 8]:
                for name in ["geometry", "lumped"]:
                    text = self.program("yield", 10000 if self.small else 200000, width,
                                        os.path.join(HERE, name + ".json"))
                    found = re.search(r"samples/s +(\S+) us", text)
                    if found:
                        key = width, name
                        best[key] = min(best.get(key, 1e9), float(found[1]))
        rows = [[WIDTHS[width], f"{best[width, 'geometry']:.3f}", f"{best[width, 'lumped']:.3f}",
                 f"{best[width, 'geometry'] / best[width, 'lumped']:.2f}"]
                for width in [2, 4, 8] if (width, "lumped") in best]
        return table(["width", "geometry, us a sample", "lumped, us a sample", "ratio"], rows)

    def parts(self):
        rows = []
        for width in [2, 4, 8]:
            if width in self.counts:
                found = lines_of(self.program("parts", width), "width")[0]
                rows.append([WIDTHS[width], found["draws"], found["powers"], found["rest"]])
        return table(["width", "draws, us", "powers, us", "judging and counting, us"], rows)

    def sizing(self):
        own, example = lines_of(self.program("sizing"), "problem")
        absorb = ("\n\nThe example `absorb`, five values on grids, dimensions of lines and pads, "
                  "two requirements and two cases at 61 frequencies, takes "
                  f"{example['seconds']} s, of which {example['models']} s are the fits of its "
                  f"models: {example['evaluations']} responses from {example['starts']} starts, "
                  f"worst return loss {example['loss']} dB.")
        try:
            text = script("sizing.py", own["loss"], 4 if self.small else own["starts"])
        except subprocess.CalledProcessError:
            return "Not measured: SciPy is needed." + absorb
        seconds = float(own["seconds"])
        rows = [["Fairlead", own["starts"] + " starts", own["loss"], own["seconds"], "1", "-"]]
        for name in ["slsqp", "evolution"]:
            found = re.search(name + r" rounds (\d+) loss (\S+) reached (\S+) seconds (\S+)", text)
            words = {"slsqp": "SciPy, SLSQP", "evolution": "SciPy, differential evolution"}[name]
            rounds = found[1] + (" starts" if name == "slsqp" else " generations")
            rows.append([words, rounds, found[2], found[4], f"{float(found[4]) / seconds:.1f}",
                         found[3] if float(found[3]) >= 0 else "never"])
        near = re.search(r"near (\d+)", text)[1]
        head = ["program", "search", "worst return loss, dB", "seconds", "over Fairlead",
                "seconds until within 0.01 dB"]
        return table(head, rows) + f"\n\n{near} of SciPy's starts ended within 0.01 dB." + absorb

    def scaling(self):
        both = list(range(os.cpu_count()))
        text = self.program("scale", *((1, 20) if self.small else (5, 1)), cores=both)
        rows = []
        for what in ["samples", "frequencies", "sections", "cases"]:
            points = lines_of(text, what)
            x = [float(point[what]) for point in points]
            y = [float(point["processor"]) for point in points]
            slope, intercept = fit(x, y)
            rows.append([what] + [f"{point[what]}: {1e3 * float(point['processor']):.1f} ms"
                                  f" ({point['nodes']})" for point in points] +
                        [f"{100 * intercept / y[-1]:.1f} %",
                         f"{100 * residual(x, y, slope, intercept):.1f} %"])
        one, two = lines_of(text, "threads")
        head = ["what"] + ["value: time (nodes)"] * 5 + ["intercept", "off the line"]
        clock, busy = [[float(point[key]) for point in (one, two)]
                       for key in ("seconds", "processor")]
        return (table(head, rows) + f"\n\n1 000 000 samples take {clock[0]:.3f} s with one thread "
                f"and {clock[1]:.3f} s with two: {clock[0] / clock[1]:.2f} times as fast. The "
                f"processors work for {busy[0]:.3f} s and {busy[1]:.3f} s: "
                f"{2 * busy[0] / busy[1]:.2f} times as fast where nothing else runs.")

    def gradient(self):
        text = self.program("gradient", 0.02 if self.small else 0.5)
        rows = []
        for name, words in [("yield", "yield.json"), ("chain", "chain of 64 sections")]:
            for found in re.finditer(
                    name + r" parameters (\d+) value (\S+) gradient (\S+) ratio (\S+)", text):
                rows.append([words, found[1], f"{1e6 * float(found[2]):.1f}",
                             f"{1e6 * float(found[3]):.1f}", found[4]])
        return table(["problem", "parameters", "value, us", "with gradient, us", "ratio"], rows)


def fit(x, y):
    """Slope and intercept by least squares of the relative errors."""
    w = [1 / (b * b) for b in y]
    n, sx, sy = sum(w), sum(c * a for c, a in zip(w, x)), sum(c * b for c, b in zip(w, y))
    sxx = sum(c * a * a for c, a in zip(w, x))
    sxy = sum(c * a * b for c, a, b in zip(w, x, y))
    slope = (n * sxy - sx * sy) / (n * sxx - sx * sx)
    return slope, (sy - slope * sx) / n


def residual(x, y, slope, intercept):
    return max(abs(slope * a + intercept - b) / b for a, b in zip(x, y))


def machine():
    with open("/proc/cpuinfo", encoding="utf-8") as file:
        name = re.search(r"model name\s*: (.*)", file.read())[1]
    import numpy
    compiler = run(["cc", "--version"]).splitlines()[0]
    return (f"{name}, {os.cpu_count()} cores, {compiler}, Python {platform.python_version()}, "
            f"NumPy {numpy.__version__}. Other work on the machine when it began: "
            f"{os.getloadavg()[0]:.1f} programs on average.")


TABLES = {"machine": lambda bench: machine(), "yields": Bench.yields, "limit": Bench.limit,
          "parts": Bench.parts, "functions": Bench.functions, "geometry": Bench.geometry,
          "sizing": Bench.sizing, "scaling": Bench.scaling, "gradient": Bench.gradient}


def fill(page, name, text):
    with open(page, encoding="utf-8") as file:
        old = file.read()
    pattern = f"(<!-- {name} -->\n).*?(<!-- end -->)"
    new, count = re.subn(pattern, lambda m: m[1] + text + "\n" + m[2], old, flags=re.DOTALL)
    if count != 1:
        sys.exit(f"report.py: {page} has no place for '{name}'")
    with open(page, "w", encoding="utf-8") as file:
        file.write(new)


def check(folder):
    bench = Bench(folder, True)
    for name in ["yields", "parts", "geometry", "sizing", "scaling", "gradient"]:
        print(TABLES[name](bench))
    print(bench.program("peak"))
    sys.exit(0 if bench.agree() else 1)


def main():
    if sys.argv[1] == "--check":
        check(sys.argv[2])
    bench = Bench(sys.argv[1], False)
    for name, make in TABLES.items():
        text = make(bench)
        print(f"{text}\n", flush=True)
        if len(sys.argv) > 2:
            fill(sys.argv[2], name, text)


if __name__ == "__main__":
    main()
