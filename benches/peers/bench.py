"""Times what a user would use instead, and the project's own entries beside it, in one harness.

    python bench.py WORKLOAD                            every peer of that workload
    python bench.py WORKLOAD numba polars               only entries whose name starts so
    python bench.py WORKLOAD --with MODULE [swept]      with the entries of a plug module (README.md, "The plug")
    python bench.py WORKLOAD [--with MODULE] --pair A B A and each entry whose name starts with B, called in turn: ratio of minima
    python bench.py --limits                            read bandwidth of this machine

Every entry runs in a process of its own: make the inputs, touch memory, one warm-up call (compiles, faults pages in), then
REPEATS timed calls.  peak = VmHWM of the process less its size with the inputs loaded.  In --pair, A may be `best`: the
fastest peer of the same kind among the results so far.
Environment: REPEATS (7), RESULTS (folder, ./results beside this file), TOUCH_GB (8), MIN_GBS (refuse to measure below this).
"""
import argparse, importlib, importlib.util, json, os, subprocess, sys, tempfile, time

HERE = os.path.dirname(os.path.abspath(__file__))
WORKLOADS = ("w1_full", "w1_filter", "w1_grid", "w1_billion", "w2", "w3")
RESULTS = os.environ.get("RESULTS", os.path.join(HERE, "results"))
REPEATS = int(os.environ.get("REPEATS", "7"))
PEER_ENV = dict(JAX_ENABLE_X64="1", JAX_PLATFORMS="cpu")


# ---------------------------------------------------------------- entries: the peers and the plug
def load_plug(name):
    """the module given by --with: a name importable from this folder, the current one or PYTHONPATH, or the path of a .py file"""
    if not name:
        return None
    if not name.endswith(".py"):
        sys.path.append(os.getcwd())
        return importlib.import_module(name)
    sys.path.append(os.path.dirname(os.path.abspath(name)))
    spec = importlib.util.spec_from_file_location(os.path.basename(name)[:-3], name)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def entries(workload, plug=None):
    """{name: (function, options)}: the peers, then the plug's own"""
    found = dict(importlib.import_module(workload.split("_")[0]).PEERS[workload])
    env = getattr(plug, "ENV", {})
    for name, entry in getattr(plug, "PEERS", {}).get(workload, {}).items():
        fn, opts = entry if isinstance(entry, tuple) else (entry, {})
        found[name] = (fn, dict(opts, plug=True, env={**env, **opts.get("env", {})}))
    return found


def named(found, want):
    """the entry called exactly so, else those whose names start so"""
    return [want] if want in found else [n for n in found if n.startswith(want)]


# ---------------------------------------------------------------- memory
def status_mb(key):
    for line in open("/proc/self/status"):
        if line.startswith(key):
            return int(line.split()[1]) / 1024


def reset_peak():
    with open("/proc/self/clear_refs", "w") as f:
        f.write("5")


def touch_memory():
    """Write to and free a few GB: under virtualisation the first touch of memory that was given back runs at a tenth of the speed."""
    import numpy as np
    free = next(int(x.split()[1]) for x in open("/proc/meminfo") if x.startswith("MemAvailable")) * 1024
    a = np.empty(int(min(float(os.environ.get("TOUCH_GB", "8")) * 1e9, 0.5 * free) / 8))
    a[::512] = 1.0


def read_gbs(threads=None):
    """GB/s read from memory by `threads` threads (all processors)"""
    import numpy as np
    from concurrent.futures import ThreadPoolExecutor
    threads = threads or len(os.sched_getaffinity(0))
    blocks = [np.ones(32_000_000) for _ in range(threads)]
    best = 0.0
    with ThreadPoolExecutor(threads) as ex:
        for _ in range(7):
            t = time.perf_counter()
            list(ex.map(np.sum, blocks))
            best = max(best, threads * 32e6 * 8 / (time.perf_counter() - t) / 1e9)
    return best


