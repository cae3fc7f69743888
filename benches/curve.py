"""The best 100 designs of ever larger grids, by displacement: how the time grows with the points.

python curve.py            prints points, least milliseconds of some calls, ns for each thousand million points
"""

import time

import swept

ENDS = {
    "bore": ("95 mm", "108 mm"),
    "stroke": ("75 mm", "102 mm"),
    "rod_length": ("140 mm", "165 mm"),
    "deck_height": ("228 mm", "236 mm"),
    "compression_height": ("30 mm", "45 mm"),
    "gasket_thickness": ("0.5 mm", "1.5 mm"),
    "chamber_volume": ("40 cm3", "80 cm3"),
    "crown_volume": ("-5 cm3", "25 cm3"),
}
LIMITS = {
    "compression_ratio": (9, 12),
    "piston_to_head": ("0.9 mm", "1.4 mm"),
    "mean_piston_speed": (None, "22 m/s"),
    "wall_between_bores": ("5 mm", None),
    "rod_ratio": (1.55, None),
}
# Values of each axis: eight axes, 10^6 to 10^15 points.
SHAPES = [
    (10, 10, 5, 5, 4, 5, 5, 4),
    (10, 10, 10, 5, 5, 5, 16, 5),
    (10, 10, 10, 10, 10, 10, 10, 10),
    (20, 20, 10, 10, 10, 10, 25, 10),
    (20, 20, 20, 10, 10, 10, 25, 50),
    (40, 40, 25, 10, 10, 10, 50, 50),
    (40, 40, 25, 25, 20, 10, 100, 50),
    (50, 50, 40, 40, 25, 10, 100, 100),
    (80, 80, 50, 50, 25, 25, 100, 100),
    (100, 100, 100, 50, 50, 40, 100, 100),
]


def study(shape: tuple[int, ...]) -> swept.Study:
    axes = {name: swept.span(*ends, count=n) for (name, ends), n in zip(ENDS.items(), shape, strict=True)}
    fixed = {"gasket_bore": "106 mm", "cylinders": 8, "speed": "7000 rpm", "bore_spacing": "112 mm"}
    return swept.Study(vary=axes, fixed=fixed, limits=LIMITS)


def main() -> None:
    print("| points | best 100, ms |\n|---:|---:|")
    for shape in SHAPES:
        one, least = study(shape), float("inf")
        for _ in range(7):
            start = time.perf_counter()
            best = one.best(100, by="displacement")
            least = min(least, time.perf_counter() - start)
        assert best.rows <= 100
        print(f"| 10^{len(str(one.designs)) - 1} | {least * 1e3:.3f} |", flush=True)


if __name__ == "__main__":
    main()
