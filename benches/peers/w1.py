"""W1 bore/stroke study: 10 million configurations, 9 outputs and a feasibility flag, best 100 by displacement.

w1_full    random columns in, all output columns materialised, count, best 100
w1_filter  random columns in, only feasible row numbers and best 100 out
w1_grid    cartesian grid given as 9 axes, only feasible row numbers and best 100 out
w1_billion the same with 10^9 points
Lengths in mm, volumes in cm3, speed in 1/min, mean piston speed in m/s, acceleration in m/s2.
A peer returns dict(count, top, ...): w1_full adds columns (the 9 outputs) and ok (the flags), the others idx (row numbers).
"""
import math, os
import numpy as np

N = int(os.environ.get("W1_N", 10_000_000))
PI4 = math.pi / 4
SPACING, NCYL, RPM = 112.0, 8.0, 7000.0
LIM = dict(cr_lo=9.0, cr_hi=12.0, q_lo=0.9, q_hi=1.4, mps_hi=22.0, acc_hi=36000.0, wall_lo=5.0, rs_lo=1.55)
W2 = (2 * math.pi * RPM / 60) ** 2
K = 100
LO = [95.0, 75.0, 140.0, 228.0, 30.0, 0.5, 100.0, 40.0, -5.0]
HI = [108.0, 102.0, 165.0, 236.0, 45.0, 1.5, 110.0, 80.0, 25.0]
SHAPE = (10, 10, 5, 4, 5, 4, 5, 10, 5)  # 10 million
BILLION = (20, 20, 10, 8, 10, 5, 5, 25, 5)  # 10^9


def inputs(workload):
    if workload in ("w1_grid", "w1_billion"):
        shape = SHAPE if workload == "w1_grid" else BILLION
        return ([np.linspace(a, b, n) for a, b, n in zip(LO, HI, shape)],)
    g = np.random.Generator(np.random.SFC64(1))
    cols = [g.uniform(a, b, N) for a, b in zip(LO, HI)]
    # deck height follows the stack, as it does in a real study, so that a useful share is feasible
    cols[3] = 0.5 * cols[1] + cols[2] + cols[4] + g.uniform(-0.2, 1.5, N)
    return (cols,)


def part(workload, inp, n):
    return ([c[:n] for c in inp[0]],), N / n


def check(workload, r, inp):
    """a short summary to print"""
    return dict(count=int(r["count"]), top=round(float(np.sum(r["top"])), 6),
                **({"sums": [float(f"{np.sum(np.asarray(c)[::1000]):.10g}") for c in r["columns"][:3]]} if "columns" in r else {}))


def agree(workload, got, want, inp):
    """(do they agree, in words), element by element; `rows` is plain Python's form of `columns`"""
    same = int(got["count"]) == int(want["count"]) and np.allclose(got["top"], want["top"], rtol=1e-12, atol=0.0)
    text = f"count {int(got['count'])} and best {len(got['top'])} {'equal' if same else 'DIFFER'}"
    if workload != "w1_full":
        i = np.array_equal(np.asarray(got["idx"]), want["idx"])
        return same and i, f"row numbers {'equal' if i else 'DIFFER'}, {text}"
    cols = [np.asarray(c) for c in (zip(*got["rows"]) if "rows" in got else got["columns"])]
    rel = max(float(np.max(np.abs(a - b) / np.maximum(np.abs(b), 1e-300))) for a, b in zip(cols, want["columns"], strict=True))
    bits = all(np.array_equal(a, b) for a, b in zip(cols, want["columns"]))
    flags = np.array_equal(np.asarray(got["ok"]).astype(bool), want["ok"])
    return same and rel <= 1e-14 and flags, f"max rel diff {rel:.1e}, bit-equal {bits}, flags equal {flags}, {text}"


def best(disp, idx, k=K):
    """k largest displacements among idx"""
    d = disp[idx]
    if len(d) > k:
        d = d[np.argpartition(d, len(d) - k)[len(d) - k:]]
    return np.sort(d)[::-1]