def require_bandwidth():
    floor = float(os.environ.get("MIN_GBS", "0"))
    got = read_gbs()
    if got < floor:
        touch_memory()
        got = read_gbs()
    if got < floor:
        sys.exit(f"refused: memory reads at {got:.1f} GB/s, below MIN_GBS={floor:g}; something else is using this machine")
    return got


# ---------------------------------------------------------------- one entry in its own process
def say(obj):
    print("@@" + json.dumps(obj), flush=True)


def child(workload, name, plug):
    """answers `go` with the seconds of one call, `end` with peak memory and a summary of the result"""
    mod = importlib.import_module(workload.split("_")[0])
    fn, opts = entries(workload, load_plug(plug))[name]
    inputs, scale = mod.inputs(workload), 1.0
    if "scale" in opts:  # too slow for all of it: run a part, scale the time
        inputs, scale = mod.part(workload, inputs, opts["scale"])
    touch_memory()
    base = status_mb("VmRSS")
    reset_peak()

    def call():
        t = time.perf_counter()
        r = fn(*inputs)
        return r, (time.perf_counter() - t) * scale
    r, first = call()
    say(dict(first=first))
    for line in sys.stdin:
        if line.strip() == "end":
            break
        r = None
        r, wall = call()
        say(wall)
    peak = status_mb("VmHWM") - base
    say(dict(peak_mb=round(peak), scale=scale, check=mod.check(workload, r, inputs)))


class Failed(Exception):
    pass


