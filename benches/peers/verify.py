"""Do all peers, and the entries of a plug module, give the same results?  Element by element; exit status 1 if not.

    python verify.py [WORKLOAD ...] [--with MODULE]

Sums hide a wrong order of rows, so each element is compared with the reference peer's.  W1 runs on 1,000,003 rows (no
multiple of any block); slow peers run on the part that bench.py times; W3's random streams differ, so its statistics are
judged in standard errors, and a plug may offer W3_SAMPLES = {entry: function(n) -> (deck clearance, compression ratio)},
the stored samples of the same stream, for an exact check.
"""
import argparse, importlib, os, sys
os.environ.setdefault("W1_N", "1000003")
os.environ.setdefault("W3_N", str(1 << 21))
from bench import PEER_ENV, WORKLOADS, entries, load_plug
os.environ.update(PEER_ENV)
import numpy as np
import w3


def compare(workload, found):
    """failures of one workload, printing a line for each entry"""
    mod = importlib.import_module(workload.split("_")[0])
    reference = mod.REFERENCE[workload]
    whole = mod.inputs(workload)
    want = {None: found[reference][0](*whole)}
    bad = 0
    print(f"{workload}, against {reference}")
    for name, (fn, opts) in found.items():
        if name == reference or opts.get("kind") == "one thread":
            continue
        part = opts.get("scale")
        inputs = mod.part(workload, whole, part)[0] if part else whole
        if part not in want:
            want[part] = found[reference][0](*inputs)
        try:
            ok, text = mod.agree(workload, fn(*inputs), want[part], inputs)
        except Exception as e:
            ok, text = False, f"{type(e).__name__}: {e}"
        bad += not ok
        print(f"  {'ok  ' if ok else 'FAIL'} {name:32s} {text}", flush=True)
    return bad


def streams(found, samples, n=1 << 21):
    """statistics of a plug's entry against NumPy's on the same stored samples, and the samples against the normal distribution"""
    from scipy.stats import kstest
    bad = 0
    for name, store in samples.items():
        d, c = store(n)
        want = np.array([w3.stats(np.asarray(d), w3.LDC), w3.stats(np.asarray(c), w3.LCR)])
        got = np.array([found[name][0](n)[k] for k in w3.KEYS])
        rel, exact = float(np.max(np.abs(got / want - 1.0))), np.array_equal(got[:, 2:5], want[:, 2:5])
        m, s, *_ = w3.deck_exact()
        p = kstest((np.asarray(d) - m) / s, "norm").pvalue
        ok = rel <= 1e-12 and exact and p > 1e-4
        bad += not ok
        print(f"  {'ok  ' if ok else 'FAIL'} {name:32s} on its own samples: max rel diff {rel:.1e}, quantiles exact {exact}, Kolmogorov-Smirnov p {p:.3f}")
    return bad


def main():
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("workloads", nargs="*", metavar="WORKLOAD", help=", ".join(WORKLOADS))
    p.add_argument("--with", dest="plug", metavar="MODULE")
    a = p.parse_intermixed_args()
    if unknown := set(a.workloads) - set(WORKLOADS):
        p.error(f"no workload {', '.join(sorted(unknown))}; there are {', '.join(WORKLOADS)}")
    plug = load_plug(a.plug)
    bad = 0
    for w in a.workloads or [w for w in WORKLOADS if w != "w1_billion"]:  # the reference peer has no memory for that
        found = entries(w, plug)
        bad += compare(w, found)
        if w == "w3":
            bad += streams(found, getattr(plug, "W3_SAMPLES", {}))
    print(f"{bad} disagree" if bad else "all agree")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