# ---------------------------------------------------------------- numpy
def formulas(bore, stroke, rod, deck, comp, gt, gb, ch, dish):
    a = PI4 * (bore * bore)
    vd = a * stroke / 1000.0
    dc = deck - (0.5 * stroke + rod + comp)
    vg = PI4 * (gb * gb) * gt / 1000.0
    vc = ch + dish + vg + a * dc / 1000.0
    cr = 1.0 + vd / vc
    q = dc + gt
    return (NCYL * vd, cr, dc, q, rod / stroke, bore / stroke, 2.0 * stroke * RPM / 60000.0,
            0.5 * stroke / 1000.0 * W2 * (1.0 + 0.5 * stroke / rod), SPACING - bore)


def feasible(disp, cr, dc, q, rs, bs, mps, acc, wall):
    L = LIM
    return ((cr >= L["cr_lo"]) & (cr <= L["cr_hi"]) & (q >= L["q_lo"]) & (q <= L["q_hi"]) & (mps <= L["mps_hi"])
            & (acc <= L["acc_hi"]) & (wall >= L["wall_lo"]) & (rs >= L["rs_lo"]))


def numpy_full(cols):
    out = formulas(*cols)
    ok = feasible(*out)
    idx = np.flatnonzero(ok)
    return dict(count=len(idx), top=best(out[0], idx), columns=out, ok=ok)


def numpy_chunked(cols, chunk=32768):
    """the tuned NumPy way: blocks that stay in cache, results copied to preallocated columns"""
    n = len(cols[0])
    out = [np.empty(n) for _ in range(9)]
    ok = np.empty(n, bool)
    for s in range(0, n, chunk):
        e = min(n, s + chunk)
        o = formulas(*(c[s:e] for c in cols))
        for k in range(9):
            out[k][s:e] = o[k]
        ok[s:e] = feasible(*o)
    idx = np.flatnonzero(ok)
    return dict(count=len(idx), top=best(out[0], idx), columns=out, ok=ok)


def numpy_filter(cols, chunk=32768):
    parts, disp = [], []
    for s in range(0, len(cols[0]), chunk):
        o = formulas(*(c[s:s + chunk] for c in cols))
        i = np.flatnonzero(feasible(*o))
        parts.append(i + s)
        disp.append(o[0][i])
    idx, d = np.concatenate(parts), np.concatenate(disp)
    return dict(count=len(idx), top=best(d, np.arange(len(d))), idx=idx)


def numpy_filter_threads(cols, chunk=32768):
    """NumPy releases the interpreter lock in its loops, so two threads work"""
    from concurrent.futures import ThreadPoolExecutor

    def one(s):
        o = formulas(*(c[s:s + chunk] for c in cols))
        i = np.flatnonzero(feasible(*o))
        return i + s, o[0][i]
    with ThreadPoolExecutor(2) as ex:
        r = list(ex.map(one, range(0, len(cols[0]), chunk)))
    idx, d = np.concatenate([a for a, _ in r]), np.concatenate([b for _, b in r])
    return dict(count=len(idx), top=best(d, np.arange(len(d))), idx=idx)


def numpy_grid(axes):
    g = np.ix_(*axes)
    o = formulas(*g)
    ok = feasible(*o)
    idx = np.flatnonzero(ok)
    disp = np.broadcast_to(o[0], ok.shape)[ok]
    return dict(count=len(idx), top=best(disp, np.arange(len(disp))), idx=idx)


# ---------------------------------------------------------------- numexpr
NE_DC = "(deck-(0.5*stroke+rod+comp))"
NE_VC = f"(ch+dish+PI4*(gb*gb)*gt/1000.0+PI4*(bore*bore)*{NE_DC}/1000.0)"
NE_OUT = ["NCYL*(PI4*(bore*bore)*stroke/1000.0)", f"1.0+(PI4*(bore*bore)*stroke/1000.0)/{NE_VC}", NE_DC, f"{NE_DC}+gt", "rod/stroke",
          "bore/stroke", "2.0*stroke*RPM/60000.0", "0.5*stroke/1000.0*W2*(1.0+0.5*stroke/rod)", "SPACING-bore"]
