"""Displacement and compression ratio over bore and stroke, with the limits of a builder: bore_stroke.py OUT.svg

Four cylinders, one chamber and one piston; the deck height follows the stack, so that the piston always stands
0.25 mm below the deck. Invented figures.
"""

import sys

import swept


def main(path: str) -> None:
    study = swept.Study(
        vary={"bore": swept.span("82 mm", "92 mm", count=101), "stroke": swept.span("78 mm", "96 mm", count=91)},
        fixed={
            "cylinders": 4,
            "speed": "7200 rpm",
            "rod_length": "148 mm",
            "bore_spacing": "96 mm",
            "deck_clearance": "0.25 mm",
            "gasket_bore": "93 mm",
            "gasket_thickness": "0.85 mm",
            "chamber_volume": "40 cm3",
            "crown_volume": "6 cm3",
        },
        limits={
            "mean_piston_speed": (None, "22 m/s"),
            "wall_between_bores": ("5.5 mm", None),
            "compression_ratio": (9.5, 11.5),
        },
    )
    print(study.count())
    for name, values in study.best(1, "displacement").items():
        print(f"  {name}: {values[0]:g}")
    swept.plots.contour(study, x="bore", y="stroke", of=["displacement", "compression_ratio"]).savefig(path)


if __name__ == "__main__":
    main(sys.argv[1])
