"""Samples of a tolerance stack by this package, for the harness of the peers: its workload w3."""

import swept

OUTPUTS = ("deck_clearance", "compression_ratio")
NORMAL = {
    "deck_height": ("234.95 mm", "0.025 mm"),
    "stroke": ("88.39 mm", "0.02 mm"),
    "rod_length": ("152.4 mm", "0.015 mm"),
    "compression_height": ("38.1 mm", "0.015 mm"),
    "bore": ("102.36 mm", "0.01 mm"),
    "crown_volume": ("5 cm3", "0.3 cm3"),
}
UNIFORM = {"gasket_thickness": ("0.95 mm", "1.05 mm"), "chamber_volume": ("63.5 cm3", "64.5 cm3")}


def sampling():
    readings = {name: swept.normal(*given) for name, given in NORMAL.items()}
    readings |= {name: swept.uniform(*given) for name, given in UNIFORM.items()}
    limits = {"deck_clearance": ("0.15 mm", "0.36 mm"), "compression_ratio": (10.0, 10.2)}
    return swept.Sampling(readings=readings, fixed={"gasket_bore": "104.8 mm"}, limits=limits, seed=3)


def bare(value):
    return getattr(value, "magnitude", value)


def w3(n):
    found = sampling().sample(n, OUTPUTS)
    return {
        spread.output: [
            bare(spread.mean),
            bare(spread.deviation),
            *(bare(quantile.value) for quantile in spread.quantiles),
            spread.outside.share,
        ]
        for spread in found.outputs
    }


def stored(n):
    return tuple(bare(sampling().values(output, 0, n)) for output in OUTPUTS)


PEERS = {"w3": {"swept": w3}}
W3_SAMPLES = {"swept": stored}