NE_OK = ("(cr>=cr_lo)&(cr<=cr_hi)&(q>=q_lo)&(q<=q_hi)&(mps<=mps_hi)&(acc<=acc_hi)&(wall>=wall_lo)&(rs>=rs_lo)")


def ne_env(cols):
    d = dict(zip("bore stroke rod deck comp gt gb ch dish".split(), cols))
    d.update(PI4=PI4, NCYL=NCYL, RPM=RPM, W2=W2, SPACING=SPACING, **LIM)
    return d


def numexpr_full(cols):
    import numexpr as ne
    env = ne_env(cols)
    out = [ne.evaluate(e, local_dict=env) for e in NE_OUT]
    env.update(cr=out[1], q=out[3], rs=out[4], mps=out[6], acc=out[7], wall=out[8])
    ok = ne.evaluate(NE_OK, local_dict=env)
    idx = np.flatnonzero(ok)
    return dict(count=len(idx), top=best(out[0], idx), columns=out, ok=ok)


def numexpr_filter(cols):
    import numexpr as ne
    env = ne_env(cols)
    e = NE_OK
    for name, k in dict(cr=1, q=3, mps=6, acc=7, wall=8, rs=4).items():
        e = e.replace(f"({name}>", f"(({NE_OUT[k]})>").replace(f"({name}<", f"(({NE_OUT[k]})<")
    idx = np.flatnonzero(ne.evaluate(e, local_dict=env))
    d = NCYL * (PI4 * cols[0][idx] ** 2 * cols[1][idx] / 1000.0)
    return dict(count=len(idx), top=best(d, np.arange(len(d))), idx=idx)