class Child:
    def __init__(self, workload, name, found, plug):
        self.name, self.opts = name, found[name][1]
        self.err = tempfile.TemporaryFile("w+")
        cmd = [sys.executable, os.path.abspath(__file__), workload, "--child", name] + (["--with", plug] if plug else [])
        self.p = subprocess.Popen(cmd, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=self.err, text=True,
                                  env={**os.environ, **PEER_ENV, **self.opts.get("env", {})})
        self.walls = []
        self.first = self.answer()["first"]

    def answer(self):
        for line in self.p.stdout:
            if line.startswith("@@"):
                return json.loads(line[2:])
        self.p.wait()
        self.err.seek(0)
        raise Failed(f"{self.name}: process ended with {self.p.returncode}\n{self.err.read()[-1500:]}")

    def ask(self, word):
        try:
            print(word, file=self.p.stdin, flush=True)
        except BrokenPipeError:
            pass
        return self.answer()

    def go(self):
        self.walls.append(self.ask("go"))

    def row(self, workload):
        end = self.ask("end")
        self.p.wait()
        w = sorted(self.walls)
        return dict(workload=workload, peer=self.name, kind=self.opts.get("kind", ""), plug=self.opts.get("plug", False), min=w[0],
                    median=w[len(w) // 2], first=self.first, n=len(w), **end)

    def close(self):
        if self.p.poll() is None:
            self.p.kill()
            self.p.wait()


# ---------------------------------------------------------------- results
def record(row):
    os.makedirs(RESULTS, exist_ok=True)
    with open(os.path.join(RESULTS, "results.jsonl"), "a") as f:
        f.write(json.dumps(row) + "\n")


def read_results():
    """({(workload, entry): row}, {(workload, A, B): pair}), the latest of each"""
    rows, pairs = {}, {}
    path = os.path.join(RESULTS, "results.jsonl")
    for line in open(path) if os.path.exists(path) else ():
        r = json.loads(line)
        if "pair" in r:
            pairs[r["workload"], *r["pair"]] = r
        else:
            rows[r["workload"], r["peer"]] = r
    return rows, pairs


def best_peer(rows, workload, kind=""):
    """the fastest peer of that kind, by its minimum; kinds are ordinary (""), reuse-out, expert, one thread"""
    r = [x for (w, _), x in rows.items() if w == workload and x["kind"] == kind and not x["plug"]]
    return min(r, key=lambda x: x["min"], default=None)


# ---------------------------------------------------------------- modes
def run(workload, want, found, plug):
    gbs = require_bandwidth()
    names = [n for n in found if not want or any(n.startswith(w) for w in want)]
    if not names:
        sys.exit(f"{workload} has no entry named so; it has: {', '.join(found)}")
    failed = 0
    for name in names:
        c = None
        try:
            c = Child(workload, name, found, plug)
            for _ in range(c.opts.get("repeats", REPEATS)):
                c.go()
            r = c.row(workload)
        except Failed as e:
            failed += 1
            print(f"{workload:11s} FAILED {e}", flush=True)
            continue
        finally:
            if c:
                c.close()
        record(dict(r, read_gbs=round(gbs, 1)))
        print(f"{workload:11s} {name:32s} min {r['min']*1e3:9.2f} ms  median {r['median']*1e3:9.2f}  first {r['first']*1e3:8.0f}"
              f"  peak {r['peak_mb']:5d} MB  {r['check']}", flush=True)
    sys.exit(1 if failed else 0)


def pair(workload, a, b, found, plug):
    """A and B in two processes, their timed calls in turn; an untimed call first each time, as the other has had the caches"""
    gbs = require_bandwidth()
    targets = [n for n in found if n.startswith(b)]
    if not targets:
        sys.exit(f"{workload} has no entry that starts with {b!r}; it has: {', '.join(found)}")
    for name in targets:
        kind = found[name][1].get("kind", "")
        if a == "best":
            rows = read_results()[0]
            best = best_peer(rows, workload, kind) or best_peer(rows, workload)
            if best is None:
                sys.exit(f"`best` needs results: run `bench.py {workload}` first")
            other = best["peer"]
        else:
            hits = [n for n in named(found, a) if n != name]
            if len(hits) != 1:
                sys.exit(f"{a!r} must name one entry other than {name!r}; it names {hits or 'none'}")
            other = hits[0]
        kids = []
        try:
            for n in (other, name):
                kids.append(Child(workload, n, found, plug))
            for _ in range(REPEATS):
                for c in kids:
                    c.ask("go")
                    c.go()
            ra, rb = (c.row(workload) for c in kids)
        except Failed as e:
            sys.exit(f"{workload} FAILED {e}")
        finally:
            for c in kids:
                c.close()
        r = dict(workload=workload, pair=[other, name], min=[ra["min"], rb["min"]], median=[ra["median"], rb["median"]], n=REPEATS,
                 ratio=ra["min"] / rb["min"], ratio_median=ra["median"] / rb["median"], read_gbs=round(gbs, 1))
        record(r)
        print(f"{workload:11s} {other} {ra['min']*1e3:.3f} ms : {name} {rb['min']*1e3:.3f} ms = {r['ratio']:.2f}  (minima of {REPEATS} in turn; "
              f"medians {r['ratio_median']:.2f}; memory {gbs:.1f} GB/s)", flush=True)


def main():
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("workload", nargs="?", choices=WORKLOADS)
    p.add_argument("names", nargs="*", metavar="NAME", help="starts of entry names")
    p.add_argument("--with", dest="plug", metavar="MODULE", help="a module that offers entries of its own")
    p.add_argument("--pair", nargs=2, metavar=("A", "B"))
    p.add_argument("--limits", action="store_true")
    p.add_argument("--child", help=argparse.SUPPRESS)
    a = p.parse_intermixed_args()
    if a.limits:
        for t in sorted({1, len(os.sched_getaffinity(0))}):
            print(f"read bandwidth, {t} thread{'s' * (t > 1)}: {read_gbs(t):.1f} GB/s")
        return
    if not a.workload:
        p.error(f"a workload is needed: {', '.join(WORKLOADS)}")
    if a.child:
        return child(a.workload, a.child, a.plug)
    found = entries(a.workload, load_plug(a.plug))
    if a.pair:
        return pair(a.workload, *a.pair, found, a.plug)
    run(a.workload, a.names, found, a.plug)


if __name__ == "__main__":
    main()
