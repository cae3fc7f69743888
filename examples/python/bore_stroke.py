"""Displacement and compression ratio over bore and stroke, in a plain loop: bore_stroke.py OUT.svg

Four cylinders, one chamber and one piston; the deck height follows the stack, so that the piston always stands
0.25 mm below the deck. Invented figures.
"""

import sys

import matplotlib
import numpy as np

import swept

matplotlib.use("svg")
import matplotlib.pyplot as plt

CYLINDERS = 4
SPEED = "7200 rpm"
MOST_SPEED = 22.0  # m/s, the builder's own limit


def design(bore_mm: float, stroke_mm: float) -> tuple[float, float, float]:
    """Displacement (cm3), compression ratio and mean piston speed (m/s) of one design."""
    cylinder = swept.Cylinder(bore=f"{bore_mm} mm", stroke=f"{stroke_mm} mm", rod_length="148 mm")
    volumes = swept.ClearanceVolume(
        chamber="40 cm3",
        gasket=swept.disc_volume(diameter=f"{bore_mm + 1.0} mm", height="0.85 mm"),
        deck=swept.disc_volume(diameter=f"{bore_mm} mm", height="0.25 mm"),
        crown="6 cm3",
        crevice="0 cm3",
    )
    ratio = swept.compression_ratio(swept_volume=cylinder.swept_volume, clearance_volume=volumes.total)
    displacement = CYLINDERS * cylinder.swept_volume.m_as("cm**3")
    return displacement, ratio, cylinder.mean_piston_speed(SPEED).m_as("m/s")


def main(path: str) -> None:
    bores, strokes = np.linspace(82.0, 92.0, 21), np.linspace(78.0, 96.0, 19)
    table = np.array([[design(bore, stroke) for bore in bores] for stroke in strokes])
    figure, panels = plt.subplots(1, 2, figsize=(10.0, 5.0), sharey=True, layout="constrained")
    for axes, column, label in zip(panels, (0, 1), ("%.0f cm3", "%.1f : 1"), strict=True):
        lines = axes.contour(bores, strokes, table[:, :, column], levels=8, colors="black")
        axes.clabel(lines, fmt=label)
        fast = axes.contourf(bores, strokes, table[:, :, 2], levels=[MOST_SPEED, np.inf], colors="none", hatches=["//"])
        fast.set_edgecolor("0.75")
        axes.set(xlabel="bore, mm")
    panels[0].set(ylabel="stroke, mm", title="displacement")
    panels[1].set_title("compression ratio")
    designs = bores.size * strokes.size
    figure.suptitle(f"{designs} designs; hatched: mean piston speed above {MOST_SPEED} m/s at {SPEED}")
    figure.savefig(path)


if __name__ == "__main__":
    main(sys.argv[1])