# ---------------------------------------------------------------- numba
def _numba(fastmath=False):
    import numba as nb
    (cr_lo, cr_hi, q_lo, q_hi, mps_hi, acc_hi, wall_lo, rs_lo), pi4, w2 = LIM.values(), PI4, W2
    kw = dict(error_model="numpy", fastmath=fastmath)

    @nb.njit(inline="always", **kw)
    def row(b, s, l, dk, cp, gt, gb, ch, ds):
        a = pi4 * (b * b)
        vd = a * s / 1000.0
        d = dk - (0.5 * s + l + cp)
        vc = ch + ds + pi4 * (gb * gb) * gt / 1000.0 + a * d / 1000.0
        cr = 1.0 + vd / vc
        q = d + gt
        rs = l / s
        mps = 2.0 * s * RPM / 60000.0
        acc = 0.5 * s / 1000.0 * w2 * (1.0 + 0.5 * s / l)
        wall = SPACING - b
        ok = ((cr >= cr_lo) & (cr <= cr_hi) & (q >= q_lo) & (q <= q_hi) & (mps <= mps_hi) & (acc <= acc_hi) & (wall >= wall_lo) & (rs >= rs_lo))
        return NCYL * vd, cr, d, q, rs, b / s, mps, acc, wall, ok

    @nb.njit(parallel=True, **kw)
    def full(bore, stroke, rod, deck, comp, gt, gb, ch, dish, o0, o1, o2, o3, o4, o5, o6, o7, o8, ok):
        cnt = 0
        for i in nb.prange(len(bore)):
            r = row(bore[i], stroke[i], rod[i], deck[i], comp[i], gt[i], gb[i], ch[i], dish[i])
            o0[i], o1[i], o2[i], o3[i], o4[i], o5[i], o6[i], o7[i], o8[i] = r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7], r[8]
            ok[i] = r[9]
            cnt += r[9]
        return cnt

    @nb.njit(parallel=True, **kw)
    def flt(bore, stroke, rod, deck, comp, gt, gb, ch, dish):
        n, chunk = len(bore), 65536
        nc = (n + chunk - 1) // chunk
        ok = np.empty(n, np.bool_)
        cnt = np.zeros(nc + 1, np.int64)
        for c in nb.prange(nc):
            s, e = c * chunk, min(n, (c + 1) * chunk)
            k = 0
            for i in range(s, e):
                r = row(bore[i], stroke[i], rod[i], deck[i], comp[i], gt[i], gb[i], ch[i], dish[i])
                ok[i] = r[9]
                k += r[9]
            cnt[c + 1] = k
        cnt = np.cumsum(cnt)
        idx = np.empty(cnt[-1], np.int64)
        disp = np.empty(cnt[-1])
        for c in nb.prange(nc):
            s, e = c * chunk, min(n, (c + 1) * chunk)
            k = cnt[c]
            for i in range(s, e):
                if ok[i]:
                    idx[k] = i
                    disp[k] = NCYL * (pi4 * (bore[i] * bore[i]) * stroke[i] / 1000.0)
                    k += 1
        return idx, disp

    @nb.njit(parallel=True, **kw)
    def grid(bore, stroke, rod, deck, comp, gt, gb, ch, dish):
        """nested loops, every point visited; two passes (count, fill)"""
        no = len(bore) * len(stroke)
        cnt = np.zeros(no + 1, np.int64)
        ni = len(rod) * len(deck) * len(comp) * len(gt) * len(gb) * len(ch) * len(dish)
        ok = np.zeros(no * ni, np.bool_)
        for o in nb.prange(no):
            b, s = bore[o // len(stroke)], stroke[o % len(stroke)]
            j = o * ni
            k = 0
            for l in rod:
                for dk in deck:
                    for cp in comp:
                        for t in gt:
                            for g in gb:
                                for c in ch:
                                    for d in dish:
                                        r = row(b, s, l, dk, cp, t, g, c, d)
                                        ok[j] = r[9]
                                        k += r[9]
                                        j += 1
            cnt[o + 1] = k
        cnt = np.cumsum(cnt)
        idx = np.empty(cnt[-1], np.int64)
        disp = np.empty(cnt[-1])
        for o in nb.prange(no):
            b, s = bore[o // len(stroke)], stroke[o % len(stroke)]
            k = cnt[o]
            if cnt[o + 1] > k:
                for j in range(o * ni, (o + 1) * ni):
                    if ok[j]:
                        idx[k] = j
                        disp[k] = NCYL * (pi4 * (b * b) * s / 1000.0)
                        k += 1
        return idx, disp

    @nb.njit(**kw)
    def one_outer(b, s, o, rod, deck, comp, gt, gb, ch, dish, idx, k, fill):
        """tests stand at the outermost loop where all they need is known, so whole inner boxes are skipped"""
        if not (SPACING - b >= wall_lo and 2.0 * s * RPM / 60000.0 <= mps_hi):
            return k
        a = pi4 * (b * b)
        vd = a * s / 1000.0
        ni = len(gb) * len(ch) * len(dish)
        for il in range(len(rod)):
            l = rod[il]
            if not (0.5 * s / 1000.0 * w2 * (1.0 + 0.5 * s / l) <= acc_hi and l / s >= rs_lo):
                continue
            for dk in range(len(deck)):
                for ic in range(len(comp)):
                    d = deck[dk] - (0.5 * s + l + comp[ic])
                    for it in range(len(gt)):
                        if not (d + gt[it] >= q_lo and d + gt[it] <= q_hi):
                            continue
                        j = ((((o * len(rod) + il) * len(deck) + dk) * len(comp) + ic) * len(gt) + it) * ni
                        for g in gb:
                            vg = pi4 * (g * g) * gt[it] / 1000.0
                            for c in ch:
                                for e in dish:
                                    cr = 1.0 + vd / (c + e + vg + a * d / 1000.0)
                                    if cr >= cr_lo and cr <= cr_hi:
                                        if fill:
                                            idx[k] = j
                                        k += 1
                                    j += 1
        return k

    @nb.njit(parallel=True, **kw)
    def grid_pruned(bore, stroke, rod, deck, comp, gt, gb, ch, dish):
        ns = len(stroke)
        no = len(bore) * ns
        cnt = np.zeros(no + 1, np.int64)
        none = np.empty(0, np.int64)
        for o in nb.prange(no):
            cnt[o + 1] = one_outer(bore[o // ns], stroke[o % ns], o, rod, deck, comp, gt, gb, ch, dish, none, 0, False)
        cnt = np.cumsum(cnt)
        idx = np.empty(cnt[-1], np.int64)
        disp = np.empty(cnt[-1])
        for o in nb.prange(no):
            one_outer(bore[o // ns], stroke[o % ns], o, rod, deck, comp, gt, gb, ch, dish, idx, cnt[o], True)
            disp[cnt[o]:cnt[o + 1]] = NCYL * (pi4 * (bore[o // ns] * bore[o // ns]) * stroke[o % ns] / 1000.0)
        return idx, disp
    return full, flt, grid, grid_pruned


_nb = {}


def nbk(fast=False):
    if fast not in _nb:
        _nb[fast] = _numba(fast)
    return _nb[fast]


def numba_full(cols, fast=False):
    n = len(cols[0])
    out = [np.empty(n) for _ in range(9)]
    ok = np.empty(n, np.bool_)
    nbk(fast)[0](*cols, *out, ok)
    idx = np.flatnonzero(ok)
    return dict(count=len(idx), top=best(out[0], idx), columns=out, ok=ok)


_buf = {}


def bufs(n):
    if n not in _buf:
        _buf[n] = ([np.zeros(n) for _ in range(9)], np.zeros(n, np.uint8))
    return _buf[n]


def numba_full_reuse(cols):
    out, ok = bufs(len(cols[0]))
    ok = ok.view(np.bool_)
    nbk()[0](*cols, *out, ok)
    idx = np.flatnonzero(ok)
    return dict(count=len(idx), top=best(out[0], idx), columns=out, ok=ok)


def numba_filter(cols, fast=False):
    idx, d = nbk(fast)[1](*cols)
    return dict(count=len(idx), top=best(d, np.arange(len(d))), idx=idx)


def numba_grid(axes):
    idx, d = nbk()[2](*axes)
    return dict(count=len(idx), top=best(d, np.arange(len(d))), idx=idx)


def numba_grid_pruned(axes):
    idx, d = nbk()[3](*axes)
    return dict(count=len(idx), top=best(d, np.arange(len(d))), idx=idx)


# ---------------------------------------------------------------- jax
_jax = {}


def jax_fns():
    if not _jax:
        import jax, jax.numpy as jnp

        def full(*c):
            o = formulas(*c)
            ok = feasible(*o)
            d = jnp.where(ok, o[0], -1.0)
            return o, ok, ok.sum(), jax.lax.top_k(d, K)[0]

        def flt(*c):
            o = formulas(*c)
            ok = feasible(*o)
            return ok, jnp.where(ok, o[0], -1.0)

        def grid(*c):
            o = formulas(*jnp.ix_(*c))
            ok = feasible(*o)
            return ok.ravel(), jnp.where(ok, o[0], -1.0).ravel()
        _jax.update(full=jax.jit(full), flt=jax.jit(flt), grid=jax.jit(grid))
    return _jax


_jin = {}


def jin(cols):
    import jax
    if id(cols) not in _jin:
        _jin[id(cols)] = ([jax.device_put(c) for c in cols], cols)  # keeps cols, so that its id stays its own
    return _jin[id(cols)][0]


def jax_full(cols):
    import jax
    o, ok, n, top = jax.block_until_ready(jax_fns()["full"](*jin(cols)))
    return dict(count=int(n), top=np.asarray(top), columns=[np.asarray(x) for x in o], ok=np.asarray(ok))


def jax_filter(cols):
    ok, d = (np.asarray(x) for x in jax_fns()["flt"](*jin(cols)))
    idx = np.flatnonzero(ok)
    return dict(count=len(idx), top=best(d, idx), idx=idx)


def jax_grid(axes):
    ok, d = (np.asarray(x) for x in jax_fns()["grid"](*axes))
    idx = np.flatnonzero(ok)
    return dict(count=len(idx), top=best(d, idx), idx=idx)


# ---------------------------------------------------------------- polars
NAMES = "bore stroke rod deck comp gt gb ch dish".split()
ONAMES = "disp cr dc q rs bs mps acc wall".split()
_pl = {}


def frame(cols):
    import polars as pl
    if id(cols) not in _pl:
        _pl[id(cols)] = (pl.DataFrame(dict(zip(NAMES, cols))), cols)
    return _pl[id(cols)][0]


def pl_exprs():
    import polars as pl
    o = formulas(*(pl.col(c) for c in NAMES))
    return [e.alias(n) for e, n in zip(o, ONAMES)]


def polars_full(cols):
    import polars as pl
    df = frame(cols).lazy().with_columns(pl_exprs()).with_columns(feasible(*(pl.col(c) for c in ONAMES)).alias("ok")).collect()
    top = df.lazy().filter(pl.col("ok")).select(pl.col("disp").top_k(K)).collect()["disp"].to_numpy()
    return dict(count=int(df["ok"].sum()), top=np.sort(top)[::-1], columns=[df[c].to_numpy() for c in ONAMES], ok=df["ok"])


def polars_filter(cols, engine="streaming"):
    import polars as pl
    df = (frame(cols).lazy().with_row_index("i").with_columns(pl_exprs()).filter(feasible(*(pl.col(c) for c in ONAMES)))
          .select("i", "disp").collect(engine=engine))
    top = df["disp"].top_k(K).to_numpy()
    return dict(count=len(df), top=np.sort(top)[::-1], idx=df["i"])


# ---------------------------------------------------------------- plain python
def python_full(cols):
    rows = zip(*(c.tolist() for c in cols))
    out, ok = [], []
    for r in rows:
        o = formulas(*r)
        out.append(o)
        ok.append((LIM["cr_lo"] <= o[1] <= LIM["cr_hi"]) and (LIM["q_lo"] <= o[3] <= LIM["q_hi"]) and o[6] <= LIM["mps_hi"]
                  and o[7] <= LIM["acc_hi"] and o[8] >= LIM["wall_lo"] and o[4] >= LIM["rs_lo"])
    d = sorted((o[0] for o, k in zip(out, ok) if k), reverse=True)[:K]
    return dict(count=sum(ok), top=d, rows=out, ok=ok)


T1 = dict(kind="one thread", env=dict(NUMBA_NUM_THREADS="1"))
PEERS = {
    "w1_full": {
        "numpy": (numpy_full, {}),
        "numpy chunked": (numpy_chunked, {}),
        "numexpr": (numexpr_full, {}),
        "numba": (numba_full, {}),
        "numba reuse-out": (numba_full_reuse, dict(kind="reuse-out")),
        "jax": (jax_full, {}),
        "polars": (polars_full, {}),
        "python": (python_full, dict(scale=100_000)),
    },
    "w1_filter": {
        "numpy chunked": (numpy_filter, {}),
        "numpy chunked 2 threads": (numpy_filter_threads, {}),
        "numexpr": (numexpr_filter, {}),
        "numba": (numba_filter, {}),
        "numba fastmath": (lambda c: numba_filter(c, True), {}),
        "numba 1 thread": (numba_filter, T1),
        "jax": (jax_filter, {}),
        "polars streaming": (polars_filter, {}),
        "polars in-memory": (lambda c: polars_filter(c, "in-memory"), {}),
    },
    "w1_grid": {
        "numpy": (numpy_grid, {}),
        "numba": (numba_grid, {}),
        "numba pruned by hand": (numba_grid_pruned, dict(kind="expert")),
        "jax": (jax_grid, {}),
    },
    "w1_billion": {
        "numba": (numba_grid, dict(repeats=3)),
        "numba pruned by hand": (numba_grid_pruned, dict(kind="expert")),
    },
}
REFERENCE = {"w1_full": "numpy", "w1_filter": "numpy chunked", "w1_grid": "numpy", "w1_billion": "numba"}
