"""The table and the picture of a run of the peers' harness: results.jsonl and curve.txt to RESULTS.md and results.svg.

python report.py FOLDER [BUSY]      FOLDER holds the results; BUSY is a remark on the machine's load
"""

from __future__ import annotations

import datetime
import importlib.metadata
import json
import os
import platform
import sys
from pathlib import Path

HERE = Path(__file__).parent
# What the pairs are held against: the least ratio of best peer to ours, by minima.
GOALS = {
    ("w1_grid", "swept"): ("grid of 10 million points: feasible rows, count, best 100", 30.0),
    ("w1_billion", "swept"): ("the same of 10^9 points", 100.0),
    ("w1_filter", "swept"): ("columns in, feasible rows and best 100 out", 1.5),
    ("w1_filter", "swept described"): ("the same question of designs that are described, not stored", 4.0),
    ("w1_full", "swept"): ("columns in, all columns out, fresh arrays", None),
    ("w1_full", "swept reuse-out"): ("columns in, all columns out to reused arrays", 1.8),
    ("w2", "swept"): ("least piston-to-valve clearance over the crank angle, by bounds", 6.0),
    ("w2", "swept every angle"): ("the same, every angle", 1.9),
    ("w3", "swept"): ("10 million samples of 8 readings, three exact quantiles of two outputs", 6.0),
}


def processor() -> str:
    lines = Path("/proc/cpuinfo").read_text().splitlines() if os.path.exists("/proc/cpuinfo") else []
    model = next((line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")), platform.machine())
    flags = next((line for line in lines if line.startswith("flags")), "")
    wide = "AVX-512" if "avx512f" in flags else "AVX2" if "avx2" in flags else "baseline vectors"
    return f"{model}, {os.cpu_count()} processors, {wide}"


def versions() -> str:
    found = []
    for name in ("swept", "numpy", "numexpr", "numba", "jax", "polars", "scipy"):
        try:
            found.append(f"{name} {importlib.metadata.version(name)}")
        except importlib.metadata.PackageNotFoundError:
            continue
    return f"Python {platform.python_version()}, " + ", ".join(found)


def results(folder: Path) -> tuple[dict[tuple[str, str], dict], dict[tuple[str, str], dict]]:
    rows, pairs = {}, {}
    for line in (folder / "results.jsonl").read_text().splitlines():
        row = json.loads(line)
        if "pair" in row:
            pairs[row["workload"], row["pair"][1]] = row
        else:
            rows[row["workload"], row["peer"]] = row
    return rows, pairs


def milliseconds(seconds: float) -> str:
    return f"{seconds * 1e3:.3g}" if seconds < 1 else f"{seconds * 1e3:.0f}"


def markdown(rows: dict, pairs: dict, curve: str, remark: str) -> str:
    today = datetime.datetime.now(datetime.UTC).date().isoformat()
    text = [
        "# Results",
        "",
        "Written by `make bench`; the workloads: [peers/README.md](peers/README.md). Ours from Python, default wheel.",
        "",
        f"{today}. {processor()}. {versions()}.{' ' + remark if remark else ''}",
        "",
        "## Ours in turn with the best peer",
        "",
        "Least times of calls in turn, so that both meet the same machine; the ratio is peer / ours.",
        "",
        "| question | best peer | peer, ms | ours, ms | ratio | by medians | goal |",
        "|---|---|---:|---:|---:|---:|---:|",
    ]
    for key, (words, goal) in GOALS.items():
        if (pair := pairs.get(key)) is None:
            continue
        peer, ours = pair["min"]
        goal_text = f"{goal:g}{'' if pair['ratio'] >= goal else ', missed'}" if goal else ""
        text.append(
            f"| {words} | {pair['pair'][0]} | {milliseconds(peer)} | {milliseconds(ours)} | **{pair['ratio']:.2f}** "
            f"| {pair['ratio_median']:.2f} | {goal_text} |"
        )
    text += ["", "## The best 100 of ever larger grids", "", "Eight axes, exact.", "", curve.strip(), ""]
    text += [
        "## Every entry",
        "",
        "| workload | entry | least, ms | median, ms | first, ms | memory, MB |",
        "|---|---|---:|---:|---:|---:|",
    ]
    for (workload, name), row in sorted(rows.items(), key=lambda item: (item[0][0], -item[1]["min"])):
        times = " | ".join(milliseconds(row[k]) for k in ("min", "median", "first"))
        part = f" (1/{row['scale']:.0f} timed)" if row["scale"] > 1 else ""
        text.append(f"| {workload} | {name}{part} | {times} | {row['peak_mb']} |")
    return "\n".join(text) + "\n"


def picture(pairs: dict, to: Path) -> None:
    import matplotlib

    matplotlib.use("svg")
    matplotlib.rcParams["svg.hashsalt"] = "swept"
    import matplotlib.pyplot as plt

    shown = [(words, goal, pairs[key]) for key, (words, goal) in GOALS.items() if key in pairs]
    fig, ax = plt.subplots(figsize=(9, 0.55 * len(shown) + 1.2), layout="constrained")
    for i, (_, goal, pair) in enumerate(reversed(shown)):
        ax.barh(i, pair["ratio"], color="#3b6ea5", height=0.6)
        ax.text(max(pair["ratio"], goal or 0) * 1.05, i, f"{pair['ratio']:.3g}", va="center", fontsize=9)
        if goal:
            ax.plot([goal, goal], [i - 0.4, i + 0.4], color="#b03a2e", lw=2)
    ax.set_yticks(range(len(shown)), [words for words, _, _ in reversed(shown)], fontsize=9)
    ax.set_xscale("log")
    ax.axvline(1, color="black", lw=0.8)
    ax.set_xlabel("times as fast as the best peer; red: goal")
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    ax.margins(x=0.15)
    fig.savefig(to, metadata={"Date": None})


def main() -> None:
    folder, remark = Path(sys.argv[1]), " ".join(sys.argv[2:])
    rows, pairs = results(folder)
    curve = (folder / "curve.txt").read_text() if (folder / "curve.txt").exists() else ""
    (HERE / "RESULTS.md").write_text(markdown(rows, pairs, curve, remark))
    picture(pairs, HERE / "results.svg")
    print(f"{HERE / 'RESULTS.md'} and results.svg")


if __name__ == "__main__":
    main()
